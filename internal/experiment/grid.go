package experiment

import (
	"context"
	"fmt"
	"math"

	"potbank/internal/stats"
)

// A Prospect is one state of the world in which every option is tried.
type Prospect struct {
	Name   string
	Weight float64 // how likely it is taken to be, 0 to 1; those of all prospects add up to 1
}

// A GridPlan says which options are tried in which futures, and for how long.
type GridPlan struct {
	Options []string
	Futures []Prospect // at least one
	// Runner gives the works of an option in a future. Cells for which it gives
	// the same Runner are simulated once: a future in which only a price differs
	// needs no runs of its own.
	Runner func(option, future int) Runner
	Weekly []string // measures whose single weeks are kept
	// After is the number of the last replication that is not this grid's own: a
	// choice is certified by replications that were not used to make it.
	After int
	// Race is asked after every complete round from Settings.Replications on, and
	// names the options to go on with, in their order; none: there is enough. It
	// sees the options that it left out earlier as they were then. Without a Race
	// there are exactly Settings.Replications rounds.
	Race func(g *Grid) []int
}

// A Grid is every option in every future, on shared luck: replication n draws
// from the same source in all cells, so that luck falls out of the differences
// between options, and between futures too.
type Grid struct {
	Options []string
	Futures []Prospect
	Seed    uint64
	After   int // replications are numbered from After + 1
	Weeks   int // simulated weeks of one replication, the same for all; warm-up included
	WarmUp  WarmUp
	Fixed   bool
	Most    int    // replications of a cell at which to stop
	Decided bool   // the race was over before that, or there was none
	Partial string // why it ended before its time, one sentence; empty when it did not

	cells [][]*Cell // [option][future]
}

// A Cell is one option in one future.
type Cell struct {
	Option, Future int
	e              *entrant
}

// RunGrid simulates round by round: one replication of every cell still in the
// race. Settings give the least rounds (Replications) and the most (Most); the
// precision plays no part. All cells have the same weeks (those of the
// shortest) and the same warm-up (the longest that any needs).
//
// When ctx is cancelled or a replication fails, the Grid holds of each cell the
// replications before that, labelled partial; it is nil when a cell has none.
// The error is that of ctx, an *OptionError, or says what is wrong with the plan.
func RunGrid(ctx context.Context, plan GridPlan, s Settings) (*Grid, error) {
	return runGrid(ctx, plan, s, func(r Runner) []gauge { return gaugesOf(r.Measures()) })
}

// runGrid is RunGrid with the measures apart, so that a test can bring its own.
func runGrid(ctx context.Context, plan GridPlan, s Settings, measured func(Runner) []gauge) (*Grid, error) {
	g, c, err := newGrid(plan, s, measured)
	if err != nil {
		return nil, err
	}
	err = g.run(ctx, c, plan.Race)
	for _, e := range c.entrants {
		if e.taken() == 0 {
			return nil, err
		}
	}
	c.settle()
	g.WarmUp, g.Partial = c.entrants[0].warmUp, partialOptions(err)
	for _, e := range c.entrants {
		e.judge()
	}
	return g, err
}

// newGrid lays out the cells, and a contest that simulates them.
func newGrid(plan GridPlan, s Settings, measured func(Runner) []gauge) (*Grid, *contest, error) {
	if len(plan.Options) == 0 || len(plan.Futures) == 0 {
		return nil, nil, fmt.Errorf("experiment: a grid of %d options and %d futures", len(plan.Options), len(plan.Futures))
	}
	weeks := math.MaxInt
	for o := range plan.Options {
		for f := range plan.Futures {
			weeks = min(weeks, plan.Runner(o, f).Weeks())
		}
	}
	s.Precision = 1 // the race says when there is enough
	s, err := s.complete(weeks)
	if err != nil {
		return nil, nil, err
	}
	if plan.Race == nil {
		s.Most = s.Replications
	}
	s.Precision = 0
	c := &contest{Settings: s, after: plan.After}
	g := &Grid{Options: plan.Options, Futures: plan.Futures, Seed: s.Seed, After: plan.After, Weeks: s.Weeks, Fixed: s.Fixed, Most: s.Most, Decided: plan.Race == nil}
	s.Progress = nil // of a single study
	for o, name := range plan.Options {
		var row []*Cell
		for f, future := range plan.Futures {
			e := c.running(plan.Runner(o, f))
			if e == nil {
				r := plan.Runner(o, f)
				e = &entrant{Option: Option{name, r}, study: newStudy(measured(r), s)}
				if len(plan.Futures) > 1 {
					e.Name += " in " + future.Name
				}
				e.keepWeeks(plan.Weekly)
				c.entrants = append(c.entrants, e)
			}
			row = append(row, &Cell{o, f, e})
		}
		g.cells = append(g.cells, row)
	}
	return g, c, nil
}

// running is the entrant that simulates a works already, or nil.
func (c *contest) running(r Runner) *entrant {
	for _, e := range c.entrants {
		if e.Runner == r {
			return e
		}
	}
	return nil
}

