package experiment_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// The week looked at is that of the first replication: its stocks follow one
// another without a gap, its kilns do one thing at a time, and nothing else of
// the answer changes.
func TestAddWeek(t *testing.T) {
	const weeks = 12
	p := smallWorks(t, weeks)
	s := experiment.Settings{Replications: 2, Seed: 3, Weeks: weeks, WarmUp: 4}
	plain, err := experiment.Replicate(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	a, err := experiment.Replicate(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.AddWeek(t.Context(), p, s); err != nil {
		t.Fatal(err)
	}
	w := a.Pictures.Week
	if w == nil || w.Number != a.Pictures.Typical {
		t.Fatalf("week %+v, want week %d", w, a.Pictures.Typical)
	}
	for i, hourly := range w.Stock {
		if len(hourly) != 168 {
			t.Errorf("%s has %d hours", w.Sections[i], len(hourly))
		}
		for h, n := range hourly {
			if n < 0 {
				t.Errorf("%s holds %d pieces in hour %d", w.Sections[i], n, h+1)
			}
		}
	}
	checkSpans(t, w)
	if n, want := pushedOrFired(w), firedIn(t, p, s, w.Number); n != want {
		t.Errorf("%d cars and loads in the week, the book has %g", int(n), want)
	}
	a.Pictures.Week = nil
	if diff := cmp.Diff(plain, a, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("looking at a week changes the answer:\n%s", diff)
	}
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if err := a.AddWeek(stopped, p, s); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v of a look that was stopped", err)
	}
}

// checkSpans checks that what a kiln does fits into the week and does not
// overlap.
func checkSpans(t *testing.T, w *experiment.Week) {
	t.Helper()
	for _, k := range w.Kilns {
		at := 0.0
		for _, span := range k.Spans {
			if span.From < at-1e-9 || span.To <= span.From || span.To > 168 {
				t.Errorf("%s %d: %s from %g to %g after %g", k.Kiln, k.Unit, span.State, span.From, span.To, at)
			}
			at = span.To
		}
	}
}

// pushedOrFired counts what began in the week, cars and loads with ware.
func pushedOrFired(w *experiment.Week) float64 {
	n := 0
	for _, k := range w.Kilns {
		for _, s := range k.Spans {
			if (s.State == plant.Pushed || s.State == "firing") && s.Ware != "" && s.From > 0 {
				n++
			}
		}
	}
	return float64(n)
}

// firedIn is what the book of the first replication counted in that week.
func firedIn(t *testing.T, p *plant.Plant, s experiment.Settings, week int) float64 {
	t.Helper()
	r, err := p.Simulate(plant.Options{Source: random.New(s.Seed, 1), Weeks: week})
	if err != nil {
		t.Fatal(err)
	}
	fired := 0.0
	for _, m := range p.Measures() {
		for _, k := range p.Works().Kilns {
			if m.Name == "kiln."+k.Name+".firings" {
				num, den := m.Of(r, week-1, week)
				fired += num / den
			}
		}
	}
	return math.Round(fired)
}
