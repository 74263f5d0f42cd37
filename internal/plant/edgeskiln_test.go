package plant_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// byLoad groups the pieces that went into a kiln by their car or load.
func byLoad(d diary) map[string][]plant.Observation {
	loads := map[string][]plant.Observation{}
	for _, o := range d.of("into the kiln") {
		loads[o.Detail] = append(loads[o.Detail], o)
	}
	return loads
}

// A car that must be full waits for its last piece.
func TestFullCarsAreFull(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	w.Presses[0].Cycle = constant(t, 10*des.Minute)
	w.Kilns[0] = tunnelWorks(t, 1).Kilns[0]
	w.Kilns[0].Placers, w.Kilns[0].PartCar = "nobody", 1
	d, _ := keep(t, build(t, w), 2)
	loads := byLoad(d)
	for car, pieces := range loads {
		if len(pieces) != 24 {
			t.Errorf("%s went in with %d pieces, want 24", car, len(pieces))
		}
	}
	if len(loads) < 50 {
		t.Errorf("%d cars", len(loads))
	}
}

// Wares of two bodies share no load of a kiln that takes one body; of one body they do.
func TestBodiesInAKiln(t *testing.T) {
	for _, body := range []string{"vitreous china", "fireclay"} {
		w := readWorks(t, "testdata/works.yaml")
		wareOf(w, "pan").Body = body
		w.Kilns[0].Mix = "one-body"
		d, _ := keep(t, build(t, w), 4)
		mixed := 0
		for _, pieces := range byLoad(d) {
			if slices.ContainsFunc(pieces, func(o plant.Observation) bool { return o.Ware != pieces[0].Ware }) {
				mixed++
			}
		}
		if (mixed > 0) != (body == "vitreous china") {
			t.Errorf("cisterns of vitreous china, pans of %s: %d mixed loads", body, mixed)
		}
	}
}

// Cars that are repaired for 61 minutes, three pushes and a little, after every ninth
// fire, of 20 h each, are not missed in the first week; in the second there are three
// more of them.
func TestRepairOfCars(t *testing.T) {
	w := tunnelWorks(t, 50000)
	p := build(t, w)
	cars := figure(t, p, simulate(t, p, fixed(1)), "kiln.tunnel.cars", 0, 1)
	w.Kilns[0].Repair, w.Kilns[0].RepairT = 9, 61*des.Minute
	p = build(t, w)
	r := simulate(t, p, fixed(2))
	exactly(t, "cars in use in the first week", figure(t, p, r, "kiln.tunnel.cars", 0, 1), cars)
	exactly(t, "cars in use in the second week", figure(t, p, r, "kiln.tunnel.cars", 1, 2), cars+3)
}

// One placer loads before he draws: of the first car, out at 20 h, the ware is drawn
// after 4 minutes of loading and 4 of drawing.
func TestLoadBeforeDraw(t *testing.T) {
	w := tunnelWorks(t, 50000)
	k := &w.Kilns[0]
	k.Placers, k.Place, k.Draw = "placers", 10*des.Second, 10*des.Second
	w.Crews[0].Roster = map[string]int{"always": 1}
	d, _ := keep(t, build(t, w), 1)
	out, packed := d.of("out of the kiln")[0].At, d.of("packed")[0].At
	if packed-out != 8*des.Minute {
		t.Errorf("out at %v, drawn %v later, by hand 8 min", out, packed-out)
	}
}

// A wreck takes the cars next to the exit: after 100 h and 10 min of pushes every 20
// min, 60 inside, these are the 242nd to the 247th.
func TestWreckedCars(t *testing.T) {
	w := tunnelWorks(t, 50000)
	w.Kilns[0].Wrecks = &plant.Wrecks{Between: constant(t, 100*des.Hour+10*des.Minute), Stop: constant(t, des.Hour), Cars: 6}
	d, _ := keep(t, build(t, w), 1)
	cars := map[string]bool{}
	for _, o := range d.of("lost") {
		cars[d.piece(o.Piece).of("into the kiln")[0].Detail] = true
	}
	for n := 242; n <= 247; n++ {
		if !cars[fmt.Sprintf("car %d", n)] {
			t.Errorf("car %d was not wrecked", n)
		}
	}
	if len(cars) != 6 {
		t.Errorf("wrecked: %v", cars)
	}
}

