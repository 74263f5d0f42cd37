package plant_test

import (
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// A works as large as any, in a currency of small units: money adds up to the
// millionth. 3,000 casters round the clock at 500,000 an hour.
func TestWagesOfALargeWorks(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Crews[0].Roster = map[string]int{"day": 3000}
	w.Crews[0].Wage = quantity.Wage(euros(500_000))
	p := build(t, w)
	r := simulate(t, p, fixed(4))
	exactly(t, "wages of a week", figure(t, p, r, "cost.wages", 0, 4), 3000*168*500_000)
}

// Money that would not fit into the counters is refused before it is counted.
func TestMoneyThatDoesNotFit(t *testing.T) {
	for heads, refused := range map[int]bool{47_618: false, 47_619: false, 47_620: true} { // x 168 h x 500,000 x 1 week: 3.99999e12, 4.00008e12
		w := readWorks(t, "testdata/works.yaml")
		w.Run.Length = des.Week
		w.Crews[0].Roster = map[string]int{"day": heads}
		w.Crews[0].Wage = quantity.Wage(euros(500_000))
		_, faults := plant.New(w)
		found := false
		for _, f := range faults {
			found = found || f.Limit && f.Path == "currency" && strings.Contains(f.What, "above the limit of 4e+12")
		}
		if found != refused {
			t.Errorf("%d heads: refused %v, want %v: %v", heads, found, refused, faults)
		}
	}
}

// Benches that lack moulds are not ready, so that they look fully used: what
// keeps them back is told by the load of the case sets. Ten places want 10 casts
// a day, moulds last 2, and one case set gives 3 a day: 6 casts.
func TestCaseSetsLimit(t *testing.T) {
	w := pansOnly(t, 10)
	w.Benches[0].Life, w.Benches[0].DryBack = casts(t, 2), (24*60-220)*des.Minute // once a day
	w.Hours = append(w.Hours, plant.Hours{Name: "mould-shop", Weeks: []string{"daily 00:00-08:00"}})
	w.MouldShop = &plant.MouldShop{Hours: "mould-shop", PerDay: 12, Pour: des.Day, Dry: des.Day, Moulds: []plant.MouldSupply{
		{Name: "pan", Target: 20, Cases: 1, CasePours: 1000, PoursDay: 3, BlockSets: 10},
	}}
	p := build(t, w)
	r := simulate(t, p, fixed(12))
	exactly(t, "casts a week", figure(t, p, r, "cast.pan", 8, 12), 7*3*2)
	exactly(t, "load of the case sets, %", figure(t, p, r, "load.case sets of pan", 8, 12), 100)
	exactly(t, "load of the mould shop, %", figure(t, p, r, "load.mould shop", 8, 12), 100*3./12)
	exactly(t, "load of the benches, %", figure(t, p, r, "load.pan-bench", 8, 12), 100)
	exactly(t, "load of the case sets by hand, %", byHand(t, p, "load.case sets of pan"), 100*10./2/3)
}

// A case that wears out in the middle of a day is followed by a spare, which can
// be poured too: no more is poured than could be.
func TestLoadOfCasesThatWearOut(t *testing.T) {
	w := withShop(t, func(s *plant.MouldSupply) {
		s.Target, s.CasePours, s.SpareCases, s.CaseLead, s.PoursDay = 50, 4, 1, 0, 3
	})
	p := build(t, w)
	r := simulate(t, p, fixed(8))
	if load := figure(t, p, r, "load.case sets of pan", 0, 8); load <= 0 || load > 100 {
		t.Errorf("the load of the case sets is %.1f %%", load)
	}
}

// Sizes are refused from one above the limit on: mould places, pieces that are there at
// the start, and events by hand, of which a further bench brings as many as the one
// before.
func TestSizesOfAWorks(t *testing.T) {
	perBench := func(benches int) float64 {
		w := pansOnly(t, 10)
		w.Benches[0].Count = benches
		return build(t, w).Events()
	}
	each := perBench(2) - perBench(1)
	fits := int((1e9 - perBench(1)) / each) // besides the first
	tests := []struct {
		what string
		most int
		set  func(w *plant.Works, n int)
	}{
		{"mould places, above the limit of 1000000", 100_000, func(w *plant.Works, n int) { w.Benches[0].Count = n }}, // of ten
		{"pieces are there at the start, above the limit of 5000000", 5_000_000, func(w *plant.Works, n int) {
			w.Opening.Dried = map[string]int{"pan": n - 7}
			w.Opening.Listed = []plant.OpenPieces{{Section: "dried", Ware: "pan", Count: 7}}
		}},
		{"events, above the limit of 1e+09", 1 + fits, func(w *plant.Works, n int) { w.Benches[0].Count = n }},
	}
	for _, test := range tests {
		for _, n := range []int{test.most - 1, test.most, test.most + 1} {
			w := pansOnly(t, 10)
			test.set(w, n)
			refused := false
			_, faults := plant.New(w)
			for _, f := range faults {
				refused = refused || f.Limit && strings.Contains(f.What, test.what)
			}
			if refused != (n > test.most) {
				t.Errorf("%s: %d gives %v", test.what, n, faults)
			}
		}
	}
}

// Failures are counted before a run: with 1 h to the next one and 1 h of repair each
// machine has 84 a week, of four events. What breaks every millisecond is refused.
func TestFailuresAreCounted(t *testing.T) {
	every := func(ms des.Time) *plant.Breakdowns {
		law, err := random.Constant(float64(ms))
		if err != nil {
			t.Fatal(err)
		}
		return &plant.Breakdowns{Between: law, Repair: law}
	}
	w := pansOnly(t, 10)
	before := build(t, w).Events()
	w.Glazing.Booths[0].Breakdowns = every(des.Hour)
	exactly(t, "events of failures", build(t, w).Events()-before, float64(12*84*4*w.Glazing.Booths[0].Count))
	w.Glazing.Booths[0].Breakdowns = every(1)
	_, faults := plant.New(w)
	if path := "glazing.booths." + w.Glazing.Booths[0].Name + ".breakdowns"; len(faults) == 0 || !faults[0].Limit || faults[0].Path != path {
		t.Errorf("failures every millisecond give %v, want %s", faults, path)
	}
}
