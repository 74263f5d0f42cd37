package experiment

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync/atomic"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// An Option is one works among those compared.
type Option struct {
	Name   string // short: it stands in tables and sentences
	Runner Runner
}

// An OptionError is the failure of one replication of one option.
type OptionError struct {
	Option string
	*ReplicationError
}

func (e *OptionError) Error() string {
	return fmt.Sprintf("%s: %v", e.Option, e.ReplicationError)
}

// Unwrap gives the failure of the replication.
func (e *OptionError) Unwrap() error { return e.ReplicationError }

// An entrant is an option with what is known of it so far.
type entrant struct {
	Option
	*study
	decides int         // index of the gauge by which the best is chosen
	out     atomic.Bool // no further replications are wanted; read where they begin
	singles []float64   // the deciding measure by replication
}

// values gives the deciding measure replication by replication, as ratios of
// single replications: a sequential rule must not have its past values change
// under it. See study.ratios.
func (e *entrant) values() []float64 {
	for r := len(e.singles); r < e.kept; r++ {
		e.singles = append(e.singles, e.num[e.decides][r]/e.den[e.decides][r])
	}
	return e.singles
}

// indexOf returns the index of the gauge of a name, -1 if there is none.
func (e *entrant) indexOf(name string) int {
	return slices.IndexFunc(e.gauges, func(g gauge) bool { return g.Name == name })
}

// taken counts the replications taken, those held back for the warm-up too.
func (e *entrant) taken() int { return e.kept + len(e.early) }

// A contest runs options side by side.
//
// Replication n of every option draws from the same source: as draws are keyed
// by identity, the same pieces meet the same luck wherever the options are
// alike, and the luck falls out of their differences (common random numbers).
// Rinott's method wants independent draws, so there each option has a block of
// replication numbers of its own.
//
// Control variates were tried on top and left out. Figures with a known mean
// are few: the plan fixes the casts, which then do not vary, and what is lost
// later depends on the works. Casting faults less the share expected of the
// casts judged have mean 0; over 30 replications of Plant A and two of its
// changes they took 16, 14 and -7 % off the variance of packed.total, and -6
// and 30 % off that of the differences, from which shared luck had taken 97 and
// 62 % already. Such a gain does not pay for totals that no longer add up.
type contest struct {
	Settings
	Criterion
	entrants []*entrant
	after    int     // replications are numbered from the next on
	margin   float64 // below which the deciding measure counts as equal; 0: not fixed yet
	choice   Choice  // as far as it is made
}

// luckBlock separates the replication numbers of options on independent luck;
// it is more than the most replications of one option.
const luckBlock = 1 << 21

// A job is one replication of one option.
type job struct{ option, number int }

// newContest prepares the options; measured gives the gauges of one.
func newContest(options []Option, c Criterion, s Settings, measured func(Runner) []gauge) (*contest, error) {
	if len(options) < 2 {
		return nil, fmt.Errorf("experiment: %d options; at least 2 are needed to compare", len(options))
	}
	weeks := options[0].Runner.Weeks()
	for _, o := range options {
		weeks = min(weeks, o.Runner.Weeks())
	}
	s, err := s.complete(weeks)
	if err != nil {
		return nil, err
	}
	s.Precision = 0 // the rule of choice says when there is enough
	if c, err = c.complete(len(options), s.Replications); err != nil {
		return nil, err
	}
	ct := &contest{Settings: s, Criterion: c, choice: Choice{Best: -1}}
	s.Progress = nil // of a single study
	for _, o := range options {
		ct.entrants = append(ct.entrants, &entrant{Option: o, study: newStudy(measured(o.Runner), s)})
	}
	for _, name := range append([]string{c.Deciding()}, c.By...) {
		if err := ct.alike(name); err != nil {
			return nil, err
		}
	}
	for _, e := range ct.entrants {
		e.decides = e.indexOf(c.Deciding())
	}
	return ct, nil
}

// alike refuses to compare by a measure that an option lacks, or has in another
// unit.
func (c *contest) alike(name string) error {
	first := c.entrants[0]
	for _, e := range c.entrants {
		i := e.indexOf(name)
		if i < 0 {
			return fmt.Errorf("experiment: %s has no measure %s", e.Name, name)
		}
		if a, b := first.gauges[first.indexOf(name)].Unit, e.gauges[i].Unit; a != b {
			return fmt.Errorf("experiment: %s is in %s for %s and in %s for %s", name, a, first.Name, b, e.Name)
		}
	}
	return nil
}

