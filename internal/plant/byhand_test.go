package plant_test

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// Small works of which every figure follows from the inputs by hand. They are
// read from files and run with randomness off, so that reader, calendar,
// routing and measures are held together; figures are exact, to the
// millisecond and the piece, unless a tolerance is told.
//
// Published values, and works worked by hand that are on the list of reference
// values, are held by the package proof, whose files some works here begin with.

// exactly fails unless a figure is what the hand has.
func exactly(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: %.10g, by hand %.10g", what, got, want)
	}
}

// TestShuttleFills: a load of k that fills at a rate keeps its pieces waiting
// for mates by (k - 1) / (2 x rate).
//
// source: arithmetic: the first of 10 waits for 9 more, the last for none;
// one piece an hour: 4.5 h.
func TestShuttleFills(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	w.Presses[0].Cycle = constant(t, 1*des.Hour)
	w.Kilns[0].Start = "full"
	w.Kilns[0].Count = 2
	p := build(t, w)
	r := simulate(t, p, fixed(6))
	exactly(t, "wait for mates, h", figure(t, p, r, "lead.batch", 1, 6), 4.5)
	exactly(t, "wait for a kiln, h", figure(t, p, r, "lead.place", 1, 6), 0)
	exactly(t, "pieces before the kiln", figure(t, p, r, "wip.buffer", 1, 6), 4.5)
}

// constant is a law of one time.
func constant(t *testing.T, span des.Time) random.Law {
	t.Helper()
	l, err := random.Constant(float64(span))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// casts is a law of one life of moulds.
func casts(t *testing.T, n float64) random.Law {
	t.Helper()
	l, err := random.Constant(n)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestStaircase: how often a mould is cast depends on the hours in which
// somebody is there, in steps. Touches, fill .4 h, drain .3 h and opening .7 h,
// lie on shift, and no mould is filled unless its drain is reached on shift; the
// wall builds in 1.5 h, ware sets in 2.5 h, moulds dry in 3.5 h by
// themselves.
//
// source: worked by hand for the six steps; 24 / 8.9 = 2.697 without end.
func TestStaircase(t *testing.T) {
	const days = 7 * 8
	for _, tt := range []struct {
		cover       string
		least, most float64 // casts a day
	}{
		{"daily 06:00-11:18", 0.33, 0.5}, // 5.3 h
		{"daily 06:00-11:24", 1, 1},      // 5.4 h
		{"daily 06:00-17:00", 1, 1},      // 11.0 h
		{"daily 06:00-17:06", 1.5, 1.5},  // 11.1 h
		{"daily 06:00-20:12", 1.5, 1.5},  // 14.2 h
		{"daily 06:00-20:18", 2, 2},      // 14.3 h
		{"daily 06:00-01:54", 2, 2},      // 19.9 h
		{"daily 06:00-02:00", 2.5, 2.5},  // 20.0 h
		{"always", 2.697, 2.697},
	} {
		w := readWorks(t, "../proof/works/bench.yaml")
		b := &w.Benches[0]
		b.Fill, b.Build, b.Drain, b.Set, b.Open, b.DryBack = 24*des.Minute, 90*des.Minute, 18*des.Minute, 150*des.Minute, 42*des.Minute, 210*des.Minute
		w.Run.Length = days * des.Day
		setHours(w, "cover", tt.cover)
		p := build(t, w)
		r := simulate(t, p, fixed(8))
		for how, got := range map[string]float64{
			"by simulation":  figure(t, p, r, "cast.pan", 0, 8) / 7,
			"by BenchRounds": p.BenchRounds(&p.Works().Benches[0]) / 7,
		} {
			slack := 1.5 / days // a cast begun at the end, a day begun late
			if how == "by BenchRounds" {
				slack *= 2 // it looks at four weeks
			}
			if got < tt.least-slack || got > tt.most+slack {
				t.Errorf("cover %s: %.3f casts a day %s, by hand %.3f to %.3f", tt.cover, got, how, tt.least, tt.most)
			}
		}
	}
}

// TestPennyFabOne: four stations of 2 h, one machine each, as far as a works can
// express it: pieces that are there at the start leave 2 h apart, the first
// after 8 h.
//
// source: Hopp and Spearman, Factory Physics, 3rd ed. 2011, sec. 7.2: bottleneck
// rate .5/h, raw process time 8 h, critical work in process 4.
func TestPennyFabOne(t *testing.T) {
	w := readWorks(t, "../proof/works/line.yaml")
	w.Presses = nil
	for i := range w.Crews {
		w.Crews[i].Roster = map[string]int{"always": 1}
	}
	two := plant.PerWare[random.Law]{"": constant(t, 2*des.Hour)}
	w.White.Time, w.Sorting.Time, w.Tests[0].Time, w.Packing.Time = two, two, two, two
	w.Opening.Dried = map[string]int{"pan": 40}
	p := build(t, w)
	d, r := keep(t, p, 1)
	const kiln = des.Millisecond
	for k, at := range d.of("packed").times() {
		if want := 8*des.Hour + des.Time(k)*2*des.Hour + kiln; at != want {
			t.Fatalf("piece %d left at %v, by hand at %v", k+1, at, want)
		}
	}
	// While the line is full, 4 pieces are in work: rate x raw process time.
	if n := len(d.of("packed")); n != 40 {
		t.Errorf("%d pieces left, want all 40", n)
	}
	exactly(t, "mean time on the line without its queue, h", figure(t, p, r, "lead.working", 0, 1), 8+hours(kiln))
}
