package experiment

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"potbank/internal/stats"
)

// A Comparison says which of several options is best, and how sure that is.
// Everything that a screen shows is in it.
type Comparison struct {
	Options []Compared // in the order given; the first is what the others are compared with
	Seed    uint64
	Weeks   int // simulated weeks of one replication, the same for all; warm-up included
	WarmUp  WarmUp
	Fixed   bool
	Partial string // why it ended before its time, one sentence; empty when it did not

	Measures  []Contrast // the one that decides first
	Choice    Choice
	Standings []stats.Standing // by option, in the measure that decides; nil below two replications
	Certified *Certified       // the choice on replications that were not used to make it; nil where the first option is as good
	// FreshVerdict is what the certified difference comes to.
	FreshVerdict Verdict
	Warnings     []string
}

// Compared is one option and what its own runs say.
type Compared struct {
	Name    string
	Answer  *Answer
	Changes []Change // from the first option, as far as the files say; filled in by whoever read them
}

// Change is one value of the file that is not as in the first option's.
type Change struct {
	Path   string // keys, such as kilns.tunnel.push
	Before string // empty: not there
	After  string // empty: left out
}

// Contrast is one measure across the options.
type Contrast struct {
	Name, Unit  string
	Definition  string
	Way         Direction
	Margin      float64          // in the unit; a smaller difference decides nothing
	Values      []stats.Estimate // by option, each from all its replications
	Differences []Difference     // by option; that of the first is empty
}

// Difference is an option less the first one, at a level that makes the
// intervals of all options hold together with Level (Bonferroni).
type Difference struct {
	stats.Estimate
	Relative float64 // of the first option's value, 0.01 for 1 %; NaN when that is 0
	// Correlation of the two options' values over the replications, and the
	// variance of their difference as a share of what independent runs would
	// give: 1 - correlation where both vary alike. NaN where luck is not shared,
	// or nothing varies.
	Correlation    float64
	VarianceFactor float64
	Verdict        Verdict
}

// A Verdict is what a difference comes to.
type Verdict string

const (
	Unjudged   Verdict = ""            // without an interval
	Better     Verdict = "better"      // on the good side of 0
	Worse      Verdict = "worse"       // on the bad side of 0
	Higher     Verdict = "more"        // above 0, of a measure that is neither good nor bad
	Lower      Verdict = "less"        // below 0, likewise
	Alike      Verdict = "alike"       // the whole interval is within the margin
	NoEvidence Verdict = "no evidence" // the interval holds 0, and more than the margin
)

// Compare runs options side by side and chooses the best by one measure.
//
// All options are run for the same weeks (those of the shortest) with the same
// warm-up (the longest that any needs), on shared luck unless the method wants
// otherwise. Settings give the first stage (Replications), how far to go
// (Most, if Precision is not 0) and the rest; the precision itself plays no part.
// An option that comes out ahead of the first is then certified, on as many
// fresh replications as the first stage had.
//
// When ctx is cancelled or a replication fails, the Comparison holds of each
// option the replications before that, 1..k without a gap, labelled partial; it
// is nil when an option has none. The error is that of ctx, an *OptionError, or
// says what is wrong with criterion and settings.
func Compare(ctx context.Context, options []Option, c Criterion, s Settings) (*Comparison, error) {
	return compare(ctx, options, c, s, func(r Runner) []gauge { return gaugesOf(r.Measures()) })
}

// compare is Compare with the measures apart, so that a test can bring its own.
func compare(ctx context.Context, options []Option, c Criterion, s Settings, measured func(Runner) []gauge) (*Comparison, error) {
	ct, err := newContest(options, c, s, measured)
	if err != nil {
		return nil, err
	}
	err = ct.run(ctx)
	for _, e := range ct.entrants {
		if e.taken() == 0 {
			return nil, err
		}
	}
	r := ct.comparison(err)
	if err == nil {
		err = ct.certify(ctx, r, measured)
	}
	return r, err
}

// comparison puts together what the contest found; cut is why it ended early.
func (c *contest) comparison(cut error) *Comparison {
	c.settle()
	if c.margin == 0 {
		c.fixMargin()
	}
	r := &Comparison{Seed: c.Seed, Weeks: c.Weeks, WarmUp: c.entrants[0].warmUp, Fixed: c.Fixed, Partial: partialOptions(cut)}
	for _, e := range c.entrants {
		e.judge()
		r.Options = append(r.Options, Compared{Name: e.Name, Answer: e.answer(e.Runner, nil)})
	}
	for _, name := range c.compared() {
		r.Measures = append(r.Measures, c.contrast(name))
	}
	r.Choice = c.outcome(r.Measures[0].Values)
	r.Standings = c.standings()
	r.Warnings = c.warnings(r)
	return r
}

