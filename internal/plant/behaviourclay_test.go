package plant_test

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A booth that has a colour set up goes on with it, until another colour has
// waited longer than its patience: whites keep coming, one black waits. At 6
// minutes a piece the booth decides at 60 min (not longer than 1 h) and at 66
// (longer); after a change of 30 min the black is done at 102.
func TestColourChange(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Ware[0].Name, w.Ware[1].Name, w.Ware[1].Colour = "a-white", "b-black", "black"
	w.Benches = nil
	b := &w.Glazing.Booths[0]
	b.Count, b.Change, b.Patience = 1, 30*des.Minute, des.Hour
	b.Time = plant.PerWare[random.Law]{"": constant(t, 6*des.Minute)}
	w.Crews[3].Roster = map[string]int{"day": 1}
	w.Opening.White = map[string]int{"a-white": 1, "b-black": 1}
	w.Opening.Dried = map[string]int{"a-white": 100} // 2 inspectors, a piece a minute
	d, _ := keep(t, build(t, w), 1)
	black := d.ware("b-black")
	if got := black.of("glazed").times(); len(got) != 1 || got[0] != 102*des.Minute {
		t.Errorf("the black was glazed at %v, by hand at 1:42", got)
	}
	if got := black.of("taken up", "hand").times(); len(got) != 1 || got[0] != 66*des.Minute {
		t.Errorf("the black was taken up at %v, by hand at 1:06", got)
	}
	// Back to white, with another change.
	whites := d.ware("a-white").of("glazed").times()
	if n := 11; whites[n-1] != 66*des.Minute || whites[n] != (102+30+6)*des.Minute {
		t.Errorf("whites before and after the black at %v and %v, by hand at 1:06 and 2:18", whites[n-1], whites[n])
	}
}

// A worn punch makes undersized holes that nobody sees before the function
// test. Of 10 pieces from one set the wear is .1 to 1.0 and a fault comes with
// half of that: 2.75 faults; a set takes 15 minutes to change. Where every second
// piece is tested, half of the faults escape.
func TestToolWear(t *testing.T) {
	const weeks = 12
	run := func(oneIn int, o plant.Options) (p *plant.Plant, r *plant.Result, pieces float64) {
		w := readWorks(t, "testdata/works.yaml")
		w.Finishing.Tools = []plant.Tool{{Name: "pan", Holes: 10, Life: 100, Fault: 0.5, Takes: 15 * des.Minute}}
		w.Finishing.Places, w.Ware[1].Window = 1, nil
		w.Benches[1].Count = 10
		w.Kilns[0].Count = 20
		w.Ware[0].Plan = 0.001 // pans only
		w.Tests[0].OneIn = oneIn
		p = build(t, w)
		r = simulate(t, p, o)
		if other := lostAt(p, r, "", weeks) - lostAt(p, r, "test", weeks); other != 0 {
			t.Errorf("one in %d: %.0f pieces were lost elsewhere than at the test", oneIn, other)
		}
		return p, r, lostAt(p, r, "test", weeks) + total(t, p, r, "packed.pan", weeks)
	}
	p, r, pieces := run(1, fixed(weeks))
	if lost := lostAt(p, r, "test", weeks); math.Abs(lost-0.275*pieces) > 3 {
		t.Errorf("%.0f of %.0f found at the test, by hand 27.5 %%", lost, pieces)
	}
	exactly(t, "escaped", figure(t, p, r, "escaped", 0, weeks), 0)
	changing := figure(t, p, r, "state.finishers.change-over", 0, weeks) / 100 * 4 * 168 * weeks
	if cast := total(t, p, r, "cast.pan", weeks); math.Abs(changing-cast/10/4) > 5 {
		t.Errorf("%.1f h of changing tools for %.0f pans, by hand a quarter of an hour for ten", changing, cast)
	}
	p, r, pieces = run(2, plant.Options{Source: random.New(3, 0), Weeks: weeks})
	sd := math.Sqrt(pieces * 0.1375 * 0.8625)
	for what, got := range map[string]float64{"found": lostAt(p, r, "test", weeks), "escaped": total(t, p, r, "escaped", weeks)} {
		if math.Abs(got-0.1375*pieces) > 4*sd {
			t.Errorf("every second tested: %.0f of %.0f %s, by hand half of 27.5 %%", got, pieces, what)
		}
	}
}

