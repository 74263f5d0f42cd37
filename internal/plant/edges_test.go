package plant_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// Edges: what holds at the very minute, and one minute off it. Each case is a
// mistake that the larger tests let pass, since it moves next to nothing.

// A fill that ends as the casters leave is begun; a fill that would end a minute
// later is left for when they are back.
func TestFillUpToTheClose(t *testing.T) {
	for cover, want := range map[string]des.Time{
		"daily 06:00-06:20 08:00-14:00": 6 * des.Hour,
		"daily 06:00-06:19 08:00-14:00": 8 * des.Hour,
	} {
		w := readWorks(t, "testdata/works.yaml")
		setHours(w, "day", cover)
		d, _ := keep(t, build(t, w), 1)
		if got := d.of("filled", "pan-bench")[0].At; got != want {
			t.Errorf("casters there %s: first filled at %v, by hand %v", cover, got, want)
		}
	}
}

// A mould is old once it has more than four fifths of its casts: of 10 the ninth
// and tenth build at half the rate.
func TestOldMouldsBuildSlowly(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	b := &w.Benches[1]
	b.Life, b.Old, b.Moulds = casts(t, 10), 0.5, 2
	d, _ := keep(t, build(t, w), 3)
	for n, o := range d.of("filled", "pan-bench")[:2*12] {
		// Fill 20 min, build 100, drain 20, set 60, and 2 for each piece in turn.
		want := 200*des.Minute + des.Time(n%2+1)*2*des.Minute
		if cast := n/2%10 + 1; cast > 8 {
			want += 100 * des.Minute
		}
		if got := d.piece(o.Piece).of("demoulded")[0].At - o.At; got != want {
			t.Errorf("cast %d: out of the mould after %v, by hand %v", n/2+1, got, want)
		}
	}
}

// A mould that has dried through when it is filled again builds at full rate; one
// that lacks a minute builds at the rate of damp plaster.
func TestDampMoulds(t *testing.T) {
	for lack, builds := range map[des.Time]des.Time{0: 100 * des.Minute, des.Minute: 200 * des.Minute} {
		w := readWorks(t, "testdata/works.yaml")
		b := &w.Benches[1]
		b.Damp, b.Moulds, b.DryThru = 0.5, 1, b.DryBack+lack
		d, _ := keep(t, build(t, w), 2)
		for n, o := range d.of("filled", "pan-bench")[:8] {
			want := 102*des.Minute + builds
			if n == 0 {
				want = 202 * des.Minute // after a week without work
			}
			if got := d.piece(o.Piece).of("demoulded")[0].At - o.At; got != want {
				t.Errorf("%v short of dry, cast %d: out of the mould after %v, by hand %v", lack, n+1, got, want)
			}
		}
	}
}

// pansOnly is the works with one bench, of so many places, that casts pans.
func pansOnly(t *testing.T, places int) *plant.Works {
	t.Helper()
	w := readWorks(t, "testdata/works.yaml")
	w.Benches, w.Ware = w.Benches[1:], w.Ware[1:]
	w.Benches[0].Moulds, w.Ware[0].PerTrolley = places, 1
	return w
}

// Casters who work four fifths of their time take five minutes for four: fill and
// drain 25 min for 20, one piece in 2.5 min for 2; the wall builds and the ware
// sets as ever, 100 and 60 min. The first is out after 212.5 min, the last after 235.
func TestCastersAtTheirPace(t *testing.T) {
	w := pansOnly(t, 10)
	w.Crews[0].Effective = 0.8
	w.Benches[0].Casters = 1
	d, _ := keep(t, build(t, w), 1)
	out := d.of("demoulded").times()
	exactly(t, "first piece out, min", float64(out[0])/float64(des.Minute), 212.5)
	exactly(t, "last piece out, min", float64(out[9])/float64(des.Minute), 235)
}