// moneyAndFuel are compared besides the headline measures: what an option does
// to output is seldom worth knowing without what it does to the bill.
var moneyAndFuel = []string{"energy.per_good", "cost.per_good", "contribution"}

// compared lists the measures to compare: the one that decides, those asked for,
// and the headline measures that all options have.
func (c *contest) compared() []string {
	names := append([]string{c.Deciding()}, c.By...)
	for _, g := range c.entrants[0].gauges {
		if g.Headline || slices.Contains(moneyAndFuel, g.Name) && c.measured(g.Name) {
			names = append(names, g.Name)
		}
	}
	var some []string
	for _, name := range names {
		if c.alike(name) == nil && !slices.Contains(some, name) {
			some = append(some, name)
		}
	}
	return some
}

// measured tells whether a measure is other than 0 in any option: a works
// without prices has a cost of 0.
func (c *contest) measured(name string) bool {
	for _, e := range c.entrants {
		if i := e.indexOf(name); i >= 0 && slices.ContainsFunc(e.num[i], func(v float64) bool { return v != 0 }) {
			return true
		}
	}
	return false
}

// contrast sets one measure of all options side by side.
func (c *contest) contrast(name string) Contrast {
	first := c.entrants[0]
	g := first.gauges[first.indexOf(name)]
	t := Contrast{Name: name, Unit: g.Unit, Definition: g.Definition, Way: DirectionOf(name)}
	for _, e := range c.entrants {
		i := e.indexOf(name)
		t.Values = append(t.Values, ratio(e.num[i], e.den[i]))
	}
	t.Margin = Margin{}.of(t.Values[0].Value)
	if name == c.Deciding() {
		t.Margin, t.Way = c.margin, c.Way
	}
	for i := range c.entrants {
		var d Difference
		if i > 0 {
			d = c.difference(name, i)
			d.Verdict = verdict(d.Estimate, t.Way, t.Margin)
		}
		t.Differences = append(t.Differences, d)
	}
	return t
}

// difference estimates option i less the first: from pairs of replications on
// shared luck, else from the two samples.
func (c *contest) difference(name string, i int) Difference {
	level := 1 - (1-Level)/float64(len(c.entrants)-1)
	d := Difference{Correlation: math.NaN(), VarianceFactor: math.NaN()}
	n := min(c.entrants[0].kept, c.entrants[i].kept)
	base, option := c.entrants[0].shares(name, n), c.entrants[i].shares(name, n)
	switch {
	case c.Method == Rinott:
		base, option = c.entrants[0].shares(name, c.entrants[0].kept), c.entrants[i].shares(name, c.entrants[i].kept)
		d.Estimate = stats.UnpairedInterval(option, base, level)
	default:
		d.Estimate = stats.PairedInterval(option, base, level)
		d.Correlation = stats.Correlation(option, base)
		d.VarianceFactor = d.SD * d.SD / (variance(option) + variance(base))
	}
	if math.IsNaN(d.Value) {
		d.Low, d.High = math.NaN(), math.NaN()
	}
	d.Relative = d.Value / math.Abs(stats.MeanInterval(base, Level).Value)
	if math.IsInf(d.Relative, 0) {
		d.Relative = math.NaN()
	}
	return d
}

// Shares splits a ratio of sums over replications into what each adds to it:
// the mean is the ratio, and the spread that of the delta method. See
// Cell.Shares.
func Shares(num, den []float64) []float64 { return shares(num, den) }

// VerdictOf says what a difference comes to, for a measure that is better one
// way and of which less than the margin does not matter.
func VerdictOf(d stats.Estimate, way Direction, margin float64) Verdict {
	return verdict(d, way, margin)
}

// Gain turns a difference so that more is better.
func (d Direction) Gain(difference float64) float64 { return d.gain(difference) }

// Goal is the direction in the words of package stats.
func (d Direction) Goal() stats.Goal { return d.goal() }