// Ware that stiffens in a dryer goes there twice: until it is leather-hard, 3
// points at 3 points an hour, and after finishing for the whole cycle.
func TestStiffenInDryer(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	wareOf(w, "pan").Window.InDryer = true
	wareOf(w, "pan").PerTrolley = 1
	w.Dryers[0].Rate = 3
	d, _ := keep(t, build(t, w), 3)
	visits := map[uint64][]des.Time{}
	for _, o := range d.ware("pan") {
		switch o.Event {
		case "into dryer":
			visits[o.Piece] = append(visits[o.Piece], -o.At)
		case "out of dryer":
			v := visits[o.Piece]
			v[len(v)-1] += o.At
		case "punched":
			if len(visits[o.Piece]) != 1 {
				t.Fatalf("piece %d was punched after %d visits to the dryer", o.Piece, len(visits[o.Piece]))
			}
		case "packed":
			if v := visits[o.Piece]; len(v) != 2 || v[0] != des.Hour || v[1] != 20*des.Hour {
				t.Fatalf("piece %d was in the dryer for %v, by hand for 1 h and 20 h", o.Piece, v)
			}
		}
	}
	if len(d.ware("pan").of("packed")) == 0 || len(d.ware("cistern").of("into dryer")) == 0 {
		t.Error("nothing was packed")
	}
	first := d.ware("cistern").of("into dryer")[0]
	if n := len(d.piece(first.Piece).of("into dryer")); n != 1 {
		t.Fatalf("a cistern went into the dryer %d times", n)
	}
}

// Trolleys: with 4 of them at 2 pieces, no more than 8 pieces are between
// finishing and white inspection, and these bind: 8 pieces in 20 h of drying,
// which is 67.2 of the 70 that the bench casts.
func TestTrolleyLimit(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Shop.Trolleys = 4
	w.Ware[0].Plan = 0.001 // pans only, 10 a day
	p := build(t, w)
	d, r := keep(t, p, 8)
	on, most := 0, 0
	for k, o := range d {
		switch {
		case o.Event == "on trolley":
			on++
		case o.Event == "taken up" && o.Where == "white inspection":
			on--
		}
		if k+1 == len(d) || d[k+1].At > o.At { // at the end of an instant
			most = max(most, on)
		}
	}
	if most != 8 {
		t.Errorf("at most %d pieces were on trolleys, by hand 8", most)
	}
	if got := figure(t, p, r, "cast.pan", 1, 8); got != 70 {
		t.Errorf("%.1f casts a week, want 70: trolleys do not hold up the bench", got)
	}
	if got := figure(t, p, r, "packed.pan", 2, 8); math.Abs(got-8*168/20.0) > 8/6.0 { // a load more or less
		t.Errorf("%.1f packed a week, by hand %.1f", got, 8*168/20.0)
	}
	// Ware piles up, so that a trolley is always waited for.
	exactly(t, "load of the trolleys, %", figure(t, p, r, "load.trolleys", 4, 8), 100)
}

// The floor: with room for 15 pieces, and one trolley of 2 that is away drying
// for a fortnight, a bench of 10 is filled once; 8 stand, and 7 more fit.
func TestFloorLimit(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Shop.Floor, w.Shop.Trolleys = 15, 1
	w.Ware[0].Plan = 0.001
	w.Dryers[0].Cycle = constant(t, 2*des.Week)
	p := build(t, w)
	d, r := keep(t, p, 4)
	floor, most := 0, 0
	for _, o := range d {
		switch o.Event {
		case "filled":
			floor++
		case "on trolley":
			floor--
		}
		most = max(most, floor)
	}
	if most > 15 {
		t.Errorf("%d pieces stood on a floor for 15", most)
	}
	if got := total(t, p, r, "cast.pan", 2); got < 10 || got > 17 {
		t.Errorf("%.0f casts in the first two weeks, by hand 10 and at most 7", got)
	}
}