// A press begins a cycle of which half fits before the close, and no other.
func TestLastCycleOfAShift(t *testing.T) {
	for cycle, fills := range map[des.Time]int{
		4 * des.Hour:     2,
		320 * des.Minute: 2, // of the second 160 min fit
		321 * des.Minute: 1, // and here 159
		7 * des.Hour:     1,
	} {
		w := readWorks(t, "../proof/works/door.yaml")
		w.Hours = append(w.Hours, plant.Hours{Name: "day", Weeks: []string{"daily 06:00-14:00"}})
		w.Presses[0].Hours, w.Presses[0].Cycle = "day", constant(t, cycle)
		d, _ := keep(t, build(t, w), 1)
		if got := len(d.of("filled")); got != 7*fills {
			t.Errorf("cycle %v: %d fills in a week, by hand %d a day", cycle, got, fills)
		}
	}
}

// What is made to order is cast as often as the order needs, less what is on its way.
func TestCastToOrder(t *testing.T) {
	w := pansOnly(t, 10)
	w.Ware[0].Make = "order"
	w.Orders = []plant.Order{{Name: "hotel", Ware: "pan", Quantity: 25, Priority: 2}}
	d, r := keep(t, build(t, w), 4)
	if got := len(d.of("filled")); got != 25 || r.Orders[0].Good != 25 {
		t.Errorf("%d cast and %d packed for an order of 25", got, r.Orders[0].Good)
	}
}

// filledFor is the pans cast to order in four weeks, by day, when bench and kiln
// lose none but by the yields set.
func filledFor(t *testing.T, change func(w *plant.Works), orders ...plant.Order) (byDay [28]int, good []int) {
	t.Helper()
	w := pansOnly(t, 10)
	w.Ware[0].Make = "order"
	w.Orders = orders
	change(w)
	d, r := keep(t, build(t, w), 4)
	for _, o := range d.of("filled") {
		byDay[o.At/des.Day]++
	}
	for _, o := range r.Orders {
		good = append(good, o.Good)
	}
	return byDay, good
}

// TestWhatIsOnTheWayToAnOrder: casts of a day by hand. A bench of ten is filled once
// a day.
func TestWhatIsOnTheWayToAnOrder(t *testing.T) {
	for _, tt := range []struct {
		what   string
		orders []plant.Order
		change func(w *plant.Works)
		days   []int
		good   []int
	}{{
		// 27 of the 30 glazed are to be good; the 3 that lack take 3 / (.8 x .9) = 4.2 casts.
		"ware that has passed white inspection is worth more than a cast",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 30, Priority: 2, Stock: true}},
		func(w *plant.Works) {
			w.Ware[0].Yields.White, w.Ware[0].Yields.FirstFire = 0.8, plant.Grades{A: 0.9}
			w.Opening.Glazed = map[string]int{"pan": 30}
		}, []int{5}, []int{30},
	}, {
		// A hundred pans in the works, none of which the order takes.
		"stock that no order takes is not on its way to one",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 20, Priority: 2}},
		func(w *plant.Works) {
			w.Ware[0].Yields.White = 0.5
			w.Opening.Dried = map[string]int{"pan": 100}
		}, []int{10, 10, 10, 10}, []int{20},
	}, {
		// Of the 20 for it alone the inn needs 5; the other 15 are of no use to the hotel.
		"what is for one order alone does not go to another",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 15, Priority: 2}, {Name: "inn", Ware: "pan", Quantity: 5, Priority: 3}},
		func(w *plant.Works) {
			w.Opening.Listed = []plant.OpenPieces{{Row: 1, Section: "tested", Ware: "pan", Count: 20, Order: "inn"}}
		}, []int{10, 5}, []int{15, 5},
	}, {
		// Both count stock, and there is enough for one of them.
		"stock is shared out once",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 15, Priority: 2, Stock: true}, {Name: "inn", Ware: "pan", Quantity: 5, Priority: 3, Stock: true}},
		func(w *plant.Works) { w.Opening.Fired = map[string]int{"pan": 15} }, []int{5}, []int{15, 5},
	}, {
		// The second begins on day 2: what was filled before is not for it, and of that 10
		// are still on their way.
		"what was filled before an order began is not on its way to it",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 20, Priority: 2}, {Name: "inn", Ware: "pan", Quantity: 10, Priority: 3, Start: "2027-01-06"}},
		func(w *plant.Works) {}, []int{10, 10, 10}, []int{20, 10},
	}, {
		// Of 20 filled two days before the start the hotel, begun by then, needs 5; the inn
		// begins with the start.
		"what was filled before an order began is not for it, even if another has no use for it",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 5, Priority: 2, Start: "2027-01-01"}, {Name: "inn", Ware: "pan", Quantity: 10, Priority: 3, Start: "2027-01-04"}},
		func(w *plant.Works) {
			w.Opening.Listed = []plant.OpenPieces{{Row: 1, Section: "tested", Ware: "pan", Count: 20, Filled: "2027-01-02 06:00"}}
		}, []int{10}, []int{5, 10},
	}, {
		// The ten that stand before the refire give 8 A, and 2 that may be fired once more:
		// 1.6; so 9.6 of 16 are on their way.
		"refires count with the yields of those that are left",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 16, Priority: 2, Stock: true}},
		func(w *plant.Works) {
			w.Refire.Most = 2
			w.Ware[0].Yields.LaterFire = plant.Grades{A: 0.8, Refire: 0.2}
			w.Opening.ToPatch = map[string]int{"pan": 10}
		}, []int{7}, []int{16},
	}, {
		// Half of what is sorted is B: the other half alone counts, before and after.
		"a B is on its way to nobody",
		[]plant.Order{{Name: "hotel", Ware: "pan", Quantity: 10, Priority: 2, Stock: true}},
		func(w *plant.Works) {
			w.Ware[0].Yields.FirstFire = plant.Grades{A: 0.5, B: 0.5}
			w.Opening.Fired = map[string]int{"pan": 10}
		}, []int{10}, []int{10},
	}} {
		byDay, good := filledFor(t, tt.change, tt.orders...)
		var want [28]int
		copy(want[:], tt.days)
		if byDay != want || !slices.Equal(good, tt.good) {
			t.Errorf("%s: filled by day %v, good %v; by hand %v and %v", tt.what, byDay, good, tt.days, tt.good)
		}
	}
}

