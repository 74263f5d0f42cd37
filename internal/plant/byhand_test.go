package plant_test

import (
	"fmt"
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/quantity"
)

// Small works of which every figure follows from the inputs by hand. They are
// read from files and run with randomness off, so that reader, calendar,
// routing and measures are held together; figures are exact, to the
// millisecond and the piece, unless a tolerance is told.
//
// Textbook lines that the departments of a works cannot express stay with the
// tests of the kernel: a closed line of constant work in process (a works casts
// to a plan, no packed piece releases the next), one pallet for all jobs,
// exponential closed lines, feedback to the same station, and lines without
// buffers.

// exactly fails unless a figure is what the hand has.
func exactly(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: %.10g, by hand %.10g", what, got, want)
	}
}

// TestPipeline: 120 moulds a day through 5 days of drying, glazing and firing.
//
// source: arithmetic (Little's law and ceilings): 1 + 5 = 6 d; 120 x 6 = 720
// pieces, the day in the mould included; 83 x 120 = 9,960 < 10,000 <= 84 x 120,
// so 84 casting days; out at 84 + 5 = day 89.
func TestPipeline(t *testing.T) {
	p := build(t, readWorks(t, "testdata/pipeline.yaml"))
	d, r := keep(t, p, 14)
	exactly(t, "packed a week", figure(t, p, r, "packed.total", 2, 14), 120*7)
	exactly(t, "work in process", figure(t, p, r, "wip.total", 2, 14), 720)
	exactly(t, "mean lead time, h", figure(t, p, r, "lead_time.mean", 0, 14), 6*24)
	if leads := d.spans("filled", "packed"); !allAre(leads, 6*des.Day) {
		t.Error("a piece took another time than 6 days")
	}
	if done := r.Orders[0].Done; done != 89*des.Day {
		t.Errorf("order done at %v, by hand at the end of day 89", done)
	}
	last := d.of("packed")[10000-1].Piece
	if cast := d.piece(last)[0].At; cast != 83*des.Day {
		t.Errorf("the last piece of the order was cast at %v, by hand on the 84th day", cast)
	}
}

// TestPipelineRefire: the same with losses and one refire.
//
// source: geometric series: first fire .85 good, .10 refired of which .70 good:
// yield .92; 10,000 / .92 = 10,870 starts on 91 days; 10,870 x 1.10 = 11,957
// firings; 1.10 / .92 = 1.195652 firings for a good piece. The pattern keeps
// each count within one of its share.
func TestPipelineRefire(t *testing.T) {
	p := build(t, readWorks(t, "testdata/pipeline-refire.yaml"))
	d, _ := keep(t, p, 16)
	firings, good := map[uint64]int{}, map[uint64]bool{}
	for _, o := range d {
		switch o.Event {
		case "into the kiln":
			firings[o.Piece]++
		case "packed":
			good[o.Piece] = true
		}
	}
	starts, fires, want := 0, 0, 10000
	for _, o := range d.of("filled") {
		starts++
		fires += firings[o.Piece]
		if good[o.Piece] {
			if want--; want == 0 {
				break
			}
		}
	}
	if math.Abs(float64(starts)-10870) > 3 || math.Abs(float64(fires)-11957) > 4 {
		t.Errorf("10,000 good pieces took %d starts and %d firings, by hand 10,870 and 11,957", starts, fires)
	}
	if days := (starts + 119) / 120; days != 91 {
		t.Errorf("%d casting days, by hand 91", days)
	}
	if per := float64(fires) / 10000; math.Abs(per-1.195652) > 5e-4 {
		t.Errorf("%.6f firings for a good piece, by hand 1.195652", per)
	}
}

// TestRefireWithoutEnd: five identical refires are as good as unlimited ones.
//
// source: geometric series: .85 / (1 - .10) = .944444 good; 1 / .85 = 1.176471
// firings for a good piece.
func TestRefireWithoutEnd(t *testing.T) {
	w := readWorks(t, "testdata/pipeline-refire.yaml")
	w.Refire.Most = 5
	w.Kilns[1].Count = 2
	w.Ware[0].Yields.LaterFire = w.Ware[0].Yields.FirstFire
	p := build(t, w)
	r := simulate(t, p, fixed(16))
	if got := figure(t, p, r, "yield.total", 4, 16); math.Abs(got-94.4444) > 0.2 {
		t.Errorf("yield %.4f %%, by hand 94.4444 %%", got)
	}
	if got := figure(t, p, r, "firings.per_good", 4, 16); math.Abs(got-1.176471) > 0.002 {
		t.Errorf("%.6f firings for a good piece, by hand 1.176471", got)
	}
}