// A bench turned to another ware casts it from its date on, and not the old one.
func TestChangeOver(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches[1].Change = []plant.Changeover{{Name: "2027-01-18", Ware: "cistern", Takes: 8 * des.Hour}}
	p := build(t, w)
	d, r := keep(t, p, 6)
	exactly(t, "pans a week before", figure(t, p, r, "cast.pan", 0, 2), 70)
	exactly(t, "pans a week after", figure(t, p, r, "cast.pan", 3, 6), 0)
	exactly(t, "cisterns a week before", figure(t, p, r, "cast.cistern", 0, 2), 70)
	exactly(t, "cisterns a week after", figure(t, p, r, "cast.cistern", 3, 6), 140)
	exactly(t, "moulds taken away", total(t, p, r, "moulds.worn.pan", 6), 10)
	for _, o := range d.ware("pan").of("filled") {
		if o.At >= 2*des.Week {
			t.Fatalf("a pan was cast at %v, after the change on day 14", o.At)
		}
	}
	first := d.of("filled", "pan-bench").ware("cistern").times()[0]
	if first < 2*des.Week+8*des.Hour {
		t.Errorf("the first cistern came from the bench at %v, before the 8 h of the change were over", first)
	}
}

// A works closed for a week casts nothing in it; a kiln that keeps going does.
func TestShutdownWeek(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Closures.Dates = []string{"2027-W04"}
	w.Opening.Glazed = map[string]int{"pan": 1000}
	p := build(t, w)
	d, r := keep(t, p, 6)
	for week, want := range []float64{140, 140, 140, 0, 140} {
		exactly(t, "casts a week", figure(t, p, r, "cast.total", week, week+1), want)
	}
	exactly(t, "sorted in the closed week", figure(t, p, r, "packed.total", 3, 4), 0)
	fires := 0
	for _, at := range d.of("into the kiln").times() {
		if at >= 3*des.Week && at < 4*des.Week {
			fires++
		}
	}
	if fires == 0 {
		t.Error("the kiln stood in the week of the shutdown")
	}
	exactly(t, "wages of the closed week", figure(t, p, r, "cost.wages", 3, 4), 0)
	exactly(t, "wages of another week", figure(t, p, r, "cost.wages", 1, 2), 2*168*20)
}

// Shifts keep local time through summer time: the night from Saturday 22:00 to
// Sunday 06:00 has 7 h in the week in which clocks go forward, 9 h when they go
// back, and a sorter at 6 minutes a piece sorts 70 and 90 in place of 80.
//
// source: IANA time zone data: 28 March and 31 October 2027, Europe/Berlin.
func TestSummerTimeWeeks(t *testing.T) {
	for _, tt := range []struct {
		start string
		want  [3]float64
	}{{"2027-03-15 06:00", [3]float64{80, 70, 80}}, {"2027-10-18 06:00", [3]float64{80, 90, 80}}} {
		w := readWorks(t, "../proof/works/station.yaml")
		w.Start, w.Zone = tt.start, "Europe/Berlin"
		setHours(w, "two-shifts", "Sat 22:00-06:00")
		w.Crews[0].Effective = 1
		d, _ := keep(t, build(t, w), 4)
		counts := map[int]float64{}
		for _, at := range d.of("packed").times() {
			counts[int((at-des.Hour)/des.Week)]++ // shift ends at the last hours of a week
		}
		for week, want := range tt.want {
			exactly(t, "sorted in the week "+tt.start, counts[week], want)
		}
	}
}
