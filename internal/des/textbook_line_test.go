package des_test

import (
	"fmt"
	"math"
	"testing"

	"potbank/internal/des"
)

// closedLine keeps w jobs going round a line of stations and gives the mean time of a
// round and the rounds per unit of time, after a warm-up. Each job is a process and
// each station so many places.
func closedLine(w int, machines []int, work func(job, station int) des.Time, warmUp, run des.Time) (cycle, throughput float64) {
	s := des.New()
	defer s.Close()
	stations := make([]*des.Places, len(machines))
	for i, n := range machines {
		stations[i] = s.Places(fmt.Sprint("station ", i+1), n)
	}
	var total float64
	var rounds int
	for job := range w {
		s.Go(fmt.Sprint("job ", job), func(p *des.Process) {
			for {
				start := p.Now()
				for i, station := range stations {
					p.Take(station, 1, 0)
					p.Pass(work(job, i))
					station.Give(1)
				}
				total += float64(p.Now() - start)
				rounds++
			}
		})
	}
	mustRun(s, warmUp)
	total, rounds = 0, 0
	mustRun(s, run)
	return units(total) / float64(rounds), float64(rounds) / units(float64(run))
}

// pennyFab is a line of four single machines.
var pennyFab = []int{1, 1, 1, 1}

// deterministic gives work that always takes the same time, by station.
func deterministic(times ...des.Time) func(int, int) des.Time {
	return func(_, station int) des.Time { return times[station] * unit }
}

// exactly fails unless got is want to the digits given, which are at least so many.
func exactly(t *testing.T, id, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 2e-9*want {
		t.Errorf("%s: %s = %v, want %v", id, what, got, want)
	}
}

// A29 and B04: the closed line with exponential work is the practical worst case. The
// unit of time is an hour.
func TestA29AndB04(t *testing.T) {
	t.Parallel()
	const source = "Gordon & Newell 1967, mean value analysis of Reiser & Lavenberg 1980, " +
		"equal to Hopp & Spearman, Factory Physics, 3rd ed. 2011, sec. 7.3.3, p. 247; computed"
	for _, tt := range []struct {
		jobs              int
		throughput, cycle float64
	}{
		{1, .125, 8}, {2, .2, 10}, {3, .25, 12}, {4, .285714286, 14},
		{8, .363636364, 22}, {10, .384615385, 26}, {20, .434782609, 46},
	} {
		// B04: w / (W0 + w - 1) x rb and T0 + (w - 1) / rb.
		const rb, t0, w0 = 0.5, 8, 4
		w := float64(tt.jobs)
		exactly(t, "B04", "throughput", w/(w0+w-1)*rb, tt.throughput)
		exactly(t, "B04", "cycle time", t0+(w-1)/rb, tt.cycle)
		check(t, "A29", source, []quantity{
			{fmt.Sprintf("throughput with %d jobs", tt.jobs), tt.throughput, 0},
			{fmt.Sprintf("cycle time with %d jobs", tt.jobs), tt.cycle, 0},
		}, func(seed uint64) sample {
			d := newDice(seed, 1)
			random := func(int, int) des.Time { return d.exp(2 * unit) }
			cycle, throughput := closedLine(tt.jobs, pennyFab, random, 500*unit, 15_000/shorter*unit)
			return sample{values: []float64{throughput, cycle}}
		})
	}
}

// B01 and B02: Penny Fab One, all work deterministic, is the best case.
func TestB01AndB02(t *testing.T) {
	// Source: Hopp & Spearman, Factory Physics, 3rd ed. 2011, sec. 7.2-7.3 and Table 7.2,
	// p. 238; source read.
	cycles := []float64{8, 8, 8, 8, 10, 12, 14, 16, 18, 20}
	throughputs := []float64{.125, .25, .375, .5, .5, .5, .5, .5, .5, .5}
	work := deterministic(2, 2, 2, 2)
	for i := range cycles {
		// The run is a multiple of every cycle time, and jobs start one by one.
		cycle, throughput := closedLine(i+1, pennyFab, work, 5040*unit, 5040*unit)
		exactly(t, "B02", fmt.Sprintf("cycle time with %d jobs", i+1), cycle, cycles[i])
		exactly(t, "B02", fmt.Sprintf("throughput with %d jobs", i+1), throughput, throughputs[i])
	}
	t0, _ := closedLine(1, pennyFab, work, 5040*unit, 5040*unit)
	_, rb := closedLine(10, pennyFab, work, 5040*unit, 5040*unit)
	exactly(t, "B01", "rb", rb, 0.5)
	exactly(t, "B01", "T0", t0, 8)
	exactly(t, "B01", "W0", rb*t0, 4)
}

// B03: the worst case, all work of all jobs in one of them, so that the rest wait for it.
func TestB03(t *testing.T) {
	// Source: Hopp & Spearman, Factory Physics, 3rd ed. 2011, sec. 7.3.2, p. 242-243; source
	// read. In general the cycle time is w x T0 and the throughput 1 / T0.
	for _, w := range []int{1, 2, 4, 7} {
		work := func(job, _ int) des.Time {
			if job > 0 {
				return 0
			}
			return 2 * des.Time(w) * unit
		}
		t0 := 8.0
		cycle, throughput := closedLine(w, pennyFab, work, 5600*unit, 5600*unit)
		exactly(t, "B03", fmt.Sprintf("cycle time with %d jobs", w), cycle, float64(w)*t0)
		exactly(t, "B03", fmt.Sprintf("throughput with %d jobs", w), throughput, 1/t0)
	}
}

