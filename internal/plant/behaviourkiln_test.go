package plant_test

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A machine that fails after so much work and is then mended is there for MTBF /
// (MTBF + MTTR) of its time. On the calendar clock a machine that works half the
// time fails by the date all the same; on the working clock half as often.
func TestBreakdownAvailability(t *testing.T) {
	run := func(clock string, cycle des.Time, plan float64) (casting, down float64) {
		w := readWorks(t, "../proof/works/door.yaml")
		m := &w.Presses[0]
		m.Cycle = constant(t, cycle)
		m.Breakdowns = &plant.Breakdowns{Between: constant(t, 90*des.Hour), Repair: constant(t, 10*des.Hour), Clock: clock}
		w.Ware[0].Plan = quantityPerDay(plan)
		w.Kilns[0].Count = 20
		p := build(t, w)
		r := simulate(t, p, fixed(50)) // 8,400 h: 84 turns of 100 h
		return figure(t, p, r, "state.release.casting", 0, 50), figure(t, p, r, "state.release.down", 0, 50)
	}
	for _, clock := range []string{"working", "calendar"} {
		casting, down := run(clock, des.Hour, 0)
		exactly(t, clock+" clock: working, %", casting, 90)
		exactly(t, clock+" clock: down, %", down, 10)
	}
	// 12 casts of an hour a day: half the time is idle.
	_, working := run("working", des.Hour, 12)
	_, calendar := run("calendar", des.Hour, 12)
	// Working clock: 84 h x 50 / 90 h failures of 10 h.
	if want := 100 * 10 * 0.5 / 90; math.Abs(working-want) > 0.3 {
		t.Errorf("half idle, working clock: %.2f %% down, by hand %.2f %%", working, want)
	}
	// Calendar clock: a failure each 100 h, found up to half a day later.
	if calendar < 100*10/(90+10+12.0) || calendar > 10 {
		t.Errorf("half idle, calendar clock: %.2f %% down, by hand 8.9 to 10 %%", calendar)
	}
}

// A booth that is never without ware, likewise: its repairs cut a piece in work,
// which is finished afterwards.
func TestBoothBreakdowns(t *testing.T) {
	for _, clock := range []string{"working", "calendar"} {
		w := readWorks(t, "../proof/works/pipeline.yaml")
		w.Benches, w.Orders = nil, nil
		b := &w.Glazing.Booths[0]
		b.Time = plant.PerWare[random.Law]{"": constant(t, 7*des.Hour)}
		b.Breakdowns = &plant.Breakdowns{Between: constant(t, 90*des.Hour), Repair: constant(t, 10*des.Hour), Clock: clock}
		w.Opening.White = map[string]int{"pan": 500}
		p := build(t, w)
		d, r := keep(t, p, 16) // 2,688 h: 26 turns of 100 h and 88 h
		exactly(t, clock+" clock: working, %", figure(t, p, r, "state.robots.working", 0, 16), 100*(26*90+88)/2688.0)
		exactly(t, clock+" clock: down, %", figure(t, p, r, "state.robots.down", 0, 16), 100*260/2688.0)
		// The 13th piece is begun at 84 h, cut at 90 h and done at 101 h.
		if at := d.of("glazed").times()[12]; at != 101*des.Hour {
			t.Errorf("%s clock: the piece in work at the failure was done at %v, by hand at 4d 05:00", clock, at)
		}
	}
}

// Machines with chance: exponential times between failures and of repair.
func TestBreakdownAvailabilityAtRandom(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	m := &w.Presses[0]
	m.Count, m.Cycle = 20, constant(t, des.Hour)
	between, err := random.Exponential(float64(18 * des.Hour))
	if err != nil {
		t.Fatal(err)
	}
	repair, err := random.Exponential(float64(2 * des.Hour))
	if err != nil {
		t.Fatal(err)
	}
	m.Breakdowns = &plant.Breakdowns{Between: between, Repair: repair, Clock: "working"}
	w.Kilns[0].Count = 100
	p := build(t, w)
	r := simulate(t, p, plant.Options{Source: random.New(5, 0), Weeks: machineWeeks})
	// 20 machines x 168 h a week are so many turns of 20 h; the standard
	// deviation of the share is about .9 x .1 x sqrt(2 / turns).
	turns := 20 * 168.0 * machineWeeks / 20
	if got := figure(t, p, r, "state.release.casting", 0, machineWeeks); math.Abs(got-90) > 4*9*math.Sqrt(2/turns) {
		t.Errorf("working %.2f %% of the time, by hand 18 / 20 = 90 %%", got)
	}
}

// tunnelWorks is the tunnel kiln of 60 cars with so many pieces before it.
func tunnelWorks(t *testing.T, glazed int) *plant.Works {
	t.Helper()
	w := readWorks(t, "../proof/works/tunnel.yaml")
	w.Opening.Glazed = map[string]int{"pan": glazed}
	return w
}

