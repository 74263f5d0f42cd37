package experiment

import (
	"strings"
	"testing"
)

func TestWarmUpIsFoundByTheSeries(t *testing.T) {
	w := toy()
	w.weeks, w.ramp = 100, 10
	a := ask(t, w, Settings{Replications: 10, Seed: 2, WarmUp: Auto})
	if a.WarmUp.Weeks != 10 || !a.WarmUp.Found {
		t.Errorf("cut after %d weeks, want the 10 of the ramp (%s)", a.WarmUp.Weeks, a.WarmUp.Method)
	}
	f, _ := a.Figure("packed.total")
	if !f.Contains(1000) {
		t.Errorf("packed.total %g (%g to %g) still holds the ramp; the level is 1000", f.Value, f.Low, f.High)
	}
	if len(a.WarmUp.Series) != 3 || len(a.WarmUp.Series[1].Weeks) != 100 {
		t.Errorf("no series of every week for a picture: %d", len(a.WarmUp.Series))
	}
	if first := a.WarmUp.Series[0].Weeks[0]; first > 100 {
		t.Errorf("the series begins at %g, want the empty works", first)
	}
}

func TestWarmUpAsGiven(t *testing.T) {
	for _, weeks := range []int{0, 6} {
		a := ask(t, toy(), Settings{Replications: 10, WarmUp: weeks})
		if a.WarmUp.Weeks != weeks || a.WarmUp.Found || a.WarmUp.Method != "as given" {
			t.Errorf("given %d: cut %+v", weeks, a.WarmUp)
		}
	}
}

func TestWarmUpLeavesOutTwoFlowTimes(t *testing.T) {
	w := toy()
	w.lead = 4.2 * hoursPerWeek
	a := ask(t, w, Settings{Replications: 10, WarmUp: Auto})
	if a.WarmUp.Weeks != 9 || !strings.Contains(a.WarmUp.Method, "95 % lead time") {
		t.Errorf("cut after %d weeks by %q, want 9 = 2 x 4.2 rounded up", a.WarmUp.Weeks, a.WarmUp.Method)
	}
}

func TestRunTooShortForItsFlowTime(t *testing.T) {
	w := toy()
	w.weeks, w.lead = 20, 6*hoursPerWeek
	a := ask(t, w, Settings{Replications: 10, WarmUp: Auto})
	if a.WarmUp.Weeks > 10 {
		t.Errorf("cut after %d of 20 weeks, want at most half", a.WarmUp.Weeks)
	}
	wantWarning(t, a, "Slow pieces take 6.0 weeks")
}

func TestVeryShortRunStillAnswers(t *testing.T) {
	w := toy()
	w.weeks = 4
	a := ask(t, w, Settings{Replications: 3, WarmUp: Auto})
	if f, _ := a.Figure("packed.total"); !f.HasInterval() {
		t.Error("no interval from 3 replications of 4 weeks")
	}
	wantWarning(t, a, "The run of 4 weeks is too short")
	wantWarning(t, a, "Only 3 replications")
}

func TestGrowingStockIsNamed(t *testing.T) {
	w := toy()
	w.creep = 40
	a := ask(t, w, Settings{Replications: 10, WarmUp: 4})
	wantWarning(t, a, "Ware piles up in before-kiln by about 40 pieces a week")
}
