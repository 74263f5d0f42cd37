package decision_test

import (
	"testing"

	"potbank/internal/decision"
)

// TestCostForms: source: hand calculation, checks of a constant and of a
// linearly growing value.
func TestCostForms(t *testing.T) {
	near(t, "constant value", decision.LeastCost(40, 18, 6), 18*241, 1e-9)
	near(t, "constant value by the pipeline", decision.Pipeline(40, 18, 0, 6), 18*240, 1e-9)
	near(t, "growing value", decision.Pipeline(40, 10, 1.5, 6), 40*(10*6+1.5*36/2), 1e-9)
	// The same summed over thin slices of age.
	sum, slices := 0.0, 6000
	for k := range slices {
		age := 6 * (float64(k) + .5) / float64(slices)
		sum += 40 * 6 / float64(slices) * (10 + 1.5*age)
	}
	near(t, "growing value summed", sum, decision.Pipeline(40, 10, 1.5, 6), 1e-6)
}

// TestSampling: source: hand calculation, 2 faults a year, value 18, inspection
// .25, 200,000 pieces a year, finds 60 %, 90 % reach the gate.
func TestSampling(t *testing.T) {
	s := decision.Sampling{PerYear: 2, Value: 18, Faults: 1, Cost: .25, Pieces: 200000, Finds: .6, Reach: .9}
	best := s.Best()
	near(t, "best fraction, %", 100*best, 3.65, .005)
	near(t, "cost there", s.Of(best), 3651, .5)
	near(t, "cost at half", s.Of(best/2), 4564, .5)
	near(t, "cost at double", s.Of(2*best), 4564, .5)
	for _, f := range []float64{.9 * best, 1.1 * best} {
		if s.Of(f) <= s.Of(best) {
			t.Errorf("the cost at %g is not above that at the optimum", f)
		}
	}
	s.PerYear = 0
	near(t, "no faults", s.Best(), 0, 0)
	s.Cost = 0
	near(t, "free inspection", s.Best(), 1, 0)
}

// TestChoices: source: Deming 1986, chapter 15, all or none; hand calculation.
func TestChoices(t *testing.T) {
	for _, c := range []struct {
		faulty float64
		all    bool
	}{{.004, false}, {.006, true}} {
		if got := decision.InspectAll(c.faulty, 1, 50, 0, 0, .25); got != c.all {
			t.Errorf("%g faulty, .25 to inspect, 50 if it goes on: inspect all %v, want %v", c.faulty, got, c.all)
		}
	}
	if decision.InspectAll(.006, 1, 50, .01, 18, .25) {
		t.Error("false alarms of 1 % on pieces of 18 cost more than the faults found")
	}
	near(t, "stop at", decision.StopAt(9, 16), .36, 1e-12)
	near(t, "pilot", decision.PilotWorth(.1, 10000, .5, 3), 875, 1e-9)
	near(t, "pilot of all", decision.PilotWorth(.1, 10000, 1, 1), 1000, 1e-9)
}

// plantA is the money of the pan of Plant A.
var plantA = decision.HandValues{
	Places: 640, PerDay: 8, Model: 600, Tools: 600 + 900 + 2*2500, Mould: 120, Clay: 16.95 - 1.5,
	Work: 16.5, Fired: 22.65 + .5, Packed: 25.65, Return: 190, Yield: .7783, Returns: .20,
}

// TestByHand: source: hand calculation of Plant A, cost of a bad model of the pan
// by where it is caught.
func TestByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		row  decision.ByHand
		want decision.ByHand
	}{
		{"model inspection", plantA.BeforeAny(), decision.ByHand{Cost: 600}},
		{"first-off cast", plantA.Unfired(1, 15.5-1.5), decision.ByHand{Day: 1, Moulds: 8, Casts: 8, Cost: 7572}},
		{"white gauge", plantA.Unfired(3, plantA.Clay), decision.ByHand{Day: 3, Moulds: 24, Casts: 48, Cost: 10122}},
		{"fired gauge", plantA.AfterFire(6, 4), decision.ByHand{Day: 6, Moulds: 48, Casts: 168, Cost: 15192}},
		{"weekly flush sample", plantA.AfterFire(11, 4), decision.ByHand{Day: 11, Moulds: 88, Casts: 528, Cost: 27262}},
		{"customer", plantA.Shipped(40, 4), decision.ByHand{Day: 40, Moulds: 320, Casts: 6560, Cost: 197250}},
	} {
		if c.row.Day != c.want.Day || c.row.Moulds != c.want.Moulds || c.row.Casts != c.want.Casts {
			t.Errorf("%s: %+v, want %+v", c.name, c.row, c.want)
		}
		near(t, c.name, c.row.Cost, c.want.Cost, .5)
	}
}