// A kiln that holds its pushes waits for twice its push where nothing else is told.
func TestSlowestPushLeftOut(t *testing.T) {
	told, left := tunnelWorks(t, 2400), tunnelWorks(t, 2400)
	told.Kilns[0].Short, told.Kilns[0].Slowest = "hold", 40*des.Minute
	left.Kilns[0].Short = "hold"
	a, _ := keep(t, build(t, told), 1)
	b, _ := keep(t, build(t, left), 1)
	if !slices.Equal(a.of("out of the kiln").times(), b.of("out of the kiln").times()) {
		t.Error("left out, the slowest push is not twice the push of 20 min")
	}
}

// Loading begins where half of it fits before the kiln's people leave.
func TestHalfALoadingFits(t *testing.T) {
	for loading, want := range map[des.Time]des.Time{
		8 * des.Hour:                10 * des.Hour,
		8*des.Hour + 2*des.Minute:   30 * des.Hour, // of 482 min 241 do not fit into four hours
		16*des.Hour - 20*des.Minute: 30 * des.Hour,
		2*des.Hour - 100*des.Minute: 10 * des.Hour,
	} {
		w := readWorks(t, "../proof/works/door.yaml")
		w.Hours = append(w.Hours, plant.Hours{Name: "day", Weeks: []string{"daily 06:00-14:00"}})
		w.Presses[0].Cycle = constant(t, des.Hour) // ten pieces at 10:00
		w.Kilns[0].Start, w.Kilns[0].Hours, w.Kilns[0].Loading = "full", "day", loading
		d, _ := keep(t, build(t, w), 1)
		if got := d.of("into the kiln")[0].At; got != want+loading {
			t.Errorf("loading %v: lit at %v, by hand at %v", loading, got, want+loading)
		}
	}
}

// What cars have in common: at a correlation of 30 % the scrap of cars of 24 varies
// 1 + 23 x 0.3 = 7.9 times as much as that of single pieces would.
func TestCarsHaveTheirLuck(t *testing.T) {
	w := tunnelWorks(t, 50000)
	w.Ware[0].Yields.FirstFire, w.Ware[0].Yields.CarLuck = plant.Grades{A: 0.9}, 0.3
	var d diary
	simulate(t, build(t, w), plant.Options{Source: random.New(1, 0), Weeks: 4, Observer: func(x plant.Observation) { d = append(d, x) }})
	load, lost := map[uint64]string{}, map[string]float64{}
	for _, o := range d {
		switch o.Event {
		case "into the kiln":
			load[o.Piece] = o.Detail
		case "out of the kiln":
			lost[load[o.Piece]] += 0
		case "lost":
			lost[load[o.Piece]]++
		}
	}
	var n, mean, square float64
	for _, x := range lost {
		n, mean, square = n+1, mean+x, square+x*x
	}
	mean /= n
	factor := (square/n - mean*mean) / (24 * 0.1 * 0.9)
	if n < 1800 || math.Abs(mean/24-0.1) > 0.02 || factor < 6 || factor > 10 {
		t.Errorf("%.0f cars: %.3f scrapped, spread by %.1f times that of single pieces; want 0.1 and 7.9", n, mean/24, factor)
	}
}

// Sampling: of three A pieces the third is tested; of each load the first two.
func TestSamples(t *testing.T) {
	w := pansOnly(t, 10)
	w.Tests[0].OneIn = 3
	d, _ := keep(t, build(t, w), 3)
	sorted, tested := d.of("sorted: A"), d.of("taken up", "leak")
	for n, o := range tested {
		if want := sorted[3*n+2].Piece; o.Piece != want {
			t.Fatalf("sample %d is piece %d, by hand %d", n+1, o.Piece, want)
		}
	}
	if len(tested) < 30 {
		t.Errorf("%d samples", len(tested))
	}

	w = pansOnly(t, 10)
	w.Tests[0].OfLoad = 2
	d, _ = keep(t, build(t, w), 3)
	for load, pieces := range byLoad(d) {
		n := 0
		for _, o := range pieces {
			n += len(d.piece(o.Piece).of("taken up", "leak"))
		}
		if packed := len(d.piece(pieces[len(pieces)-1].Piece).of("packed")) > 0; packed && n != 2 {
			t.Errorf("%s: %d tested, want 2", load, n)
		}
	}
}