// run simulates until the choice is made or the limit reached.
func (c *contest) run(ctx context.Context) error {
	early := min(pilot, c.Replications)
	if err := c.rounds(ctx, 1, early, nil); err != nil {
		return err
	}
	c.settle()
	if err := c.rounds(ctx, early+1, c.Replications, nil); err != nil {
		return err
	}
	c.fixMargin()
	if !c.choosable() {
		return nil
	}
	switch c.Method {
	case Rinott:
		return c.rinott(ctx)
	case OCBA:
		return c.ocba(ctx)
	}
	return c.kimNelson(ctx)
}

// settle fixes the warm-up: the longest that any option needs, for all of them,
// so that the same weeks are compared.
func (c *contest) settle() {
	longest, name := WarmUp{Weeks: -1}, ""
	for _, e := range c.entrants {
		if e.cut {
			return
		}
		w := findWarmUp(e.gauges, e.early, c.Weeks)
		e.warmUp.Warnings = w.Warnings
		if w.Weeks > longest.Weeks {
			longest, name = w, e.Name
		}
	}
	for _, e := range c.entrants {
		e.settle(WarmUp{
			Weeks: longest.Weeks, Found: true, Warnings: e.warmUp.Warnings,
			Method: fmt.Sprintf("%s, for %s, which takes longest", longest.Method, name),
		})
	}
}

// choosable tells whether a rule of choice has what it needs: a margin, two
// replications for the spread, and a value in each.
func (c *contest) choosable() bool {
	for _, sample := range c.samples() {
		if slices.ContainsFunc(sample, math.IsNaN) {
			return false
		}
	}
	return c.margin > 0 && c.Replications >= 2
}

// fixMargin turns the margin into the unit of the measure, once and for all: a
// rule whose zone moved with the data would have no guarantee.
func (c *contest) fixMargin() {
	e := c.entrants[0]
	c.margin = c.Matters.of(ratio(e.num[e.decides], e.den[e.decides]).Value)
}

// rounds simulates replications from..to of every option still in, one round
// after the other; judge as in stage.
func (c *contest) rounds(ctx context.Context, from, to int, judge func() bool) error {
	k := len(c.entrants)
	return c.stage(ctx, k*max(0, to-from+1), judge, func(n int) job { return job{n % k, from + n/k} })
}

// stage simulates n jobs in parallel and takes them in order. judge, if not
// nil, is asked after each whether there is enough. Which jobs are taken depends
// on those before them alone: a replication of an option that has dropped out
// is dropped too, should another worker have begun it in the meantime.
func (c *contest) stage(ctx context.Context, n int, judge func() bool, of func(n int) job) error {
	begun, next := c.taken(), 0
	err := dispatcher{
		workers: c.Workers, most: n,
		simulate: func(ctx context.Context, number int) (*plant.Result, error) {
			return c.simulate(ctx, of(number-1))
		},
		take: func(r *plant.Result) bool {
			e := c.entrants[of(next).option]
			next++
			if e.out.Load() {
				return false
			}
			if e.cut {
				e.keep(r)
			} else {
				e.early = append(e.early, r)
			}
			c.tell(begun + n)
			return judge != nil && judge()
		},
	}.run(ctx)
	var failed *ReplicationError
	if errors.As(err, &failed) {
		j := of(failed.Number - 1)
		return &OptionError{c.entrants[j.option].Name, &ReplicationError{j.number, failed.Err}}
	}
	return err
}

// simulate runs one job, unless it is not wanted any more.
func (c *contest) simulate(ctx context.Context, j job) (*plant.Result, error) {
	e := c.entrants[j.option]
	if e.out.Load() {
		return nil, nil
	}
	number := uint32(c.after + j.number)
	if c.Method == Rinott {
		number += uint32(j.option) * luckBlock
	}
	return e.Runner.Simulate(plant.Options{
		Source: random.New(c.Seed, number),
		Fixed:  c.Fixed, Weeks: c.Weeks,
		Stopped: func() bool { return ctx.Err() != nil },
	})
}

// taken counts the replications of all options.
func (c *contest) taken() int {
	n := 0
	for _, e := range c.entrants {
		n += e.taken()
	}
	return n
}

// tell reports progress, if anybody listens; most is the number of replications
// of all options in sight.
func (c *contest) tell(most int) {
	if c.Settings.Progress != nil {
		c.Settings.Progress(Progress{Replications: c.taken(), Fewest: most, Most: most, HalfWidth: math.NaN()})
	}
}
