package experiment

import (
	"context"
	"fmt"

	"potbank/internal/stats"
)

// FreshLuck is the number of the last replication that may be used to choose
// among options. Replications after it serve to certify a choice: the best of
// several looks better than it is on the luck that made it the best, and the
// more so the more options there were. It lies beyond every block that a method
// of choice uses, and before those of drawn works.
const FreshLuck = 1 << 30

// Certified is what a choice is worth by replications that were not used to
// make it.
type Certified struct {
	Measure, Unit string
	Chosen, Than  stats.Estimate // the measure of the two
	Difference    stats.Estimate // the chosen option less the other, from pairs on shared luck
	Replications  int            // of each
	Partial       string         // why there are fewer than asked for; empty when there are not
}

// Certify runs a chosen option and the one that it is held against, as a rule
// the works as it is, on fresh replications: exactly s.Replications of each.
// Weeks and warm-up should be those of the runs that chose, so that the same
// weeks are looked at.
//
// When ctx is cancelled or a replication fails, Certified holds the replications
// before that; it is nil when there is none. The error is that of ctx, an
// *OptionError, or says what is wrong with the measure or the settings.
func Certify(ctx context.Context, chosen, than Option, measure string, s Settings) (*Certified, error) {
	return certify(ctx, chosen, than, measure, s, func(r Runner) []gauge { return gaugesOf(r.Measures()) })
}

// certify is Certify with the measures apart, so that a test can bring its own.
func certify(ctx context.Context, chosen, than Option, measure string, s Settings, measured func(Runner) []gauge) (*Certified, error) {
	runners := []Runner{than.Runner, chosen.Runner}
	g, err := runGrid(ctx, GridPlan{
		Options: []string{than.Name, chosen.Name}, Futures: []Prospect{{Name: "as it is", Weight: 1}},
		Runner: func(o, _ int) Runner { return runners[o] },
		After:  FreshLuck,
	}, s.Doing(Checking), measured)
	if g == nil {
		return nil, err
	}
	cells := [2]*Cell{g.Cell(0, 0), g.Cell(1, 0)}
	for _, c := range cells {
		if !c.Has(measure) {
			return nil, fmt.Errorf("experiment: %s has no measure %s", c.e.Name, measure)
		}
	}
	return &Certified{
		Measure: measure, Unit: cells[1].e.gauges[cells[1].e.indexOf(measure)].Unit,
		Chosen: cells[1].Estimate(measure), Than: cells[0].Estimate(measure),
		Difference:   g.Difference(1, 0, func(c *Cell) []float64 { return c.Shares(measure) }, Level),
		Replications: min(g.Replications(0), g.Replications(1)), Partial: g.Partial,
	}, err
}

// Again puts some options of a grid to fresh replications, as many as settings
// say at least, in the futures, weeks and warm-up of the grid that chose among
// them. The options come in the order asked for and have their places in it for
// numbers; plan is that of the grid, but for its race, which says who goes on
// then. Results and errors are those of RunGrid.
func (g *Grid) Again(ctx context.Context, plan GridPlan, options []int, s Settings) (*Grid, error) {
	return g.again(ctx, plan, options, s, func(r Runner) []gauge { return gaugesOf(r.Measures()) })
}

// again is Again with the measures apart, so that a test can bring its own.
func (g *Grid) again(ctx context.Context, plan GridPlan, options []int, s Settings, measured func(Runner) []gauge) (*Grid, error) {
	fresh := plan
	fresh.After, fresh.Options = FreshLuck, nil
	for _, o := range options {
		fresh.Options = append(fresh.Options, plan.Options[o])
	}
	fresh.Runner = func(o, f int) Runner { return plan.Runner(options[o], f) }
	s.Weeks, s.WarmUp = g.Weeks, g.WarmUp.Weeks
	return runGrid(ctx, fresh, s, measured)
}

// certify puts the option named best to fresh luck, where it is another than the
// first and chance plays a part.
func (c *contest) certify(ctx context.Context, r *Comparison, measured func(Runner) []gauge) error {
	best := r.Choice.Best
	if best <= 0 || c.Fixed || c.Replications < 2 {
		return nil
	}
	s := c.Settings
	s.Weeks, s.WarmUp, s.Most = r.Weeks, r.WarmUp.Weeks, c.Replications
	certified, err := certify(ctx, c.entrants[best].Option, c.entrants[0].Option, c.Deciding(), s, measured)
	if err != nil {
		r.Partial = "The comparison ended before its choice was certified on fresh replications: the figures are those that made the choice, and flatter it."
		r.Warnings = append([]string{r.Partial}, r.Warnings...)
	}
	if certified == nil {
		return err
	}
	r.Certified = certified
	r.FreshVerdict = verdict(certified.Difference, c.Way, c.margin)
	if was := r.Measures[0].Differences[best].Verdict; was == Better && r.FreshVerdict != Better {
		r.Warnings = append([]string{fmt.Sprintf("Replications that were not used to choose do not show %s to be better than %s: by the runs that chose it was luck, or the difference is small. More replications may tell.",
			c.entrants[best].Name, c.entrants[0].Name)}, r.Warnings...)
	}
	return err
}
