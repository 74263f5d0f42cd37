package experiment

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"potbank/internal/stats"
)

// rivalPlan is two options in two futures. The second future costs each option
// a tenth of its output.
func rivalPlan() (GridPlan, [][]*rival) {
	works := [][]*rival{
		{newRival(1, 1000), newRival(1, 900)},
		{newRival(2, 1100), newRival(2, 990)},
	}
	return GridPlan{
		Options: []string{"a", "b"}, Futures: []Prospect{{"good", 0.75}, {"bad", 0.25}},
		Runner: func(o, f int) Runner { return works[o][f] },
		Weekly: []string{"packed.total", "not there"},
	}, works
}

func rivalGauges(r Runner) []gauge { return r.(*rival).gauges() }

// TestGrid holds expectation over futures and differences on shared luck.
func TestGrid(t *testing.T) {
	plan, _ := rivalPlan()
	g, err := runGrid(context.Background(), plan, Settings{Replications: 40, Workers: 3, Seed: 7, WarmUp: 1}, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	packed := func(c *Cell) []float64 { return c.Shares("packed.total") }
	d := g.Difference(1, 0, packed, Level)
	if want := 0.75*100 + 0.25*90; !d.Contains(want) || math.Abs(d.Value-want) > 10 {
		t.Errorf("b is %v ahead, want %v", d, want)
	}
	// The luck that both share has an sd of 30: it must be gone from the difference,
	// where each adds 10 of its own.
	if d.SD > 20 {
		t.Errorf("the difference spreads by %v", d.SD)
	}
	c := g.Cell(1, 1)
	if e := c.Estimate("packed.total"); math.Abs(e.Value-stats.MeanInterval(c.Ratios("packed.total"), Level).Value) > 1e-9 || !e.Contains(990) {
		t.Errorf("b packs %v in the bad future", e)
	}
	if weeks := c.Weeks("packed.total"); len(weeks) != 40 || len(weeks[0]) != rivalWeeks-1 || c.Weeks("not there") != nil {
		t.Errorf("weeks kept: %v", weeks)
	}
	if g.Cell(0, 0).Answer().Replications != 40 || g.WarmUp.Weeks != 1 || !g.Decided || g.Partial != "" {
		t.Errorf("the grid is %+v", g)
	}
}

// TestGridIsOneAnswer holds that workers do not matter, and that replications
// beyond those of another grid are others, and the same as if it had gone on.
func TestGridIsOneAnswer(t *testing.T) {
	run := func(after, n, workers int) []float64 {
		plan, _ := rivalPlan()
		plan.After = after
		g, err := runGrid(context.Background(), plan, Settings{Replications: n, Workers: workers, Seed: 3, WarmUp: 0}, rivalGauges)
		if err != nil {
			t.Fatal(err)
		}
		return g.Expected(1, func(c *Cell) []float64 { return c.Ratios("packed.total") })
	}
	all := run(0, 12, 1)
	if got := run(0, 12, 4); !slices.Equal(got, all) {
		t.Errorf("four workers find %v, one %v", got, all)
	}
	if got := run(8, 4, 2); !slices.Equal(got, all[8:]) {
		t.Errorf("after 8 come %v, want %v", got, all[8:])
	}
}

// TestGridSharesRuns holds that a works that stands in two futures is simulated
// once.
func TestGridSharesRuns(t *testing.T) {
	plan, works := rivalPlan()
	count := map[uint64]int{}
	works[0][0].pause = func(n uint64) { count[n]++ }
	plan.Runner = func(o, f int) Runner { return works[o][0] }
	g, err := runGrid(context.Background(), plan, Settings{Replications: 5, Seed: 1, WarmUp: 0}, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	if len(count) != 5 || count[1] != 1 {
		t.Errorf("replications were run %v times", count)
	}
	if a, b := g.Cell(0, 0).Ratios("packed.total"), g.Cell(0, 1).Ratios("packed.total"); !slices.Equal(a, b) {
		t.Errorf("one works packs %v and %v", a, b)
	}
}

// TestGridRace holds that options left out get no more runs, and that the race
// sees whole rounds only.
func TestGridRace(t *testing.T) {
	plan, _ := rivalPlan()
	var rounds []int
	plan.Race = func(g *Grid) []int {
		n := g.Replications(1)
		if g.Cell(1, 0).Replications() != n || g.Cell(1, 1).Replications() != n {
			t.Errorf("a round of %d is not complete", n)
		}
		rounds = append(rounds, n)
		if n == 9 {
			return nil
		}
		return []int{1}
	}
	g, err := runGrid(context.Background(), plan, Settings{Replications: 6, Most: 20, Workers: 2, Seed: 1, WarmUp: 0}, rivalGauges)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(rounds, []int{6, 7, 8, 9}) || g.Replications(0) != 6 || g.Replications(1) != 9 || !g.Decided {
		t.Errorf("rounds %v, %d and %d replications", rounds, g.Replications(0), g.Replications(1))
	}
	if d := g.Difference(1, 0, func(c *Cell) []float64 { return c.Ratios("packed.total") }, Level); d.N != 6 {
		t.Errorf("the difference rests on %d pairs", d.N)
	}
	plan.Race = func(*Grid) []int { return []int{0, 1} }
	if g, err = runGrid(context.Background(), plan, Settings{Replications: 2, Most: 7, Seed: 1, WarmUp: 0}, rivalGauges); err != nil || g.Decided || g.Replications(0) != 7 {
		t.Errorf("without a winner the grid is %+v, %v", g, err)
	}
}

// TestGridCutShort holds what is left when a replication fails or the user
// stops: whole replications before that, labelled.
func TestGridCutShort(t *testing.T) {
	plan, works := rivalPlan()
	broken := errors.New("the kiln fell over")
	works[1][1].fail = map[uint64]error{4: broken}
	g, err := runGrid(context.Background(), plan, Settings{Replications: 6, Workers: 2, Seed: 1, WarmUp: 0}, rivalGauges)
	var failed *OptionError
	if !errors.As(err, &failed) || failed.Option != "b in bad" || failed.Number != 4 || !errors.Is(err, broken) {
		t.Errorf("the error is %v", err)
	}
	if g == nil || g.Replications(1) != 3 || g.Partial == "" {
		t.Errorf("what is left is %+v", g)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if g, err = runGrid(ctx, plan, Settings{Replications: 6, Seed: 1, WarmUp: 0}, rivalGauges); g != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled before it began it gives %v, %v", g, err)
	}
	for name, bad := range map[string]GridPlan{"no option": {Futures: plan.Futures}, "no future": {Options: plan.Options}} {
		if _, err := runGrid(context.Background(), bad, Settings{Replications: 1}, rivalGauges); err == nil {
			t.Errorf("a grid with %s runs", name)
		}
	}
}