// variance is the square of the spread, NaN below two values.
func variance(xs []float64) float64 {
	sd := stats.MeanInterval(xs, Level).SD
	return float64(sd * sd)
}

// shares splits a measure of the first n replications into what each adds to it.
func (e *entrant) shares(name string, n int) []float64 {
	i := e.indexOf(name)
	return shares(e.num[i][:n], e.den[i][:n])
}

// shares splits a ratio of sums over replications into what each adds to it:
// R + (num - R·den)/mean(den). Their mean is the ratio R itself and their spread
// that of the delta method, so that differences agree with the values they are
// taken from, and a replication with little output counts for little.
func shares(num, den []float64) []float64 {
	r := ratio(num, den).Value
	var sum float64
	for _, d := range den {
		sum += d
	}
	each := make([]float64, len(num))
	for j := range each {
		each[j] = r + (num[j]-float64(r*den[j]))/(sum/float64(len(num)))
	}
	return each
}

// verdict says what a difference comes to.
func verdict(d stats.Estimate, way Direction, margin float64) Verdict {
	switch {
	case !d.HasInterval():
		return Unjudged
	case -margin < d.Low && d.High < margin:
		return Alike
	case !d.Excludes(0):
		return NoEvidence
	case way == Neither && d.Value > 0:
		return Higher
	case way == Neither:
		return Lower
	case way.gain(d.Value) > 0:
		return Better
	}
	return Worse
}

// outcome completes the choice: where the method did not choose, the option
// ahead is named as such.
func (c *contest) outcome(values []stats.Estimate) Choice {
	o := c.choice
	first := c.entrants[0]
	o.Measure, o.Unit = c.Deciding(), first.gauges[first.decides].Unit
	o.Way, o.Method, o.Margin, o.First, o.Budget = c.Way, c.Method, c.margin, c.Replications, c.Budget
	if o.InRace == nil {
		for i := range values {
			o.InRace = append(o.InRace, i)
		}
	}
	if o.Best >= 0 {
		return o
	}
	gain := func(i int) float64 { return c.lead(values, i) }
	for _, i := range o.InRace {
		if !math.IsNaN(gain(i)) && (o.Best < 0 || gain(i) > gain(o.Best)) {
			o.Best = i
		}
	}
	return o
}

// lead is how far option i is ahead of the first: over common replications on
// shared luck, so that one that ran longer gains nothing by that.
func (c *contest) lead(values []stats.Estimate, i int) float64 {
	if c.Method == Rinott {
		return c.Way.gain(values[i].Value - values[0].Value)
	}
	return c.Way.gain(c.difference(c.Deciding(), i).Value)
}

// standingDraws is the number of resamplings behind a probability of being
// best: its error is then a point at most.
const standingDraws = 4000

// standings resamples the replications made (the bootstrap) to say how probable
// it is that each option is the best, and what choosing it would forgo.
//
// On shared luck it is the differences from the first option that are drawn.
// Options with as many replications are drawn together, so that what they share
// stays shared; against one that was dropped earlier the draw is independent,
// which errs on the side of doubt.
func (c *contest) standings() []stats.Standing {
	fewest := c.entrants[0].kept
	var lengths []int
	for _, e := range c.entrants {
		fewest = min(fewest, e.kept)
		lengths = append(lengths, e.kept)
	}
	if fewest < 2 {
		return nil
	}
	slices.Sort(lengths)
	rng := rand.New(rand.NewPCG(c.Seed, standingDraws))
	draws := make([][]float64, standingDraws)
	for d := range draws {
		draws[d] = make([]float64, len(c.entrants))
	}
	for _, n := range slices.Compact(lengths) {
		var group []int
		var samples [][]float64
		for i, e := range c.entrants {
			if e.kept == n {
				group, samples = append(group, i), append(samples, c.drawn(e, n))
			}
		}
		for d, means := range stats.BootstrapMeans(samples, standingDraws, rng) {
			for k, i := range group {
				draws[d][i] = means[k]
			}
		}
	}
	return stats.Standings(draws, c.Way.goal(), Level)
}

// drawn is the sample of an option that is resampled.
func (c *contest) drawn(e *entrant, n int) []float64 {
	sample := e.shares(c.Deciding(), n)
	if c.Method == Rinott {
		return sample
	}
	for j, v := range c.entrants[0].shares(c.Deciding(), n) {
		sample[j] -= v
	}
	return sample
}