// The plan of a day is not exceeded, and what is below it is made up.
func TestPlanOfADay(t *testing.T) {
	w := pansOnly(t, 10)
	w.Ware[0].Plan = quantityPerDay(2.5)
	d, _ := keep(t, build(t, w), 1)
	byDay := make([]int, 7)
	for _, o := range d.of("filled") {
		byDay[o.At/des.Day]++
	}
	if want := []int{2, 3, 2, 3, 2, 3, 2}; !slices.Equal(byDay, want) {
		t.Errorf("filled by day %v, by hand %v", byDay, want)
	}
}

// Casters see to filled moulds before they fill empty ones: of four benches and one
// caster the fourth is filled after the drains of the other three.
func TestDrainBeforeFill(t *testing.T) {
	w := pansOnly(t, 1)
	w.Crews[0].Roster = map[string]int{"day": 1}
	w.Benches[0].Count, w.Benches[0].Build = 4, 30*des.Minute
	d, _ := keep(t, build(t, w), 1)
	got := d.of("filled").times()[:4]
	if want := []des.Time{0, 20 * des.Minute, 40 * des.Minute, 120 * des.Minute}; !slices.Equal(got, want) {
		t.Errorf("filled at %v, by hand %v", got, want)
	}
}

// withShop gives the pans a mould shop with one case and one mould on its shelf.
func withShop(t *testing.T, change func(*plant.MouldSupply)) *plant.Works {
	t.Helper()
	w := pansOnly(t, 1)
	w.Benches[0].Life, w.Benches[0].DryBack = casts(t, 2), (24*60-202)*des.Minute // once a day
	w.Hours = append(w.Hours, plant.Hours{Name: "mould-shop", Weeks: []string{"daily 00:00-08:00"}})
	s := plant.MouldSupply{Name: "pan", Target: 1, Cases: 1, CasePours: 1000, PoursDay: 5, BlockSets: 10, Price: euros(10)}
	change(&s)
	w.MouldShop = &plant.MouldShop{Hours: "mould-shop", PerDay: 5, Pour: des.Day, Dry: 3 * des.Day, Moulds: []plant.MouldSupply{s}}
	return w
}

