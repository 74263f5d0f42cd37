package plant_test

import (
	"runtime"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// benchmarked are the works that runs are timed on: half a million pieces a
// year through presses, robots and one tunnel kiln; and a works of benches
// with moulds, windows and refires.
var benchmarked = []string{"pressure-works", "plant-a"}

// benchedPlant makes a works of the examples ready for so many weeks.
func benchedPlant(b *testing.B, name string, weeks int) *plant.Plant {
	b.Helper()
	f, faults := scenario.Read("../../scenarios/" + name + ".yaml")
	if f == nil {
		b.Fatal(faults)
	}
	f.Works.Run.Length = des.Time(weeks) * des.Week
	p, _ := f.Plant()
	if p == nil {
		b.Fatal("no plant")
	}
	return p
}

// BenchmarkYear simulates 52 weeks and reports the time of one year and of one
// event. Allocations are those of a whole replication.
func BenchmarkYear(b *testing.B) {
	for _, name := range benchmarked {
		b.Run(name, func(b *testing.B) {
			p := benchedPlant(b, name, 52)
			b.ReportAllocs()
			var events, pieces float64
			n := uint32(0)
			for b.Loop() {
				n++
				r, err := p.Simulate(plant.Options{Source: random.New(1, n), Weeks: 52})
				if err != nil {
					b.Fatal(err)
				}
				events += float64(r.Events)
				pieces += piecesCast(b, p, r)
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/year")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/events, "ns/event")
			b.ReportMetric(events/float64(b.N), "events/year")
			b.ReportMetric(pieces/float64(b.N), "pieces/year")
		})
	}
}

// BenchmarkHeap reports the memory that a run holds after one and after four
// simulated years. All that may grow is the weekly book: a few kilobytes a week.
func BenchmarkHeap(b *testing.B) {
	for _, name := range benchmarked {
		b.Run(name, func(b *testing.B) {
			p := benchedPlant(b, name, 4*52)
			var oneYear, fourYears uint64
			for b.Loop() {
				before, weeks := heapInUse(), 0
				_, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 4 * 52, Stopped: func() bool {
					switch weeks++; weeks {
					case 52:
						oneYear = heapInUse() - before
					case 4 * 52:
						fourYears = heapInUse() - before
					}
					return false
				}})
				if err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(oneYear)/1e6, "MB-after-1-year")
			b.ReportMetric(float64(fourYears)/1e6, "MB-after-4-years")
		})
	}
}

// heapInUse is the memory in use, once what is not has been collected.
func heapInUse() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// piecesCast is the pieces cast in a run.
func piecesCast(b *testing.B, p *plant.Plant, r *plant.Result) float64 {
	b.Helper()
	for _, m := range p.Measures() {
		if m.Name == "cast.total" {
			pieces, _ := m.Of(r, 0, len(r.Week))
			return pieces
		}
	}
	b.Fatal("no measure cast.total")
	return 0
}
