package experiment

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"potbank/internal/stats"
)

// TestCertifiedDoesNotFlatter holds what certifying is for: of eight options
// that are all alike the one chosen looks better than the first on the luck
// that made it look best, and on fresh luck it does not.
func TestCertifiedDoesNotFlatter(t *testing.T) {
	var chosen, fresh []float64
	for seed := range uint64(60) {
		options := rivals(1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000)
		r := contend(t, options, Criterion{Matters: Margin{Absolute: 1}}, Settings{Replications: 4, Seed: seed, WarmUp: 0})
		if r.Choice.Best == 0 {
			if r.Certified != nil {
				t.Errorf("seed %d: the first option is certified against itself", seed)
			}
			continue
		}
		if r.Certified == nil || r.Certified.Replications != 4 || r.Certified.Unit != "pieces/wk" {
			t.Fatalf("seed %d: certified is %+v", seed, r.Certified)
		}
		chosen = append(chosen, r.Measures[0].Differences[r.Choice.Best].Value)
		fresh = append(fresh, r.Certified.Difference.Value)
	}
	if e := stats.MeanInterval(chosen, 0.999); e.Low <= 3 {
		t.Errorf("the runs that chose flatter the choice by %v; they should, or the test tells nothing", e)
	}
	if e := stats.MeanInterval(fresh, 0.999); e.Excludes(0) {
		t.Errorf("fresh runs find the choice %v ahead of works just like it", e)
	}
}

// TestCertify holds the difference, its pairs, and that a true lead is found.
func TestCertify(t *testing.T) {
	a, b := Option{"today", newRival(1, 1000)}, Option{"new", newRival(2, 1100)}
	c, err := certify(t.Context(), b, a, "packed.total", Settings{Replications: 30, Workers: 3, Seed: 5, WarmUp: 0}, ownGauges)
	if err != nil {
		t.Fatal(err)
	}
	if !c.Difference.Contains(100) || c.Difference.SD > 20 || math.Abs(c.Chosen.Value-c.Than.Value-c.Difference.Value) > 1e-9 {
		t.Errorf("certified is %+v", c)
	}
	if _, err := certify(t.Context(), b, a, "not there", Settings{Replications: 2, WarmUp: 0}, ownGauges); err == nil {
		t.Error("a measure that is not there is certified")
	}
}

// TestFreshLuckIsFresh holds that no replication serves twice: what certifies
// was not among any that chose, and one grid again is the same runs as Certify.
func TestFreshLuckIsFresh(t *testing.T) {
	plan, _ := rivalPlan()
	s := Settings{Replications: 6, Workers: 2, Seed: 9, WarmUp: 1}
	g, err := runGrid(t.Context(), plan, s, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	again, err := g.again(t.Context(), plan, []int{1, 0}, s, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	if again.Options[0] != "b" || again.After != FreshLuck || again.WarmUp.Weeks != 1 {
		t.Errorf("the second grid is %+v", again)
	}
	before, after := g.Cell(1, 0).Ratios("packed.total"), again.Cell(0, 0).Ratios("packed.total")
	for _, v := range after {
		if slices.Contains(before, v) {
			t.Errorf("the replication that packs %v chose and certified", v)
		}
	}
	works := []*rival{newRival(1, 1000), newRival(2, 1100)}
	c, err := certify(t.Context(), Option{"b", works[1]}, Option{"a", works[0]}, "packed.total", s, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	if want := stats.MeanInterval(after, Level).Value; math.Abs(c.Chosen.Value-want) > 1e-9 {
		t.Errorf("Certify finds %v, the grid %v", c.Chosen.Value, want)
	}
}

// TestCertifyingCutShort holds that a choice that could not be certified says so.
func TestCertifyingCutShort(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	options := rivals(1000, 1200)
	runs := 0
	options[1].Runner.(*rival).pause = func(uint64) {
		if runs++; runs > 12 {
			stop()
		}
	}
	r, err := compare(ctx, options, Criterion{}, Settings{Replications: 10, Seed: 1, WarmUp: 0}, ownGauges)
	if !errors.Is(err, context.Canceled) || r == nil || r.Choice.Best != 1 || r.Partial == "" || r.Warnings[0] != r.Partial {
		t.Errorf("cut short in the certifying it gives %+v, %v", r, err)
	}
}