// run simulates until the race is over or the limit reached.
func (g *Grid) run(ctx context.Context, c *contest, race func(*Grid) []int) error {
	early := min(pilot, c.Replications)
	if err := c.rounds(ctx, 1, early, nil); err != nil {
		return err
	}
	c.settle()
	if err := c.rounds(ctx, early+1, c.Replications, nil); err != nil || race == nil {
		return err
	}
	judge := func() bool {
		if !c.roundComplete() {
			return false
		}
		left := race(g)
		for _, e := range c.entrants {
			e.out.Store(!g.wanted(e, left))
		}
		g.Decided = len(left) == 0
		return g.Decided
	}
	if judge() {
		return nil
	}
	return c.rounds(ctx, c.Replications+1, c.Most, judge)
}

// roundComplete tells whether all that still run have as many replications.
func (c *contest) roundComplete() bool {
	kept := -1
	for _, e := range c.entrants {
		switch {
		case e.out.Load():
		case kept < 0:
			kept = e.kept
		case kept != e.kept:
			return false
		}
	}
	return true
}

// wanted tells whether an entrant runs for any of some options.
func (g *Grid) wanted(e *entrant, options []int) bool {
	for _, o := range options {
		for _, cell := range g.cells[o] {
			if cell.e == e {
				return true
			}
		}
	}
	return false
}

// keepWeeks has the study keep single weeks of those measures that the works
// has: another option may have another kiln.
func (e *entrant) keepWeeks(names []string) {
	for _, name := range names {
		if i := e.indexOf(name); i >= 0 {
			e.weekly = append(e.weekly, weekValues{gauge: e.gauges[i]})
		}
	}
}

// Cell returns an option in a future.
func (g *Grid) Cell(option, future int) *Cell { return g.cells[option][future] }

// Replications is how many an option has in every future.
func (g *Grid) Replications(option int) int {
	n := math.MaxInt
	for _, c := range g.cells[option] {
		n = min(n, c.Replications())
	}
	return n
}

// Expected is a figure of an option over the futures: by replication, the mean
// of the cells' figures by the weights of the futures. of gives a cell's figures
// by replication.
func (g *Grid) Expected(option int, of func(*Cell) []float64) []float64 {
	expected := make([]float64, g.Replications(option))
	for f, c := range g.cells[option] {
		for r, v := range of(c)[:len(expected)] {
			expected[r] += float64(g.Futures[f].Weight * v)
		}
	}
	return expected
}

// Difference estimates a figure of one option less that of another over the
// futures, from pairs of replications on shared luck.
func (g *Grid) Difference(option, from int, of func(*Cell) []float64, level float64) stats.Estimate {
	n := min(g.Replications(option), g.Replications(from))
	return stats.PairedInterval(g.Expected(option, of)[:n], g.Expected(from, of)[:n], level)
}

// Runner is the works that was simulated.
func (c *Cell) Runner() Runner { return c.e.Runner }

// Replications is how many were taken.
func (c *Cell) Replications() int { return c.e.kept }

// Answer is all that the runs of the cell say, as Replicate would.
func (c *Cell) Answer() *Answer { return c.e.answer(c.e.Runner, nil) }

// Has tells whether the works has a measure.
func (c *Cell) Has(name string) bool { return c.e.indexOf(name) >= 0 }

// Growth says, in one sentence, where ware piles up to the end of the runs; empty
// where it does not.
func (c *Cell) Growth() string {
	if all := c.Answer().aboutGrowth(); len(all) > 0 {
		return all[0]
	}
	return ""
}

// Sums gives numerators and denominators of a measure by replication; nil where
// the works lacks it. They must not be changed.
func (c *Cell) Sums(name string) (num, den []float64) {
	i := c.e.indexOf(name)
	if i < 0 {
		return nil, nil
	}
	return c.e.num[i], c.e.den[i]
}

// Ratios gives a measure by replication, as ratios of single replications: what
// a sequential rule may look at, since values it has seen do not change.
func (c *Cell) Ratios(name string) []float64 {
	num, den := c.Sums(name)
	ratios := make([]float64, len(num))
	for r := range num {
		ratios[r] = num[r] / den[r]
	}
	return ratios
}

// Shares gives what each replication adds to a measure that is a ratio of sums:
// their mean is the measure itself and their spread that of the delta method,
// so that differences of them agree with the values shown. nil where the works
// lacks the measure.
func (c *Cell) Shares(name string) []float64 {
	if !c.Has(name) {
		return nil
	}
	return c.e.shares(name, c.e.kept)
}

// Estimate is a measure over all replications of the cell.
func (c *Cell) Estimate(name string) stats.Estimate {
	return ratio(c.Sums(name))
}

// Weeks gives, by replication, the single weeks after the warm-up of a measure
// that is kept week by week; nil where it is not. Weeks with nothing to measure
// are left out.
func (c *Cell) Weeks(name string) [][]float64 {
	for _, w := range c.e.weekly {
		if w.Name == name {
			return w.runs
		}
	}
	return nil
}
