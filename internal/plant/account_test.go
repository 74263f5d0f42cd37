package plant_test

import (
	"math"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// What is told of a run is held against the diary of its pieces: counts, prices and
// wages, each by the arithmetic that its measure promises.

// euros is a price in millionths.
func euros(n int64) quantity.Money { return quantity.Money(n * 1_000_000) }

// byHand is a value of the estimate by hand, which must be there.
func byHand(t *testing.T, p *plant.Plant, name string) float64 {
	t.Helper()
	v, ok := p.Hand().Value(name)
	if !ok {
		t.Fatalf("the estimate has no %s", name)
	}
	return v
}

// TestSalesAndCosts: half the pans are B, one in five is fired twice; sales are
// those of A and B at their prices, and what they contribute is sales less every
// line of the cost.
func TestSalesAndCosts(t *testing.T) {
	const weeks = 6
	w := readWorks(t, "testdata/works.yaml")
	pan := wareOf(w, "pan")
	pan.Price, pan.SecondPrice = euros(100), euros(40)
	pan.Costs = plant.StageCosts{Casting: euros(3), Firing: euros(5), Refire: euros(4), Packing: euros(1)}
	pan.Yields.FirstFire = plant.Grades{A: 0.4, B: 0.4, Refire: 0.2}
	pan.Yields.LaterFire = plant.Grades{A: 0.5, B: 0.5}
	w.Crews[len(w.Crews)-1].Wage = quantity.Wage(euros(20))
	w.Crews[len(w.Crews)-1].Premium = map[string]quantity.Share{"day": 0.25}
	p := build(t, w)
	d, r := keep(t, p, weeks)

	of := func(event string) float64 { return float64(len(d.ware("pan").of(event))) }
	in := func(measure string) float64 { return total(t, p, r, measure, weeks) }
	packed, seconds := in("packed.pan"), in("seconds.pan")
	exactly(t, "A and B packed", packed+seconds, of("packed"))
	if math.Abs(packed-seconds) > 2 || seconds < 100 {
		t.Errorf("%v A and %v B packed, want as many", packed, seconds)
	}
	exactly(t, "yield, %", figure(t, p, r, "yield.pan", 0, weeks), 100*packed/of("filled"))
	exactly(t, "yield of all wares, %", figure(t, p, r, "yield.total", 0, weeks), 100*in("packed.total")/float64(len(d.of("filled"))))
	exactly(t, "pieces sent to refire", in("refires.total"), of("sent to refire"))
	fired := float64(len(d.of("into the kiln")))
	exactly(t, "firings of a good piece", figure(t, p, r, "firings.per_good", 0, weeks), fired/in("packed.total"))

	// The casters' 20 EUR/h are in the file; two heads of either crew, round the clock.
	exactly(t, "wages of a week", figure(t, p, r, "cost.wages", 0, weeks), 2*168*20+2*168*20*1.25)
	cost := 0.0
	for _, m := range p.Measures() {
		if strings.HasPrefix(m.Name, "cost.") && m.Name != "cost.per_good" {
			cost += in(m.Name)
		}
	}
	exactly(t, "contribution", in("contribution"), 100*packed+40*seconds-cost)
}

// TestSecondRefire: who may be fired three times is, and counts two refires.
func TestSecondRefire(t *testing.T) {
	const weeks = 6
	w := readWorks(t, "testdata/works.yaml")
	w.Refire.Most = 2
	pan := wareOf(w, "pan")
	pan.Yields.FirstFire = plant.Grades{A: 0.5, Refire: 0.5}
	pan.Yields.LaterFire = plant.Grades{A: 0.5, Refire: 0.5}
	p := build(t, w)
	d, r := keep(t, p, weeks)
	thrice := 0
	for _, o := range d.of("packed") {
		if n := len(d.piece(o.Piece).of("into the kiln")); n == 3 {
			thrice++
		} else if n > 3 {
			t.Fatalf("piece %d was fired %d times", o.Piece, n)
		}
	}
	if thrice < 20 {
		t.Errorf("%d pieces were fired three times, want one in eight of some 300", thrice)
	}
	exactly(t, "pieces sent to refire", total(t, p, r, "refires.total", weeks), float64(len(d.of("sent to refire"))))

	// By hand: of 10 a day half are A, a quarter come back good from the second
	// fire, an eighth from the third.
	exactly(t, "A pieces a week by hand", byHand(t, p, "packed.pan"), byHand(t, p, "cast.pan")*0.875)
	exactly(t, "refires a week by hand", byHand(t, p, "refires.total"), byHand(t, p, "cast.pan")*0.75)
}

// TestBreakageByHand: what breaks at the packing is not packed.
func TestBreakageByHand(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	wareOf(w, "pan").Yields.Breakage = 0.1
	p := build(t, w)
	exactly(t, "A pieces a week by hand", byHand(t, p, "packed.pan"), byHand(t, p, "cast.pan")*0.9)
}

// TestAbsenceByHand: of the hours of a crew the share that is absent is not there
// to be used.
func TestAbsenceByHand(t *testing.T) {
	capacity := func(absence quantity.Share) float64 {
		w := readWorks(t, "testdata/works.yaml")
		setHours(w, "day", "daily 06:00-24:00")
		for i := range w.Crews {
			w.Crews[i].Absence = absence
		}
		for _, d := range build(t, w).Hand().Departments {
			if d.Name == "inspectors" {
				return d.Capacity
			}
		}
		return math.NaN()
	}
	exactly(t, "hours of inspectors, a tenth absent", capacity(0.1), 0.9*2*126)
	exactly(t, "hours of inspectors", capacity(0), 2*126)
}

// TestMouldsOfPressesArePaid: a press mould of 10 casts at 500 EUR makes each piece
// 50 EUR dearer.
func TestMouldsOfPressesArePaid(t *testing.T) {
	w := readWorks(t, "../proof/works/door.yaml")
	w.Presses[0].Cycle, w.Presses[0].Life = constant(t, des.Hour), casts(t, 10)
	w.Presses[0].MouldPrice, w.Presses[0].Change = euros(500), 0
	p := build(t, w)
	r := simulate(t, p, fixed(4))
	worn := total(t, p, r, "moulds.worn.pan", 4)
	exactly(t, "moulds worn", worn, 67) // 672 casts, the first mould half worn
	exactly(t, "money for moulds", total(t, p, r, "cost.moulds", 4), 500*worn)
}

// TestReleased: what a piece waited for longest, from one observation to the next.
func TestReleased(t *testing.T) {
	parts := plant.PartNames()
	at := func(ms map[string]des.Time) *plant.Observation {
		var o plant.Observation
		for k, name := range parts {
			o.Spent[k] = ms[name]
		}
		return &o
	}
	for _, tt := range []struct {
		before, after map[string]des.Time
		want          string
	}{
		{nil, map[string]des.Time{"working": 9}, ""},
		{nil, map[string]des.Time{"working": 9, "crew": 2}, "crew"},
		{nil, map[string]des.Time{"place": 3, "crew": 2}, "place"},
		{nil, map[string]des.Time{"place": 3, "batch": 4, "crew": 2}, "batch-mate"},
		{nil, map[string]des.Time{"place": 3, "off_shift": 4, "window": 5}, "window"},
		{map[string]des.Time{"place": 3, "off_shift": 90}, map[string]des.Time{"place": 4, "off_shift": 90}, "place"},
	} {
		if got := at(tt.after).Released(at(tt.before)); got != tt.want {
			t.Errorf("from %v to %v: %q, want %q", tt.before, tt.after, got, tt.want)
		}
	}
}

// TestEffectiveTime: at 80 % effective time work takes a quarter longer.
func TestEffectiveTime(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	for i := range w.Crews {
		if w.Crews[i].Name == "inspectors" {
			w.Crews[i].Effective = 0.8
		}
	}
	d, _ := keep(t, build(t, w), 2)
	for _, o := range d.of("passed white inspection") {
		for _, taken := range d.piece(o.Piece).of("taken up", "white inspection") {
			if o.At-taken.At != 150*des.Second {
				t.Fatalf("2 min of work took %v, by hand 150 s", o.At-taken.At)
			}
		}
	}
}

// TestAbsenceIsDrawnByTheDay: a hand that is away on half the days is there on the
// other half.
func TestAbsenceIsDrawnByTheDay(t *testing.T) {
	const weeks = 20
	w := readWorks(t, "testdata/works.yaml")
	setHours(w, "day", "daily 00:00-18:00")
	for i := range w.Crews {
		w.Crews[i].Absence = 0.5
	}
	p := build(t, w)
	r := simulate(t, p, plant.Options{Source: random.New(1, 0), Weeks: weeks})
	for _, crew := range []string{"patchers", "packers"} {
		absent := figure(t, p, r, "state."+crew+".absent", 0, weeks)
		there := 100 - figure(t, p, r, "state."+crew+".off shift", 0, weeks) - absent
		exactly(t, crew+": there and absent, %", there+absent, 75)
		if there < 27 || there > 48 { // of 140 days of one hand the sd is 3.2 %
			t.Errorf("%s are there for %.1f %% of the time, want half of 75 %%", crew, there)
		}
	}
}

// TestAbsenceNeedsHoursThatClose: who is away would be drawn once for a whole run.
func TestAbsenceNeedsHoursThatClose(t *testing.T) {
	for cover, refused := range map[string]bool{"always": true, "daily 00:00-24:00": true, "daily 22:00-06:00": false, "Mon-Fri 06:00-22:00": false} {
		w := readWorks(t, "testdata/works.yaml")
		setHours(w, "day", cover)
		w.Crews[1].Absence = 0.05
		_, faults := plant.New(w)
		found := false
		for _, f := range faults {
			found = found || f.Path == "crews."+w.Crews[1].Name+".absence"
		}
		if found != refused {
			t.Errorf("absence over %s: refused %v, want %v: %v", cover, found, refused, faults)
		}
	}
}