// B05: Penny Fab Two, stations with several machines.
func TestB05(t *testing.T) {
	// Source: Hopp & Spearman, Factory Physics, 3rd ed. 2011, Table 7.1; source read.
	machines, times := []int{1, 2, 6, 2}, []des.Time{2, 5, 10, 3}
	rates := []float64{0.5, 0.4, 0.6, 2.0 / 3}
	for i := range machines {
		_, rate := closedLine(10, machines[i:i+1], deterministic(times[i]), 300*unit, 300*unit)
		exactly(t, "B05", fmt.Sprintf("rate of station %d", i+1), rate, rates[i])
	}
	t0, _ := closedLine(1, machines, deterministic(times...), 3000*unit, 3000*unit)
	_, rb := closedLine(30, machines, deterministic(times...), 3000*unit, 3000*unit)
	exactly(t, "B05", "T0", t0, 20)
	exactly(t, "B05", "rb", rb, 0.4)
	exactly(t, "B05", "W0", rb*t0, 8)
}

// B06: by Little's law, what is in a station follows from the throughput.
func TestB06(t *testing.T) {
	// Source: Hopp & Spearman, Factory Physics, 3rd ed. 2011, p. 239; source read.
	s := des.New()
	defer s.Close()
	machines, times := []int{1, 2, 6, 2}, []des.Time{2, 5, 10, 3}
	inside := make([]level, len(machines))
	stations := make([]*des.Places, len(machines))
	for i, n := range machines {
		inside[i].s = s
		stations[i] = s.Places("station", n)
	}
	s.Go("source", func(p *des.Process) {
		for {
			s.Go("job", func(p *des.Process) {
				for i, station := range stations {
					inside[i].add(1)
					p.Take(station, 1, 0)
					p.Pass(times[i] * unit)
					station.Give(1)
					inside[i].add(-1)
				}
			})
			p.Pass(25 * unit / 10) // 0.4 jobs an hour
		}
	})
	mustRun(s, 100*unit)
	for i := range inside {
		inside[i].restart()
	}
	mustRun(s, 1000*unit)
	exactly(t, "B06", "jobs at station 1", inside[0].mean(), 0.8)
	exactly(t, "B06", "utilisation of station 1", 1-inside[0].share(0), 0.8)
	exactly(t, "B06", "jobs at station 3", inside[2].mean(), 4)
	exactly(t, "B06", "utilisation of station 3", inside[2].mean()/6, 2.0/3)
}

// A30: a line without room between its stations. A piece stays on its machine until
// the next is free, so it is a process that takes the next place before it gives its own.
func TestA30(t *testing.T) {
	t.Parallel()
	const source = "Hunt, Oper. Res. 4 (1956) 674-683; Hillier & Boling, Oper. Res. 15 (1967) 286-303; from memory (high)"
	for m, want := range map[int]float64{2: 2.0 / 3, 3: 22.0 / 39, 4: 0.5147754893, 5: 0.4857981216, 6: 0.4667132630} {
		check(t, "A30", source, []quantity{{fmt.Sprintf("throughput of %d stations", m), want, 0}},
			func(seed uint64) sample {
				s := des.New()
				defer s.Close()
				stations := make([]*des.Places, m)
				for i := range stations {
					stations[i] = s.Places("station", 1)
				}
				d, made := newDice(seed, 1), 0
				for range m + 1 { // one for each station and one at the entrance
					s.Go("piece after piece", func(p *des.Process) {
						for {
							for i, station := range stations {
								p.Take(station, 1, 0)
								if i > 0 {
									stations[i-1].Give(1)
								}
								p.Pass(d.exp(unit))
							}
							made++
							stations[m-1].Give(1)
						}
					})
				}
				mustRun(s, 500*unit)
				made = 0
				const run = 10_000 / shorter
				mustRun(s, run*unit)
				return sample{values: []float64{float64(made) / run}}
			})
	}
}

// A31: the same with racks between the stations. Here the stations are processes.
func TestA31(t *testing.T) {
	t.Parallel()
	const source = "Hunt 1956, (b+2)/(b+3) for two stations; Hillier & Boling 1966/67, tables; from memory (high)"
	for _, tt := range []struct {
		stations, room int
		want           float64
	}{
		{2, 1, 3.0 / 4}, {2, 2, 4.0 / 5}, {2, 3, 5.0 / 6}, {2, 5, 7.0 / 8},
		{3, 1, 8529.0 / 12721}, {3, 2, 0.7340166721}, {4, 1, 0.6311526854},
	} {
		name := fmt.Sprintf("throughput of %d stations with room for %d between", tt.stations, tt.room)
		check(t, "A31", source, []quantity{{name, tt.want, 0}}, func(seed uint64) sample {
			s := des.New()
			defer s.Close()
			racks := make([]*des.Rack[int], tt.stations)
			for i := range racks {
				racks[i] = des.NewRack[int](s, "rack", tt.room)
			}
			made := 0
			for i := range tt.stations {
				d := newDice(seed, uint64(i))
				s.Go("station", func(p *des.Process) {
					for piece := 0; ; piece++ {
						if i > 0 {
							piece = racks[i-1].Get(p)
						}
						p.Pass(d.exp(unit))
						if i < tt.stations-1 {
							racks[i].Put(p, piece)
						} else {
							made++
						}
					}
				})
			}
			mustRun(s, 500*unit)
			made = 0
			const run = 10_000 / shorter
			mustRun(s, run*unit)
			return sample{values: []float64{float64(made) / run}}
		})
	}
}