// A mould poured when one is handed out is handed out four days later: poured on
// day 2, 6, 10, each for two casts.
func TestMouldsDryBeforeUse(t *testing.T) {
	d, _ := keep(t, build(t, withShop(t, func(*plant.MouldSupply) {})), 2)
	var days []des.Time
	for _, at := range d.of("filled").times() {
		days = append(days, at/des.Day)
	}
	if want := []des.Time{0, 1, 2, 3, 6, 7, 10, 11}; !slices.Equal(days, want) {
		t.Errorf("filled on days %v, by hand %v", days, want)
	}
}

// A case of three pours, with none to follow, makes three moulds.
func TestCasePours(t *testing.T) {
	p := build(t, withShop(t, func(s *plant.MouldSupply) { s.CasePours, s.CaseLead = 3, 500*des.Day }))
	r := simulate(t, p, fixed(8))
	exactly(t, "money for moulds", total(t, p, r, "cost.moulds", 8), 3*10)
	exactly(t, "casts", total(t, p, r, "cast.pan", 8), (1+1+3)*2)
}

// Two cases come off a block, and a case makes one mould.
func TestBlocksOfCases(t *testing.T) {
	d, _ := keep(t, build(t, withShop(t, func(s *plant.MouldSupply) {
		s.CasePours, s.BlockSets, s.CaseLead, s.BlockLead = 1, 2, 0, 0
	})), 8)
	last := 0
	for _, o := range d.of("filled") {
		var mould, cast, life, no, block int
		if _, err := fmt.Sscanf(o.Detail, "working mould %d (cast %d of %d), case %d, block %d", &mould, &cast, &life, &no, &block); err != nil {
			t.Fatalf("%q: %v", o.Detail, err)
		}
		if block != (no+1)/2 {
			t.Errorf("case %d is off block %d, by hand %d", no, block, (no+1)/2)
		}
		last = max(last, no)
	}
	if last < 6 {
		t.Errorf("%d cases, want 6 and more", last)
	}
}

// A piece whose punching ends as the window closes is in time.
func TestPunchedAsTheWindowCloses(t *testing.T) {
	for until, late := range map[des.Time]float64{5 * des.Minute: 0, 5*des.Minute - 1: 100} {
		w := pansOnly(t, 1)
		w.Ware[0].Window = &plant.Window{Until: until}
		p := build(t, w)
		exactly(t, fmt.Sprintf("late with a window of %v, %%", until), figure(t, p, simulate(t, p, fixed(2)), "window.late", 0, 2), late)
	}
}

// Covered ware dries at half the rate: a pan of 22 % that is out at 03:22 and loses
// a point an hour uncovered needs three hours to 19 %, which are six under covers.
func TestCoveredWareDriesSlowly(t *testing.T) {
	for covered, want := range map[string]des.Time{
		"daily 00:00-12:00": 562 * des.Minute,              // six hours under covers
		"daily 00:00-04:22": (202 + 60 + 150) * des.Minute, // one hour, which counts as half
		"daily 12:00-24:00": 382 * des.Minute,
	} {
		w := pansOnly(t, 1)
		w.Hours = append(w.Hours, plant.Hours{Name: "covers", Weeks: []string{covered}})
		w.Shop.Covered, w.Shop.CoverFactor = "covers", 0.5
		d, _ := keep(t, build(t, w), 1)
		if got := d.of("taken up", "finishers")[0].At; got != want {
			t.Errorf("covered %s: punched at %v, by hand %v", covered, got, want)
		}
	}
}

// chamber makes the dryer one chamber for three trolleys.
func chamber(t *testing.T, change func(*plant.Dryer)) *plant.Works {
	t.Helper()
	w := pansOnly(t, 10)
	w.Dryers[0].Kind, w.Dryers[0].Count, w.Dryers[0].Trolleys = "chamber", 1, 3
	change(&w.Dryers[0])
	return w
}

// A chamber is loaded when it is full, or when its first trolley has waited long
// enough: then at that very minute.
func TestChamberIsFullOrLate(t *testing.T) {
	w := chamber(t, func(d *plant.Dryer) { d.Cycle = constant(t, des.Hour) })
	d, _ := keep(t, build(t, w), 2)
	loads := map[des.Time]int{}
	for _, at := range d.of("into dryer").times() {
		loads[at]++
	}
	for at, n := range loads {
		if n != 3 {
			t.Errorf("%d trolleys went in at %v, want 3", n, at)
		}
	}
	w = chamber(t, func(d *plant.Dryer) { d.Trolleys, d.Latest = 50, 7*des.Hour })
	d, _ = keep(t, build(t, w), 1)
	if first, in := d.of("on trolley")[0].At, d.of("into dryer")[0].At; in != first+7*des.Hour {
		t.Errorf("the first trolley, ready at %v, went in at %v, by hand 7 h later", first, in)
	}
}

