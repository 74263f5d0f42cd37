package decision_test

import (
	"fmt"
	"math"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
)

// near fails unless a value agrees with a published one to half a unit of its
// last digit.
func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.8g, want %g ± %g", what, got, want, within)
	}
}

// TestMoney holds the factors of interest against tables.
func TestMoney(t *testing.T) {
	for _, c := range []struct {
		what              string
		got, want, within float64
		source            string
	}{
		{"recovery 10 %, 15 years", decision.CapitalRecovery(0.10, 15), 0.13147, 5e-6, "tables of engineering economics, A/P factor"},
		{"recovery 8 %, 20 years", decision.CapitalRecovery(0.08, 20), 0.10185, 5e-6, "tables of engineering economics, A/P factor"},
		{"recovery without interest", decision.CapitalRecovery(0, 15), 1. / 15, 1e-12, "definition"},
		{"recovery at hardly any interest", decision.CapitalRecovery(1e-12, 15), 1. / 15, 1e-9, "limit"},
		{"sinking fund 10 %, 15 years", decision.SinkingFund(0.10, 15), 0.03147, 5e-6, "tables of engineering economics, A/F factor"},
		{"tunnel, fixed cost a year", decision.Outlay{Capital: 2.4e6, Upkeep: 250e3, Life: 15}.PerYear(0.10), 565537, 0.5, "computed by hand: 2.4 M x .131474 + 250 k"},
		{"shuttle, fixed cost a year", decision.Outlay{Capital: 0.9e6, Upkeep: 140e3, Life: 15}.PerYear(0.10), 258326, 0.5, "computed by hand: .9 M x .131474 + 140 k"},
		{"output from which the tunnel pays", decision.BreakEven(565537, 3.1, 258326, 6.2), 99100, 0.5, "computed by hand: 307,211 / 3.1"},
		{"three amounts of 100 at 10 %", decision.PresentValue(0.10, []float64{0, 100, 100, 100}), 248.685, 5e-4, "tables of engineering economics, P/A 2.48685"},
		{"annuity 10 %, 3 years", decision.Annuity(0.10, 3), 2.48685, 5e-6, "tables of engineering economics, P/A factor"},
		{"payback", decision.Outlay{Capital: 900e3, Upkeep: 20e3, Life: 15}.Payback(200e3), 5, 1e-12, "900 / (200 - 20)"},
	} {
		near(t, c.what, c.got, c.want, c.within)
	}
	if v := decision.BreakEven(1, 2, 3, 2); !math.IsNaN(v) {
		t.Errorf("options of one variable cost break even at %v", v)
	}
	if v := (decision.Outlay{Capital: 1, Upkeep: 5, Life: 1}).Payback(5); !math.IsInf(v, 1) {
		t.Errorf("nothing saved pays back in %v years", v)
	}
}

// TestPresentValueAgreesWithAnnualCost holds that the two ways of judging an
// outlay are one: it is worth something today exactly as far as it saves more
// than its yearly cost, with its residual counted at the end of its life.
func TestPresentValueAgreesWithAnnualCost(t *testing.T) {
	o := decision.Outlay{Capital: 900e3, Residual: 100e3, Upkeep: 20e3, Life: 15}
	const rate, saving = 0.08, 160e3
	amounts := []float64{-o.Capital}
	for range 15 {
		amounts = append(amounts, saving-o.Upkeep)
	}
	amounts[15] += o.Residual
	near(t, "present value", o.NetPresentValue(rate, saving), decision.PresentValue(rate, amounts), 1e-6)
}

// TestSlotsPerGood holds places in the kiln for a good piece.
func TestSlotsPerGood(t *testing.T) {
	for _, c := range []struct {
		most                int
		loads, yield, slots float64
	}{
		// source: computed by hand, .80 good and .12 refired, later .70 and .05.
		{0, 1.126, .888, 1.268},
		{1, 1.120, .884, 1.267},
	} {
		f := decision.Fires{Good: .80, Again: .12, LaterGood: .70, LaterAgain: .05, Most: c.most}
		near(t, fmt.Sprintf("loads, %d refires", c.most), f.Loads(), c.loads, 5e-4)
		near(t, fmt.Sprintf("yield, %d refires", c.most), f.Yield(), c.yield, 5e-4)
		near(t, fmt.Sprintf("slots, %d refires", c.most), f.SlotsPerGood(), c.slots, 5e-4)
	}
	// source: hand calculation of Plant A, good after one refire.
	for _, c := range []struct {
		ware          string
		good, refired float64
		later, want   float64
	}{{"pan", .80, .13, .80, .904}, {"cistern", .88, .08, .85, .948}, {"basin", .86, .09, .82, .9338}, {"fireclay", .78, .14, .75, .885}} {
		near(t, c.ware, decision.Fires{Good: c.good, Again: c.refired, LaterGood: c.later, Most: 1}.Yield(), c.want, 5e-5)
	}
}

