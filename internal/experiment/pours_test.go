package experiment_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/experiment"
)

// Watching changes nothing else, and what is counted by hour of pour adds up to
// what the answer says of all hours.
func TestAddPours(t *testing.T) {
	const weeks = 16
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
	if err := a.AddPours(t.Context(), p, s); err != nil {
		t.Fatal(err)
	}
	poured := map[string]float64{}
	for _, r := range a.Pictures.Pours {
		poured[r.Ware] += r.Poured
		if r.Missed.Value < 0 || r.Missed.Value > 1 || r.Runs != 2 || r.Hour < 0 || r.Hour > 23 {
			t.Errorf("%+v", r)
		}
	}
	if len(poured) == 0 {
		t.Fatal("nothing was watched")
	}
	for ware, n := range poured {
		// What is poured in the last days has not been punched by the end.
		if f, ok := a.Figure("cast." + ware); !ok || math.Abs(n/f.Value-1) > 0.1 {
			t.Errorf("%s: %g pieces a week are watched, %g cast", ware, n, f.Value)
		}
	}
	a.Pictures.Pours = nil
	if diff := cmp.Diff(plain, a, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("watching changes the answer:\n%s", diff)
	}
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if err := a.AddPours(stopped, p, s); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v of a look that was stopped", err)
	}
}
