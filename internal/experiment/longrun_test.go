package experiment

import (
	"math"
	"slices"
	"strings"
	"testing"

	"potbank/internal/stats"
)

// TestOneLongRun puts one long run to the toy works, whose weeks are
// autoregressive about 1000 pieces with a coefficient of 0.5 and shocks of 20.
// The mean of n weeks of such a series has a standard error of
// 20/(1-0.5)/sqrt(n) for long runs, twice or so what independent weeks of the
// same spread would give.
//
// source: Law, Simulation Modeling and Analysis, section 9.5.3 (batch means of
// an AR(1) process, from memory)
func TestOneLongRun(t *testing.T) {
	const runs, weeks = 200, 400
	w := toy()
	covered, halves := 0, 0.0
	for seed := range uint64(runs) {
		a := replicated(t, w, Settings{OneLongRun: true, Replications: 10, Weeks: weeks, WarmUp: 0, Seed: seed, Precision: 0.01, Most: 60})
		f, _ := a.Figure("packed.total")
		if a.Replications != 1 || *a.LongRun != (LongRun{Stretches: 20, Weeks: 20}) || f.N != 20 {
			t.Fatalf("cut into %+v, %d replications, n %d", a.LongRun, a.Replications, f.N)
		}
		if f.Contains(1000) {
			covered++
		}
		halves += f.HalfWidth() / runs
	}
	// 95 % less what chance takes from it in one of a thousand tests, and a point
	// for stretches of 20 weeks that still hang together a little.
	if share := float64(covered) / runs; share < 0.94-3.09*math.Sqrt(0.95*0.05/runs) {
		t.Errorf("the mean is within its interval in %.3f of the runs", share)
	}
	want := 2.093 * 20 / (1 - 0.5) / math.Sqrt(weeks) // t(19) x standard error
	if math.Abs(halves/want-1) > 0.08 {
		t.Errorf("the half-width is %.2f on average, want about %.2f", halves, want)
	}
}

// replicated replicates a toy and wants no error.
func replicated(t *testing.T, w *toyWorks, s Settings) *Answer {
	t.Helper()
	a, err := replicate(t.Context(), w, w.gauges(), s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestLongRunIsBatchMeans holds that the figure is that of package stats, that
// weeks over are left out at the beginning, and that a ratio is the ratio of
// the whole.
func TestLongRunIsBatchMeans(t *testing.T) {
	w := toy()
	w.ramp = 5
	a := replicated(t, w, Settings{OneLongRun: true, Weeks: 110, WarmUp: 6, Seed: 3})
	var weeks []float64
	for _, s := range a.WarmUp.Series {
		if s.Name == "packed.total" {
			weeks = s.Weeks[10:] // 104 after the warm-up, of which 20 stretches of 5 take 100
		}
	}
	got, _ := a.Figure("packed.total")
	want := stats.BatchMeans(weeks, 20, Level)
	if math.Abs(got.Value-want.Value) > 1e-9 || math.Abs(got.HalfWidth()-want.HalfWidth()) > 1e-9 {
		t.Errorf("the long run gives %v, batch means %v", got.Estimate, want)
	}
	sum := 0.0
	for _, v := range weeks {
		sum += v
	}
	energy, _ := a.Figure("energy.per_good")
	if want := 2 + 500*100/sum; math.Abs(energy.Value-want) > 1e-9 {
		t.Errorf("energy is %v, want %v", energy.Value, want)
	}
}

// TestLongRunWarns holds the warnings: too few stretches, and stretches that
// resemble their neighbours.
func TestLongRunWarns(t *testing.T) {
	w := toy()
	few := replicated(t, w, Settings{OneLongRun: true, Weeks: 8, WarmUp: 2, Seed: 1})
	wantWarning(t, few, "Only 6 stretches of 1 week each")
	// One week is one stretch here, and neighbouring weeks of the toy have a
	// correlation of 0.5, which twenty of them show more often than not.
	told := 0
	for seed := range uint64(40) {
		near := replicated(t, w, Settings{OneLongRun: true, Weeks: 22, WarmUp: 2, Seed: seed})
		if slices.ContainsFunc(near.Warnings, func(text string) bool {
			return strings.HasPrefix(text, "packed.total: Neighbouring stretches of the run still resemble each other")
		}) {
			told++
		}
	}
	if told < 15 {
		t.Errorf("in %d of 40 runs the stretches are said to resemble each other", told)
	}
	one := replicated(t, w, Settings{OneLongRun: true, Weeks: 3, WarmUp: 2, Seed: 4})
	if f, _ := one.Figure("packed.total"); f.HasInterval() || one.LongRun.Stretches != 1 {
		t.Errorf("one week has the interval %v", f.Estimate)
	}
	if _, err := replicate(t.Context(), w, w.gauges(), Settings{OneLongRun: true, Fixed: true, Weeks: 9}); err == nil {
		t.Error("a long run without randomness is told")
	}
	if !slices.ContainsFunc(few.Measures, func(f Figure) bool { return f.Name == "cost.per_good" && f.HasInterval() }) {
		t.Error("no interval of a ratio")
	}
}