// Ware that stiffens in the dryer goes through it twice and is charged for drying
// once.
func TestStiffeningIsNotCharged(t *testing.T) {
	const weeks = 3
	w := pansOnly(t, 10)
	w.Ware[0].Window.InDryer, w.Dryers[0].Energy = true, 4000 // kJ a piece
	p := build(t, w)
	d, r := keep(t, p, weeks)
	dried := 0
	for _, o := range d.of("into dryer") {
		if in := d.piece(o.Piece).of("into dryer").times(); len(in) == 2 && in[1] == o.At {
			dried++
		}
	}
	if dried < 100 {
		t.Fatalf("%d pieces went in twice", dried)
	}
	exactly(t, "fuel of drying, GJ", total(t, p, r, "fuel.floor", weeks), 4000e-6*float64(dried))
}

// Ware on trolleys has left the floor for good: a floor for 12 lets a bench of 10 be
// filled for weeks.
func TestTrolleysClearTheFloor(t *testing.T) {
	w := pansOnly(t, 10)
	w.Shop.Floor, w.Ware[0].PerTrolley = 12, 5
	p := build(t, w)
	exactly(t, "casts", total(t, p, simulate(t, p, fixed(6)), "cast.pan", 6), 6*7*10)
}

// A piece that is sorted a second time takes a time of its own, and
// is graded anew.
func TestSecondTimesAreDrawnAnew(t *testing.T) {
	w := pansOnly(t, 10)
	law, err := random.Uniform(float64(des.Minute), float64(9*des.Minute))
	if err != nil {
		t.Fatal(err)
	}
	w.Sorting.Time = plant.PerWare[random.Law]{"": law}
	w.Ware[0].Yields.FirstFire = plant.Grades{A: 0.5, Refire: 0.5}
	w.Ware[0].Yields.LaterFire = plant.Grades{A: 0.5, B: 0.5}
	var d diary
	simulate(t, build(t, w), plant.Options{Source: random.New(3, 0), Weeks: 12, Observer: func(x plant.Observation) { d = append(d, x) }})
	pieces, same, good := 0, 0, 0
	for _, o := range d.of("sent to refire") {
		own := d.piece(o.Piece)
		taken, again := own.of("taken up", "sorting").times(), append(own.of("sorted: A"), own.of("sorted: B")...).times()
		if len(taken) < 2 || len(again) == 0 {
			continue // not back yet
		}
		pieces++
		if again[0]-taken[1] == o.At-taken[0] {
			same++
		}
		good += len(own.of("sorted: A"))
	}
	if pieces < 300 || same > 0 {
		t.Errorf("of %d pieces sorted twice %d took as long both times", pieces, same)
	}
	if share := float64(good) / float64(pieces); share < 0.4 || share > 0.6 {
		t.Errorf("of refired pieces %.2f are A, want half", share)
	}
}

// Air at 10 degrees holds less water: at the humidity for which drying rates are told
// ware loses a point in the ratio of the saturation pressures, 4.2460 kPa at 30
// degrees and 1.2280 at 10. Three points take 3 h x 3.4577.
//
// source: ASHRAE Fundamentals 2009, chapter 1, table 3 (from memory).
func TestColdAirDriesSlowly(t *testing.T) {
	w := pansOnly(t, 1)
	w.Shop.Temperature, w.Shop.Humidity = 10, 0.6
	w.Benches[0].DryBack = 3 * des.Day
	d, _ := keep(t, build(t, w), 1)
	const opens = 3 * 4.2460 / 1.2280
	if got := hours(d.of("taken up", "finishers")[0].At - 202*des.Minute); math.Abs(got-opens) > 0.002 {
		t.Errorf("stiff after %.4f h, by hand %.4f h", got, opens)
	}
}