// Of two orders for a ware that which is due first is served first, and while one is
// urgent all the ware is.
func TestOrdersForOneWare(t *testing.T) {
	w := pansOnly(t, 10)
	w.Orders = []plant.Order{
		{Name: "late", Ware: "pan", Quantity: 20, Due: "2027-03-01", Priority: 2},
		{Name: "soon", Ware: "pan", Quantity: 20, Due: "2027-02-01", Priority: 2},
	}
	r := simulate(t, build(t, w), fixed(4))
	if late, soon := r.Orders[0].Done, r.Orders[1].Done; soon >= late || late == des.Never {
		t.Errorf("due in February done at %v, due in March at %v", soon, late)
	}

	done := map[int]des.Time{}
	for _, orders := range []int{1, 2} {
		w := readWorks(t, "testdata/works.yaml")
		w.Crews[4].Roster = map[string]int{"day": 1}
		w.Sorting.Time = plant.PerWare[random.Law]{"": constant(t, 100*des.Minute)} // 14.4 a day of 20
		w.Kilns[0].Count = 10
		w.Orders = []plant.Order{
			{Name: "hotel", Ware: "pan", Quantity: 30, Start: "2027-01-18 00:00", Priority: 1},
			{Name: "stock", Ware: "pan", Quantity: 5000, Start: "2027-01-18 00:00", Priority: 3},
		}[:orders]
		done[orders] = simulate(t, build(t, w), fixed(8)).Orders[0].Done
	}
	if done[1] != done[2] || done[1] == des.Never {
		t.Errorf("an urgent order is done at %v, with one that can wait beside it at %v", done[1], done[2])
	}
}

// Finished pieces that the works begins with stand on the floor until a trolley is
// free: of ten, with one trolley for two that is away for a fortnight, eight.
func TestOpeningWareStandsOnTheFloor(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches, w.Shop.Trolleys = nil, 1
	w.Dryers[0].Cycle = constant(t, 2*des.Week)
	w.Opening = plant.OpeningState{Finished: map[string]int{"pan": 10}}
	p := build(t, w)
	exactly(t, "pieces in finishing", figure(t, p, simulate(t, p, fixed(1)), "wip.finishing", 0, 1), 8)
}

// Who pauses at the end of a shift leaves his piece to wait for the next: of the
// time that a piece is taken up the night is off shift, the rest work.
func TestPausedWorkIsOffShift(t *testing.T) {
	w := pansOnly(t, 10)
	setHours(w, "day", "daily 00:00-18:00")
	for i := range w.Crews {
		if w.Crews[i].Name == "inspectors" {
			w.Crews[i].InHand, w.Crews[i].Roster = "pause", map[string]int{"day": 3}
		}
	}
	w.White.Time = plant.PerWare[random.Law]{"": constant(t, 5*des.Hour)}
	d, _ := keep(t, build(t, w), 3)
	parts := plant.PartNames()
	working, off := slices.Index(parts, "working"), slices.Index(parts, "off_shift")
	paused := 0
	for _, o := range d.of("passed white inspection") {
		taken := d.piece(o.Piece).of("taken up", "white inspection")[0]
		span, night := o.At-taken.At, o.Spent[off]-taken.Spent[off]
		if o.Spent[working]-taken.Spent[working] != 5*des.Hour || span != 5*des.Hour+night || night%(6*des.Hour) != 0 {
			t.Fatalf("taken up at %v for %v: %v of it off shift", taken.At, span, night)
		}
		if night > 0 {
			paused++
		}
	}
	if paused == 0 {
		t.Error("no work was paused")
	}
}