// TestShiftCapacity: one sorter, .1 h a piece at 90 % effective time.
//
// source: arithmetic: 80 h x .9 / .1 h = 720 pieces a week; 10,000 / 720 =
// 13.889 weeks of working time: 13 weeks, and 640 pieces of 6.667 min are 71 h
// 6 min 40 s, which end on a Friday.
func TestShiftCapacity(t *testing.T) {
	p := build(t, readWorks(t, "testdata/station.yaml"))
	d, r := keep(t, p, 15)
	for week := range 13 {
		exactly(t, fmt.Sprintf("packed in week %d", week+1), figure(t, p, r, "packed.total", week, week+1), 720)
	}
	// Four days of 16 h, and 7:06:40 of the fifth.
	want := 13*des.Week + 4*des.Day + 7*des.Hour + 6*des.Minute + 40*des.Second
	if done := d.of("packed")[10000-1].At; done != want {
		t.Errorf("10,000 pieces sorted at %v, by hand at %v", done, want)
	}
	exactly(t, "load of the sorter", figure(t, p, r, "load.sorters", 0, 13), 100)
}

// TestTunnelPipeline: 60 cars, a push every 20 minutes, 24 pieces a car.
//
// source: Little's law: 60 x 20 min = 20 h inside; 3 cars an hour; 72 pieces an
// hour; 72 x 20 = 1,440 pieces inside.
func TestTunnelPipeline(t *testing.T) {
	p := build(t, readWorks(t, "testdata/tunnel.yaml"))
	d, r := keep(t, p, 3)
	exactly(t, "cars an hour", figure(t, p, r, "kiln.tunnel.firings", 1, 3)/168, 3)
	exactly(t, "pieces an hour", figure(t, p, r, "packed.total", 1, 3)/168, 72)
	exactly(t, "pieces inside", figure(t, p, r, "wip.kiln", 1, 3), 1440)
	exactly(t, "cars that were full, %", figure(t, p, r, "kiln.tunnel.full", 0, 3), 100)
	if !allAre(d.spans("into the kiln", "out of the kiln"), 20*des.Hour) {
		t.Error("a piece was in the kiln for another time than 20 h")
	}
	for k, at := range d.of("into the kiln").times() {
		if want := des.Time(k/24) * 20 * des.Minute; at != want {
			t.Fatalf("piece %d entered at %v, by hand at %v", k+1, at, want)
		}
	}
}

// TestShuttleRounds: 10,000 pieces, two kilns of 240, 24 h from door to door.
//
// source: ceilings: 10,000 / 240 = 42 loads, the last of 160; 21 rounds = 504 h.
func TestShuttleRounds(t *testing.T) {
	p := build(t, readWorks(t, "testdata/shuttles.yaml"))
	d, r := keep(t, p, 4)
	loads := map[string]int{}
	for _, o := range d.of("into the kiln") {
		loads[o.Detail]++
	}
	if len(loads) != 42 || loads["load 42"] != 160 || loads["load 41"] != 240 {
		t.Errorf("%d loads, the last of %d; by hand 42 and 160", len(loads), loads["load 42"])
	}
	if out := d.of("packed").times(); len(out) != 10000 || out[9999] != 504*des.Hour {
		t.Errorf("%d drawn, the last at %v; by hand 10,000 after 504 h", len(out), out[len(out)-1])
	}
	exactly(t, "full loads, %", figure(t, p, r, "kiln.kiln.full", 0, 4), 100*41.0/42)
}

// TestShuttleFills: a load of k that fills at a rate keeps its pieces waiting
// for mates by (k - 1) / (2 x rate).
//
// source: arithmetic: the first of 10 waits for 9 more, the last for none;
// one piece an hour: 4.5 h.
func TestShuttleFills(t *testing.T) {
	w := readWorks(t, "testdata/door.yaml")
	w.Presses[0].Cycle = constant(t, 1*des.Hour)
	w.Kilns[0].Start = "full"
	w.Kilns[0].Count = 2
	p := build(t, w)
	r := simulate(t, p, fixed(6))
	exactly(t, "wait for mates, h", figure(t, p, r, "lead.batch", 1, 6), 4.5)
	exactly(t, "wait for a kiln, h", figure(t, p, r, "lead.place", 1, 6), 0)
	exactly(t, "pieces before the kiln", figure(t, p, r, "wip.buffer", 1, 6), 4.5)
}

// TestWallLaw: the wall grows as the square root of time.
//
// source: L^2 = k t (Adcock and McDowall, J. Am. Ceram. Soc. 40, 1957; Tiller
// and Tsai, J. Am. Ceram. Soc. 69, 1986; from memory): 8 mm in 60 min is k =
// 1.0667 mm2/min; 10 mm take 93.75 min, 12 mm 135.0 min, 5.657 mm 30 min.
func TestWallLaw(t *testing.T) {
	for _, tt := range []struct{ wall, minutes float64 }{{8, 60}, {10, 93.75}, {12, 135}, {math.Sqrt(32), 30}} {
		w := readWorks(t, "testdata/bench.yaml")
		w.Benches[0].Wall = quantity.Length(tt.wall)
		p := build(t, w)
		d, _ := keep(t, p, 1)
		// In the mould: 20 min of filling, the build, 30 min of draining, 2 h.
		for _, span := range d.spans("filled", "demoulded") {
			got := 60 * hours(span-170*des.Minute)
			if math.Abs(got-tt.minutes) > 1e-4 {
				t.Fatalf("%.3f mm took %.4f min, by hand %.4f", tt.wall, got, tt.minutes)
			}
		}
	}
}