// shifts are the same hours on the first days of each week.
func shifts(t *testing.T, days, hours int) *des.Hours {
	t.Helper()
	var open []des.Interval
	for week := range 3 {
		for day := range days {
			at := des.Time(week)*des.Week + des.Time(day)*des.Day
			open = append(open, des.Interval{Open: at, Close: at + des.Time(hours)*des.Hour})
		}
	}
	h, err := des.NewHours(open)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// TestStockForTheGap holds how many hours of a kiln's draw must be in store:
// for regular shifts the longest gap, whichever day the week begins.
func TestStockForTheGap(t *testing.T) {
	// source: computed by hand, longest gap of each pattern, and its share of the week.
	for _, c := range []struct {
		days, hours int
		want        float64
		share       float64
	}{
		{5, 24, 48, .286}, {5, 16, 56, .333}, {5, 8, 64, .381}, {6, 24, 24, .143},
		{6, 16, 32, .190}, {6, 8, 40, .238}, {7, 16, 8, .048}, {7, 8, 16, .095},
	} {
		h := shifts(t, c.days, c.hours)
		for _, from := range []des.Time{0, 40 * des.Hour, 100 * des.Hour, 130 * des.Hour} {
			what := fmt.Sprintf("%d days of %d h from %v", c.days, c.hours, from)
			near(t, "gap of "+what, float64(decision.LongestGap(h, from))/float64(des.Hour), c.want, 0)
			near(t, "stock of "+what, decision.StockToHold(h, from), c.want, 1e-9)
		}
		near(t, "share of the week", c.want/168, c.share, 5e-4)
	}
}

// TestIrregularShiftsTakeMore holds that the longest gap is a lower bound: two
// days at the beginning of the week and none after a short day need the supply
// of several gaps at once.
func TestIrregularShiftsTakeMore(t *testing.T) {
	// 24 h on Monday, then 1 h on each day: the week's supply comes nearly at once.
	open := []des.Interval{{Open: 0, Close: 24 * des.Hour}}
	for day := des.Time(1); day < 7; day++ {
		open = append(open, des.Interval{Open: day*des.Day + 12*des.Hour, Close: day*des.Day + 13*des.Hour})
	}
	h, err := des.NewHours(open)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 30 h of work supply 168 h, 5.6 an hour. From Tuesday on 144 h are
	// drawn and 6 x 5.6 supplied: the stock falls by 144 - 33.6 until Monday.
	near(t, "stock", decision.StockToHold(h, 0), 144-6*5.6, 1e-9)
	near(t, "gap", float64(decision.LongestGap(h, 0))/float64(des.Hour), 23, 0)
}

// TestCars holds the fleet of a tunnel that is fed from loaded cars.
func TestCars(t *testing.T) {
	// source: computed by hand, 40 inside, push 45 min, loaded and fired cars waiting.
	for gap, want := range map[des.Time]int{56: 190, 48: 168, 32: 126, 16: 84} {
		if got := decision.CarsToHold(40, gap*des.Hour, 45*des.Minute); got != want {
			t.Errorf("a gap of %d h takes %d cars, want %d", gap, got, want)
		}
	}
}

// TestPlantASlots holds pushes and weekend stock of Plant A.
func TestPlantASlots(t *testing.T) {
	min := func(m float64) des.Time { return des.Time(m * float64(des.Minute)) }
	for _, c := range []struct {
		what         string
		got          float64
		want, within float64
	}{
		// source: hand calculation of Plant A, kilns and sizing check.
		{"weekday slots at 21 min", decision.Slots(decision.Stretch{120 * des.Hour, min(21)}), 342.9, 0.05},
		{"weekend slots at 36 min", decision.Slots(decision.Stretch{48 * des.Hour, min(36)}), 80, 1e-9},
		{"slots a week", decision.Slots(decision.Stretch{120 * des.Hour, min(21)}, decision.Stretch{48 * des.Hour, min(36)}), 422.9, 0.05},
		{"21 min all week", decision.Slots(decision.Stretch{168 * des.Hour, min(21)}), 480, 1e-9},
		{"46 cars inside", decision.Slots(decision.Stretch{120 * des.Hour, min(18.26)}, decision.Stretch{48 * des.Hour, min(30)}), 490.3, 0.05},
		{"stock on Friday 22:00 at 21 min", decision.Slots(decision.Stretch{8 * des.Hour, min(21)}, decision.Stretch{48 * des.Hour, min(36)}, decision.Stretch{5 * des.Hour, min(21)}), 117.1, 0.05},
		{"stock on Saturday 06:00 at 21 min", decision.Slots(decision.Stretch{48 * des.Hour, min(36)}, decision.Stretch{5 * des.Hour, min(21)}), 94.3, 0.05},
		{"stock on Friday 22:00 at 22.64 min", decision.Slots(decision.Stretch{8 * des.Hour, min(22.64)}, decision.Stretch{48 * des.Hour, min(36)}, decision.Stretch{5 * des.Hour, min(22.64)}), 114.5, 0.05},
		{"stock on Saturday 06:00 at 22.64 min", decision.Slots(decision.Stretch{48 * des.Hour, min(36)}, decision.Stretch{5 * des.Hour, min(22.64)}), 93.3, 0.05},
		{"48 h at 21 min", decision.Slots(decision.Stretch{48 * des.Hour, min(21)}), 137, 0.2},
	} {
		near(t, c.what, c.got, c.want, c.within)
	}
}

// TestEnergyPerGood holds what a kiln's base load costs a good piece.
func TestEnergyPerGood(t *testing.T) {
	f := decision.Firing{Base: 320, Piece: 5.2, Rated: 30, Yield: .85}
	// source: computed by hand, kWh for a good piece.
	for load, want := range map[float64]float64{1: 18.7, .8: 21.8, .6: 27.0, .4: 37.5} {
		got, base := f.PerGood(load)
		near(t, fmt.Sprintf("energy at load factor %g", load), got, want, 0.05)
		near(t, "what varies with the pieces", got-base, 5.2/.85, 1e-12)
	}
}
