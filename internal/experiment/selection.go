package experiment

import (
	"context"
	"slices"

	"potbank/internal/stats"
)

// A Choice is what the method of choice came to.
type Choice struct {
	Measure string
	Unit    string
	Way     Direction
	Method  Method
	Margin  float64 // in the unit; the best is sought among options further apart
	First   int     // replications of the first stage
	Budget  int     // of OCBA, else 0

	Best     int   // option chosen or, when not Decided, the one ahead; -1: none has a value
	Decided  bool  // the method came to its end
	InRace   []int // options not shown to be behind, in their order
	Required []int // Rinott: replications that each option needs; else nil
}

// Guaranteed tells whether the choice is right with probability Level or more,
// provided that the best leads by the margin or more.
func (c Choice) Guaranteed() bool { return c.Decided && c.Method != OCBA }

// kimNelson goes on round by round and drops options as soon as they are
// clearly behind. The first option runs along to the end even when it is out
// of the race, as everything is compared with it.
func (c *contest) kimNelson(ctx context.Context) error {
	rule := stats.KimNelson{Alpha: 1 - Level, Delta: c.margin, First: c.Replications, Goal: c.Way.goal()}
	judge := func() bool {
		if !c.even() {
			return false
		}
		s := rule.Select(c.samples())
		c.choice.Best, c.choice.Decided, c.choice.InRace = s.Best, s.Best >= 0, s.Survivors
		for i, e := range c.entrants {
			e.out.Store(i > 0 && !slices.Contains(s.Survivors, i))
		}
		return c.choice.Decided
	}
	if judge() {
		return nil
	}
	return c.rounds(ctx, c.Replications+1, c.Most, judge)
}

// even tells whether a round is complete: every option still running has as
// many replications as the first.
func (c *contest) even() bool {
	for _, e := range c.entrants {
		if !e.out.Load() && e.kept != c.entrants[0].kept {
			return false
		}
	}
	return true
}

// samples gives the deciding measure of every option by replication.
func (c *contest) samples() [][]float64 {
	var samples [][]float64
	for _, e := range c.entrants {
		samples = append(samples, e.values())
	}
	return samples
}

// rinott computes from the spread of the first stage how many replications each
// option needs in all, and makes them.
func (c *contest) rinott(ctx context.Context) error {
	h := stats.RinottConstant(len(c.entrants), c.Replications, Level)
	c.choice.Decided = true
	var jobs []job
	for i, e := range c.entrants {
		need := stats.RinottRuns(h, stats.MeanInterval(e.values(), Level).SD, c.margin, c.Replications)
		c.choice.Required = append(c.choice.Required, need)
		c.choice.Decided = c.choice.Decided && need <= c.Most
		for n := c.Replications + 1; n <= min(need, c.Most); n++ {
			jobs = append(jobs, job{i, n})
		}
	}
	err := c.stage(ctx, len(jobs), nil, func(n int) job { return jobs[n] })
	c.choice.Decided = c.choice.Decided && err == nil
	return err
}

// ocbaStep is the number of replications that are allotted at a time: few, so
// that they go where the latest figures want them, and enough for the workers.
const ocbaStep = 8

// ocba spends the budget in steps. On shared luck an option is known by its
// difference from the first, so the rule is put to the differences, of which
// that of the first is 0 and free of doubt; the first runs along with whichever
// option has most replications, at the cost of the same budget.
func (c *contest) ocba(ctx context.Context) error {
	for {
		jobs := c.allot(min(ocbaStep, c.Budget-c.taken()))
		if len(jobs) == 0 {
			c.choice.Decided = true
			return nil
		}
		if err := c.stage(ctx, len(jobs), nil, func(n int) job { return jobs[n] }); err != nil {
			return err
		}
	}
}

// allot gives up to step replications to the options furthest short of what
// OCBA wants for them.
func (c *contest) allot(step int) []job {
	var means, sds []float64
	var runs []int
	total := step
	base := c.entrants[0].values()
	for i, e := range c.entrants {
		d := stats.PairedInterval(e.values(), base[:e.kept], Level)
		means, sds, runs = append(means, d.Value), append(sds, d.SD), append(runs, e.kept)
		if i > 0 {
			total += e.kept
		}
	}
	want := stats.OCBA{Indifference: c.margin, Goal: c.Way.goal()}.Allocate(means, sds, total)
	var jobs []job
	for len(jobs) < step {
		i := 1
		for k := 2; k < len(runs); k++ {
			if want[k]-runs[k] > want[i]-runs[i] {
				i = k
			}
		}
		if runs[i] == runs[0] {
			if len(jobs)+2 > step {
				break // no room for the pair
			}
			runs[0]++
			jobs = append(jobs, job{0, runs[0]})
		}
		runs[i]++
		jobs = append(jobs, job{i, runs[i]})
	}
	return jobs
}
