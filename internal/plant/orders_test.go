package plant_test

import (
	"bytes"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// ordered is the small works with an order in two deliveries that it meets within
// a few weeks.
func ordered(t *testing.T, change func(o *plant.Order)) *plant.Plant {
	t.Helper()
	w := readWorks(t, "../../scenarios/small-works.yaml")
	o := plant.Order{Name: "hotel", Ware: w.Ware[0].Name, Quantity: 300, Priority: 2, Lots: []plant.Lot{
		{Name: "second", Quantity: 120, Due: "2027-03-01"}, {Name: "first", Quantity: 80, Due: "2027-02-01"},
	}}
	if change != nil {
		change(&o)
	}
	w.Orders = []plant.Order{o}
	return build(t, w)
}

// TestLots holds that part deliveries are served by date, count up to the whole,
// and end in that order.
func TestLots(t *testing.T) {
	p := ordered(t, nil)
	o := options(11, 3)
	o.Weeks, o.Daily = 12, true
	r := simulate(t, p, o).Orders[0]
	if len(r.Lots) != 2 || r.Lots[0].Name != "first" || r.Lots[0].Want != 80 || r.Lots[1].Want != 200 {
		t.Fatalf("lots are %+v", r.Lots)
	}
	if !(0 < r.Lots[0].Done && r.Lots[0].Done < r.Lots[1].Done && r.Lots[1].Done < r.Done && r.Done < des.Never) {
		t.Errorf("lots end at %v and %v, the order at %v", r.Lots[0].Done, r.Lots[1].Done, r.Done)
	}
	sum, reached := 0, des.Time(-1)
	for day, n := range r.Days {
		if sum += int(n); sum >= 80 && reached < 0 {
			reached = des.Time(day)
		}
	}
	if sum != r.Good || reached != r.Lots[0].Done/des.Day {
		t.Errorf("the days add up to %d of %d; 80 are reached on day %d, the first lot on day %d", sum, r.Good, reached, r.Lots[0].Done/des.Day)
	}
}

// TestPackedBefore holds that what was packed before the start counts, lots
// included, and that the order then ends sooner.
func TestPackedBefore(t *testing.T) {
	o := options(11, 3)
	o.Weeks = 12
	whole := simulate(t, ordered(t, nil), o).Orders[0]
	rest := simulate(t, ordered(t, func(o *plant.Order) { o.Packed = 100 }), o).Orders[0]
	if rest.Lots[0].Done != 0 || rest.Lots[1].Done != mustReach(t, 100, 12) || rest.Done >= whole.Done || rest.Good != 300 {
		t.Errorf("with 100 packed before: %+v, without %+v", rest, whole)
	}
}

// mustReach is when so many pieces of the order are packed.
func mustReach(t *testing.T, pieces, weeks int) des.Time {
	o := options(11, 3)
	o.Weeks = weeks
	return simulate(t, ordered(t, func(o *plant.Order) { o.Quantity, o.Lots = pieces, nil }), o).Orders[0].Done
}

// TestUntilDone holds that a run that ends with its order is the beginning of
// the one that goes on, and that its laws hold there.
func TestUntilDone(t *testing.T) {
	p := ordered(t, nil)
	o := options(11, 3)
	o.Weeks, o.Daily = 16, true
	long := simulate(t, p, o)
	o.Until = []string{"hotel"}
	short := simulate(t, p, o)
	weeks := len(short.Week)
	if want := int(long.Orders[0].Done/des.Week) + 1; weeks != want {
		t.Errorf("ended after %d weeks, done in week %d", weeks, want)
	}
	if short.Orders[0].Done != long.Orders[0].Done || len(short.Days) != 7*weeks {
		t.Errorf("done at %v, without the end at %v; %d days", short.Orders[0].Done, long.Orders[0].Done, len(short.Days))
	}
	for w := range short.Week {
		for c, n := range short.Week[w] {
			if n != long.Week[w][c] {
				t.Fatalf("week %d, counter %d: %d, without the end %d", w, c, n, long.Week[w][c])
			}
		}
	}
}

// TestDaysAreWeeks holds the counts by day against the book.
func TestDaysAreWeeks(t *testing.T) {
	p := ordered(t, nil)
	o := options(11, 3)
	o.Weeks, o.Daily = 12, true
	r := simulate(t, p, o)
	for i, ware := range p.Works().Ware {
		var cast, good, worn int32
		for _, day := range r.Days {
			cast, good, worn = cast+day[i].Cast, good+day[i].Good, worn+day[i].Worn
		}
		for name, n := range map[string]int32{"cast.": cast, "packed.": good, "moulds.worn.": worn} {
			if want := figure(t, p, r, name+ware.Name, 0, 12) * 12; int32(want+.5) != n {
				t.Errorf("%s%s: %d by day, %.1f by week", name, ware.Name, n, want)
			}
		}
	}
}

// TestRedeal holds that luck dealt anew is that of the other source for what is
// picked, and the old for the rest.
func TestRedeal(t *testing.T) {
	p := ordered(t, nil)
	plain, other := options(11, 3), options(11, 4)
	with := func(causes ...plant.Cause) []byte {
		o := plain
		o.Redeal = &plant.Redeal{Causes: causes, Source: random.New(11, 4)}
		return bytesOf(t, simulate(t, p, o))
	}
	if !bytes.Equal(with(), bytesOf(t, simulate(t, p, plain))) {
		t.Error("no cause changes the run")
	}
	if !bytes.Equal(with(plant.Causes()...), bytesOf(t, simulate(t, p, other))) {
		t.Error("all causes are not the other luck")
	}
	some := with(plant.CausePieces)
	if bytes.Equal(some, bytesOf(t, simulate(t, p, plain))) || bytes.Equal(some, bytesOf(t, simulate(t, p, other))) {
		t.Error("the luck of pieces alone is that of all or of none")
	}
}

// TestImpossibleOrders holds what is refused.
func TestImpossibleOrders(t *testing.T) {
	for what, change := range map[string]func(o *plant.Order){
		"the part deliveries are of 400 pieces": func(o *plant.Order) { o.Lots[0].Quantity = 320 },
		"300 of 300 are packed already":         func(o *plant.Order) { o.Packed = 300 },
		"must be of at least one piece":         func(o *plant.Order) { o.Lots[1].Quantity = 0 },
	} {
		w := readWorks(t, "../../scenarios/small-works.yaml")
		o := plant.Order{Name: "hotel", Ware: w.Ware[0].Name, Quantity: 300, Priority: 2, Lots: []plant.Lot{
			{Name: "a", Quantity: 100, Due: "2027-02-01"}, {Name: "b", Quantity: 80, Due: "2027-03-01"},
		}}
		change(&o)
		w.Orders = []plant.Order{o}
		_, faults := plant.New(w)
		found := false
		for _, f := range faults {
			found = found || !f.Warning && strings.Contains(f.What, what)
		}
		if !found {
			t.Errorf("%s: not among %v", what, faults)
		}
	}
}