// When ware runs short a kiln that sends empties goes on pushing: after 100
// cars of ware, at 3 an hour, every car is empty; and gas is burnt all the same.
func TestEmptiesWhenShort(t *testing.T) {
	w := tunnelWorks(t, 2400)
	w.Kilns[0].Base = 1e6 // kJ an hour
	p := build(t, w)
	d, r := keep(t, p, 2)
	exactly(t, "pushes that were empty in the first week, %", figure(t, p, r, "kiln.tunnel.empty", 0, 1), 100*(504-100)/504.0)
	exactly(t, "pushes that were empty in the second week, %", figure(t, p, r, "kiln.tunnel.empty", 1, 2), 100)
	exactly(t, "gas of an empty week, GJ", figure(t, p, r, "fuel.tunnel", 1, 2), 168)
	if last := d.of("out of the kiln").times()[2399]; last != 99*20*des.Minute+20*des.Hour {
		t.Errorf("the last car came out at %v, by hand at 2d 05:00", last)
	}
}

// A kiln that holds its pushes waits for a loaded car, but not beyond its
// slowest push: after 100 cars at 20 minutes it pushes every 40.
func TestHoldWhenShort(t *testing.T) {
	w := tunnelWorks(t, 2400)
	w.Kilns[0].Short, w.Kilns[0].Slowest = "hold", 40*des.Minute
	p := build(t, w)
	d, r := keep(t, p, 1)
	// 100 pushes at 20 min, then 40 apart: (168 h - 33 h 20 min) / 40 min.
	exactly(t, "pushes that were empty, %", figure(t, p, r, "kiln.tunnel.empty", 0, 1), 100*202/302.0)
	exactly(t, "time of holding, %", figure(t, p, r, "state.tunnel.holding", 0, 1), 100*202*20/(168*60.0))
	// The last car goes in at 33:00 and comes out 60 slow pushes later.
	if out := d.of("out of the kiln").times(); out[0] != 20*des.Hour || out[2399] != 33*des.Hour+60*40*des.Minute {
		t.Errorf("the first car came out at %v, the last at %v; by hand at 20:00 and 3d 01:00", out[0], out[2399])
	}
}

// The push is stretched while fewer loaded cars wait than told.
func TestStretchedPush(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	w.Presses[0].Cycle = constant(t, 2*des.Minute) // 30 pieces an hour: 3 cars of 10
	w.Kilns[0] = tunnelWorks(t, 1).Kilns[0]
	k := &w.Kilns[0]
	k.Load = plant.PerWare[int]{"": 10}
	k.Push, k.Fastest, k.Slowest = 15*des.Minute, 12*des.Minute, 60*des.Minute // 4 cars an hour
	k.Placers, k.Ahead, k.PartCar = "nobody", 8, 1
	for _, stretched := range []bool{false, true} {
		if stretched {
			k.Stretch, k.StretchN = 24*des.Minute, 3 // 2.5 cars an hour while fewer than 3 wait
		}
		p := build(t, w)
		r := simulate(t, p, fixed(4))
		empty := figure(t, p, r, "kiln.tunnel.empty", 1, 4)
		if !stretched && math.Abs(empty-25) > 1 {
			t.Errorf("push 15 min: %.1f %% of the cars empty, by hand 25 %%", empty)
		}
		if stretched && empty > 0 {
			t.Errorf("stretched push: %.1f %% of the cars empty, by hand none", empty)
		}
	}
}

// A fleet of 65 cars for 60 inside is enough for a placer who takes seconds. One
// of 62 that take 20 minutes to draw and 20 to load, by one placer, fills every
// second push.
func TestCarFleet(t *testing.T) {
	for _, tt := range []struct {
		fleet int
		place des.Time
		full  float64 // %
	}{
		{65, des.Second, 100},
		{62, 50 * des.Second, 50},
	} {
		w := tunnelWorks(t, 50000)
		k := &w.Kilns[0]
		k.Placers, k.Place, k.Draw, k.Fleet = "placers", tt.place, tt.place, tt.fleet
		w.Crews[0].Roster = map[string]int{"always": 1}
		p := build(t, w)
		r := simulate(t, p, fixed(3))
		// Loads and draws of two weeks, 1,008 pushes, may differ by the 60 inside.
		if got := figure(t, p, r, "kiln.tunnel.full", 1, 3); math.Abs(got-tt.full) > 100*30/1008.0 {
			t.Errorf("fleet %d, %v a piece: %.1f %% of the pushes full, by hand %.0f %%", tt.fleet, tt.place, got, tt.full)
		}
	}
}

