package decision_test

import (
	"fmt"
	"math"
	"testing"

	"potbank/internal/decision"
)

// TestCastsForTenThousand holds how many casts give 10,000 good pieces at a
// yield of .80.
func TestCastsForTenThousand(t *testing.T) {
	known := decision.Batch{Quantity: 10000, Yields: []float64{.80}}
	// source: computed, exact binomial and normal form.
	near(t, "mean", known.Mean(), 12500, 1e-9)
	for service, want := range map[float64]int{.80: 12547, .95: 12592} {
		if got := known.Casts(service); got != want {
			t.Errorf("%g %%: %d casts, want %d", 100*service, got, want)
		}
		if before, at := known.Enough(want-1), known.Enough(want); !(before < service && service <= at) {
			t.Errorf("%g %%: %d casts are enough with %v, one fewer with %v", 100*service, want, at, before)
		}
	}
	near(t, "80 %, normal form", decision.NormalCasts(10000, .80, .80, 1), 12547.1, 0.05)
	near(t, "95 %, normal form", decision.NormalCasts(10000, .80, .95, 1), 12592.3, 0.05)

	inflation := decision.Clustered(20, .1)
	near(t, "inflation of cars of 20, correlation .1", inflation, 2.9, 1e-12)
	near(t, "95 %, cars of 20", math.Ceil(decision.NormalCasts(10000, .80, .95, inflation)), 12658, 0)
	cars := decision.Batch{Quantity: 10000, Yields: []float64{.80}, Inflation: inflation}
	near(t, "95 %, cars of 20, by probability", float64(cars.Casts(.95)), 12658, 1)
}

// TestCastsOfACountedYield holds what it costs that a yield was counted on few
// pieces.
func TestCastsOfACountedYield(t *testing.T) {
	// source: computed, Q / (Y - 1.645 sd(Y)).
	for pieces, want := range map[int]float64{200: 13272, 500: 12977, 2000: 12734, 10000: 12604} {
		near(t, fmt.Sprintf("%d pieces", pieces), decision.CountedCasts(10000, .80, pieces, .95), want, 0.5)
	}
	// Yields as likely each are a yield that is not known: the casts lie between
	// those of the best and those of the worst, near the worst.
	both := decision.Batch{Quantity: 10000, Yields: []float64{.76, .84}}
	worst := decision.Batch{Quantity: 10000, Yields: []float64{.76}}
	if got, w := both.Casts(.95), worst.Casts(.90); got != w {
		t.Errorf("one of two yields takes %d casts for 95 %%, the worse alone %d for 90 %%", got, w)
	}
	if got := (decision.Batch{Quantity: 5, Yields: []float64{0}}).Casts(.95); got != 0 {
		t.Errorf("a ware without yield takes %d casts", got)
	}
}

// TestRefireYield holds what fires make of a cast.
func TestRefireYield(t *testing.T) {
	// source: geometric series, refires limited to one and unlimited and alike.
	once := decision.Fires{Good: .85, Again: .10, LaterGood: .70, Most: 1}
	near(t, "yield", once.Yield(), .92, 1e-12)
	near(t, "firings a good piece", once.SlotsPerGood(), 1.195652174, 5e-10)
	near(t, "starts for 10,000", 10000/once.Yield(), 10869.57, 5e-3)
	alike := decision.Fires{Good: .85, Again: .10, LaterGood: .85, LaterAgain: .10}
	near(t, "yield, refires without limit", alike.Yield(), .9444444444, 5e-11)
	near(t, "firings a good piece, refires without limit", alike.SlotsPerGood(), 1.176470588, 5e-10)
}

// TestDateByHand holds the plain pipeline, the shift calendar and an order of
// Plant A.
func TestDateByHand(t *testing.T) {
	for _, c := range []struct {
		what              string
		got, want, within float64
		source            string
	}{
		{"pipeline, lead", 1 + 5, 6, 0, "Little's law and a ceiling: a day in the mould, 3 drying, 1 glaze, 1 fire"},
		{"pipeline, casting days", float64(plain().CastingDays()), 84, 0, "10,000 / 120"},
		{"pipeline, last piece", float64(plain().LastCast()) + 6, 89, 0, "84 - 1 + 6"},
		{"with refires, casting days", float64(refired().CastingDays()), 91, 0, "10,870 / 120"},
		{"with refires, firings", math.Round(math.Ceil(refired().Starts()) * 1.10), 11957, 0, "10,870 x 1.10"},
		{"with refires, spread of the good", math.Sqrt(10870 * .92 * .08), 28.3, .05, "sqrt(n y (1-y))"},
		{"one station, pieces a week", 80 * .9 / .1, 720, 1e-9, "arithmetic"},
		{"one station, weeks", decision.OrderByHand{Quantity: 10000, Yield: 1, Casts: 80 * .9 / .1}.Days(), 13.889, 5e-4, "10,000 / 720"},
		{"pans, casts", math.Round(pans().Starts()), 12849, 1, "hand calculation of Plant A: 10,000 / .7783"},
		{"pans, last cast", float64(pans().LastCast()), 20, 0, "hand calculation of Plant A: the 21st day"},
	} {
		near(t, c.what+" ("+c.source+")", c.got, c.want, c.within)
	}
	if lead := [2]float64{4.2, 4.5}; math.Abs(float64(pans().LastCast())+lead[0]-24.2) > 1e-9 || math.Abs(float64(pans().LastCast())+lead[1]-24.5) > 1e-9 {
		t.Errorf("pans are done after %d days and a lead time; source: hand calculation of Plant A, 24.2 to 24.5", pans().LastCast())
	}
}

func plain() decision.OrderByHand {
	return decision.OrderByHand{Quantity: 10000, Yield: 1, Casts: 120}
}
func refired() decision.OrderByHand {
	return decision.OrderByHand{Quantity: 10000, Yield: .92, Casts: 120}
}
func pans() decision.OrderByHand {
	return decision.OrderByHand{Quantity: 10000, Yield: .7783, Casts: 616.7}
}

// TestWhyTheDateIsWide holds the parts of the spread of an order's date.
func TestWhyTheDateIsWide(t *testing.T) {
	o := decision.OrderByHand{
		Quantity: 10000, Yield: .80, Casts: 330 / .80, Pipeline: 9, Counted: 500,
		Stops: decision.Stops{PerDay: .02, Mean: 2, SD: 2},
	}
	w := o.Width()
	pieces, unknown, stops := w.Shares()
	// source: computed by hand, 9 d and 330 good pieces a day.
	for _, c := range []struct {
		what              string
		got, want, within float64
	}{
		{"days", o.Days(), 39.3, .05},
		{"luck of pieces", w.Pieces, .14, .005},
		{"yield from 500 pieces", w.Unknown, .68, .005},
		{"long stops", w.Stops, 2.2, .05},
		{"stops on average", w.Later, 1.2, .05},
		{"total", w.Total(), 2.31, .005},
		{"share of luck, %", 100 * pieces, .3, .05},
		{"share of the yield, %", 100 * unknown, 8.6, .05},
		{"share of stops, %", 100 * stops, 91, .5},
	} {
		near(t, c.what, c.got, c.want, c.within)
	}
}