// A bench's pieces are worked from the fill to their turn at the opening, and its
// casters from touch to touch: a bench of ten takes 20 + 20 + 10 x 2 minutes of the
// two casters' days.
func TestWorkAtABench(t *testing.T) {
	w := pansOnly(t, 10)
	p := build(t, w)
	d, r := keep(t, p, 2)
	working := slices.Index(plant.PartNames(), "working")
	for n, o := range d.of("demoulded") {
		want := 200*des.Minute + des.Time(n%10+1)*2*des.Minute
		if o.Spent[working] != want {
			t.Fatalf("piece %d was worked for %v, by hand %v", n+1, o.Spent[working], want)
		}
	}
	exactly(t, "casters working, %", figure(t, p, r, "state.casters.working", 0, 2), 100*60/2880.0)
}

// The moulds of a press stand in its cavities: a new one is off the same case.
func TestPressMouldsKeepTheirCavity(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	w.Presses[0].Cavities, w.Presses[0].Cycle, w.Presses[0].Life = 2, constant(t, des.Hour), casts(t, 10)
	d, _ := keep(t, build(t, w), 2)
	for n, o := range d.of("filled") {
		if want := fmt.Sprintf("case %d, ", n%2+1); !strings.Contains(o.Detail, want) {
			t.Fatalf("piece %d is from %q, want %q in it", n+1, o.Detail, want)
		}
	}
}

// Where nothing good comes out, the note names what took most.
func TestNoteOfTheWorstLoss(t *testing.T) {
	w := pansOnly(t, 10)
	w.Ware[0].Yields.Casting, w.Ware[0].Yields.White = 0.4, 0
	r := simulate(t, build(t, w), fixed(4))
	if note := strings.Join(r.Notes, "; "); !strings.Contains(note, "most were lost as finishing.casting fault") {
		t.Errorf("notes: %s", note)
	}
}

// Casters serve no other department.
func TestCastersServeNobodyElse(t *testing.T) {
	for path, lend := range map[string]func(w *plant.Works){
		"finishing.crew":           func(w *plant.Works) { w.Finishing.Crew = "casters" },
		"white-inspection.crew":    func(w *plant.Works) { w.White.Crew = "casters" },
		"glazing.booths.hand.crew": func(w *plant.Works) { w.Glazing.Booths[0].Crew = "casters" },
		"sorting.crew":             func(w *plant.Works) { w.Sorting.Crew = "casters" },
		"refire.crew":              func(w *plant.Works) { w.Refire.Crew = "casters" },
		"tests.leak.crew":          func(w *plant.Works) { w.Tests[0].Crew = "casters" },
		"packing.crew":             func(w *plant.Works) { w.Packing.Crew = "casters" },
	} {
		w := readWorks(t, "testdata/works.yaml")
		lend(w)
		_, faults := plant.New(w)
		if !slices.ContainsFunc(faults, func(f plant.Fault) bool { return f.Path == path }) {
			t.Errorf("casters as %s were accepted: %v", path, faults)
		}
	}
}

// Casters who begin only what half fits before the close can be asked for no more
// than twice their longest stay, those who begin only what fits for no more than it.
func TestChangesThatFit(t *testing.T) {
	for _, tt := range []struct {
		rule    string
		takes   des.Time
		refused bool
	}{
		{"fits", 8 * des.Hour, false}, {"fits", 8*des.Hour + 1, true},
		{"half", 16 * des.Hour, false}, {"half", 16*des.Hour + 2, true},
		{"finish", 40 * des.Hour, false}, {"pause", 40 * des.Hour, false},
	} {
		w := pansOnly(t, 10)
		w.Ware = append(w.Ware, w.Ware[0])
		w.Ware[1].Name = "basin"
		w.Hours = append(w.Hours, plant.Hours{Name: "eight", Weeks: []string{"daily 06:00-14:00"}})
		w.Crews[0].Roster, w.Crews[0].InHand = map[string]int{"eight": 2}, tt.rule
		w.Benches[0].Change = []plant.Changeover{{Name: "2027-01-18", Ware: "basin", Takes: tt.takes}}
		_, faults := plant.New(w)
		got := slices.ContainsFunc(faults, func(f plant.Fault) bool { return strings.HasSuffix(f.Path, ".takes") })
		if got != tt.refused {
			t.Errorf("%s, a change of %v in shifts of 8 h: refused %v, want %v: %v", tt.rule, tt.takes, got, tt.refused, faults)
		}
	}
}