// A wreck loses the ware of six cars and stops the kiln: every 100 h, for 30 h.
func TestCarWreck(t *testing.T) {
	w := tunnelWorks(t, 50000)
	w.Kilns[0].Wrecks = &plant.Wrecks{Between: constant(t, 100*des.Hour), Stop: constant(t, 30*des.Hour), Cars: 6}
	p := build(t, w)
	d, r := keep(t, p, 3) // 504 h: wrecks at 100, 230, 360, 490 h
	exactly(t, "pieces wrecked", total(t, p, r, "lost.firing.car wreck", 3), 4*6*24)
	exactly(t, "time stopped, %", figure(t, p, r, "state.tunnel.stopped", 0, 3), 100*(30*3+14)/504.0)
	for _, at := range d.of("into the kiln").times() {
		if in := at % (130 * des.Hour); in > 100*des.Hour {
			t.Fatalf("a car went in at %v, while the kiln stood", at)
		}
	}
	exactly(t, "pieces in, out, wrecked and inside", float64(len(d.of("into the kiln"))), total(t, p, r, "packed.total", 3)+4*6*24+float64(inside(d)))
}

// inside is how many pieces are in the kiln at the end.
func inside(d diary) int {
	return len(d.of("into the kiln")) - len(d.of("out of the kiln")) - len(d.of("lost"))
}

// A suite waits for its mates: 10 pans a day and 5 cisterns make 5 suites.
func TestSuites(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches[0].Moulds, w.Ware[0].PerTrolley = 5, 1
	w.Kilns[0].Count = 10
	w.Packing.Suites = []plant.Suite{{Name: "close-coupled", Pieces: map[string]int{"pan": 1, "cistern": 1}}}
	p := build(t, w)
	r := simulate(t, p, fixed(12))
	pans, cisterns := total(t, p, r, "packed.pan", 12), total(t, p, r, "packed.cistern", 12)
	if fired := total(t, p, r, "cast.cistern", 12); pans != cisterns || pans < fired-15 || pans > fired {
		t.Errorf("%.0f pans and %.0f cisterns packed of %.0f cisterns cast; by hand like numbers, all but the last days'", pans, cisterns, fired)
	}
	// The pans left over stand before the packers: 5 more every day.
	grows := (figure(t, p, r, "wip.packing", 11, 12) - figure(t, p, r, "wip.packing", 3, 4)) / 8
	if math.Abs(grows-35) > 1.5 {
		t.Errorf("pans waiting for their mates grow by %.1f a week, by hand 35", grows)
	}
}

// An order of priority 1 overtakes ware for stock in every queue, one of
// priority 3 does not; it is met by ware cast from its start on.
func TestOrderPriority(t *testing.T) {
	done := map[int]des.Time{}
	for _, priority := range []int{1, 3} {
		w := readWorks(t, "testdata/works.yaml")
		w.Crews[4].Roster = map[string]int{"day": 1}
		w.Sorting.Time = plant.PerWare[random.Law]{"": constant(t, 100*des.Minute)} // 14.4 a day of 20
		w.Orders = []plant.Order{{Name: "hotel", Ware: "pan", Quantity: 30, Start: "2027-01-18 00:00", Priority: priority}}
		w.Kilns[0].Count = 10
		p := build(t, w)
		d, r := keep(t, p, 10)
		o := r.Orders[0]
		if o.Good != 30 {
			t.Fatalf("priority %d: %d of 30", priority, o.Good)
		}
		done[priority] = o.Done
		n := 0
		for _, x := range d.ware("pan").of("packed") {
			if x.At <= o.Done && d.piece(x.Piece)[0].At >= 2*des.Week {
				n++
			}
		}
		if n != 30 {
			t.Errorf("priority %d: %d pans cast for the order were packed when it was done, want 30", priority, n)
		}
	}
	if done[1] >= done[3]-des.Day {
		t.Errorf("with priority 1 done at %v, with 3 at %v", done[1], done[3])
	}
}

// What is in the works at the start comes out of it, wherever it stood.
func TestOpeningState(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = nil
	w.Opening = plant.OpeningState{
		Finished: map[string]int{"pan": 10, "cistern": 20}, Dried: map[string]int{"pan": 3}, White: map[string]int{"cistern": 7},
		Glazed: map[string]int{"pan": 25}, Fired: map[string]int{"pan": 4}, Patched: map[string]int{"cistern": 12}, Sorted: map[string]int{"pan": 6},
	}
	p := build(t, w)
	d, r := keep(t, p, 3)
	exactly(t, "pans packed", total(t, p, r, "packed.pan", 3), 10+3+25+4+6)
	exactly(t, "cisterns packed", total(t, p, r, "packed.cistern", 3), 20+7+12)
	exactly(t, "cast", total(t, p, r, "cast.total", 3), 0)
	exactly(t, "left in the works", figure(t, p, r, "wip.total", 2, 3), 0)
	for section, n := range map[string]int{"into dryer": 30, "passed white inspection": 33, "glazed": 40} {
		if got := len(d.of(section)); got != n {
			t.Errorf("%s: %d pieces, by hand %d", section, got, n)
		}
	}
}
