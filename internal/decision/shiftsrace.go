package decision

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// A weighing is a comparison on its way to the answer.
type weighing struct {
	CompareQuestion
	grid       *experiment.Grid
	night      []*nightHours // by option, of the main future
	breaches   [][]Breach    // of the rules on working time, by option
	shared     [][]string    // hours that no rule was held against, by option
	candidates []int         // options among which is chosen; nil: not known yet
	stage      int           // replications of the first stage, on which the rule of choice rests
	margin     float64       // 0: not known yet
	left       []int
	chosen     int // by the rule, -1: none
}

func newWeighing(q CompareQuestion) (*weighing, error) {
	if q.Way == experiment.Neither {
		q.Way = experiment.DirectionOf(q.By)
	}
	if err := q.check(); err != nil {
		return nil, err
	}
	z := &weighing{CompareQuestion: q, chosen: -1}
	for o := range q.Options {
		n, err := nightOf(q.Plant(o, z.main()), q.Terms.Night)
		if err != nil {
			return nil, err
		}
		found, shared, err := q.Terms.Rules.Breaches(q.Plant(o, z.main()), n.night, q.Terms.Rotas)
		if err != nil {
			return nil, fmt.Errorf("decision: %w", err)
		}
		z.night, z.breaches, z.shared = append(z.night, n), append(z.breaches, found), append(z.shared, shared)
	}
	return z, nil
}

// main is the future of the greatest weight, of equals the first.
func (z *weighing) main() int {
	best := 0
	for f := range z.Futures {
		if z.Futures[f].Weight > z.Futures[best].Weight {
			best = f
		}
	}
	return best
}

// plan lays out the grid. A future in which only fuel is dearer has the same
// runs, and its money is reckoned from them; here it is simulated all the same,
// as any measure may decide.
func (z *weighing) plan(race func(*experiment.Grid) []int) experiment.GridPlan {
	p := experiment.GridPlan{Race: race, Weekly: []string{"packed.total"}, Futures: z.Futures}
	for _, o := range z.Options {
		p.Options = append(p.Options, o.Name)
	}
	p.Runner = func(o, f int) experiment.Runner { return z.Plant(o, f) }
	return p
}

// sums gives numerators and denominators of a measure of a cell by replication,
// with capital and upkeep of the option in it where it is money: they fall due
// whatever is made, so a good piece bears the more of them the fewer there are.
func (z *weighing) sums(g *experiment.Grid, option, future int, name string) (num, den []float64) {
	num, den = g.Cell(option, future).Sums(name)
	perWeek := z.Options[option].Outlay.PerYear(z.Terms.Rate) / z.Terms.Weeks
	if perWeek == 0 || num == nil {
		return num, den
	}
	num = slices.Clone(num)
	for r := range num {
		switch name {
		case "cost.per_good":
			num[r] += float64(perWeek * float64(g.Weeks-g.WarmUp.Weeks))
		case "contribution":
			num[r] -= float64(perWeek * den[r])
		}
	}
	return num, den
}

// expected gives a measure of an option by replication, expected over the
// futures: what each replication adds to the ratio of sums, or the single
// ratios, whose past a sequential rule must not see change.
func (z *weighing) expected(g *experiment.Grid, option int, name string, singles bool) []float64 {
	return g.Expected(option, func(c *experiment.Cell) []float64 {
		num, den := z.sums(g, option, c.Future, name)
		if !singles {
			return experiment.Shares(num, den)
		}
		ratios := make([]float64, len(num))
		for r := range num {
			ratios[r] = num[r] / den[r]
		}
		return ratios
	})
}

// in gives a measure of an option in one future by replication.
func (z *weighing) in(g *experiment.Grid, option, future int, name string) []float64 {
	return experiment.Shares(z.sums(g, option, future, name))
}

// race is asked after every round of the grid: it goes on with the candidates not
// yet shown to be behind another. Today runs along, as all is compared with it.
func (z *weighing) race(g *experiment.Grid) []int {
	z.enter(g)
	if len(z.candidates) < 2 || !(z.margin > 0) || g.Replications(z.candidates[0]) < 2 || g.Fixed {
		z.left = z.candidates
		return nil
	}
	samples := make([][]float64, len(z.candidates))
	for i, o := range z.candidates {
		samples[i] = z.expected(g, o, z.By, true)
	}
	choice := z.rule().Select(samples)
	z.left = nil
	for _, i := range choice.Survivors {
		z.left = append(z.left, z.candidates[i])
	}
	if choice.Best >= 0 {
		z.chosen = z.candidates[choice.Best]
		return nil
	}
	if !slices.Contains(z.left, 0) {
		return append([]int{0}, z.left...)
	}
	return z.left
}

// rule is how options are told apart. It rests on the spread of the first stage,
// which must stay what it was: a stage that grew with the rounds would leave the
// rule without its guarantee.
func (z *weighing) rule() stats.KimNelson {
	return stats.KimNelson{Alpha: 1 - experiment.Level, Delta: z.margin, First: z.stage, Goal: z.Way.Goal()}
}

// fewest is the replications that all options have.
func (z *weighing) fewest(g *experiment.Grid) int {
	n := math.MaxInt
	for o := range z.Options {
		n = min(n, g.Replications(o))
	}
	return n
}

// enter fixes, once and for all, who is in the race, on how long a first stage it
// rests, and what difference matters.
// What breaks a rule on working time cannot be worked, so it is not.
func (z *weighing) enter(g *experiment.Grid) {
	if z.candidates != nil {
		return
	}
	z.candidates, z.stage = []int{}, z.fewest(g)
	for o := range z.Options {
		if _, ok := z.keeps(g, o); ok && len(z.breaches[o]) == 0 && !slices.ContainsFunc(z.expected(g, o, z.By, true), math.IsNaN) {
			z.candidates = append(z.candidates, o)
		}
	}
	z.margin = z.Matters.Of(average(z.expected(g, 0, z.By, false)))
}

// keeps is the probability that each limit holds over a run, and whether all do
// with the probability asked for.
func (z *weighing) keeps(g *experiment.Grid, option int) (chances []stats.Estimate, all bool) {
	all = true
	futures := make([]SizeFuture, len(z.Futures))
	for _, l := range z.Limits {
		var in []stats.Estimate
		for f, future := range z.Futures {
			futures[f] = SizeFuture{Name: future.Name, Weight: future.Weight}
			in = append(in, chance(z.holds(g, option, f, l)))
		}
		c := mixed(futures, in)
		chances = append(chances, c)
		all = all && c.Value >= z.Service
	}
	return chances, all
}

// holds tells by replication whether a limit holds on the average of the run: 1 or
// 0. Hours follow from the calendar and hold always or never. A limit on a
// measure that the works lacks does not hold: it was asked for.
func (z *weighing) holds(g *experiment.Grid, option, future int, l Limit) []float64 {
	cell := g.Cell(option, future)
	values := make([]float64, cell.Replications())
	switch {
	case l.Measure == "hours.paid":
		fill(values, z.night[option].paid)
	case l.Measure == "hours.night":
		fill(values, z.night[option].atNight)
	case !cell.Has(l.Measure):
		fill(values, math.NaN())
	default:
		num, den := z.sums(g, option, future, l.Measure)
		for r := range values {
			values[r] = num[r] / den[r]
		}
	}
	for r, v := range values {
		values[r] = 0
		if v >= l.Least && v <= l.Most {
			values[r] = 1
		}
	}
	return values
}

// fill gives all values one figure.
func fill(values []float64, v float64) {
	for i := range values {
		values[i] = v
	}
}

// lead is how far an option is ahead of another over the replications that both
// have, from pairs; above 0 it is the better.
func (z *weighing) lead(g *experiment.Grid, option, than int) float64 {
	return z.Way.Gain(z.difference(g, option, than, z.By, experiment.Level).Value)
}

// difference estimates a measure of one option less that of another.
func (z *weighing) difference(g *experiment.Grid, option, than int, name string, level float64) stats.Estimate {
	a, b := z.expected(g, option, name, false), z.expected(g, than, name, false)
	n := min(len(a), len(b))
	return stats.PairedInterval(a[:n], b[:n], level)
}

// choose names what to do, whether it keeps the limits, and its rival.
func (z *weighing) choose() (best int, met bool, rival int) {
	g := z.grid
	z.enter(g)
	among, met := z.candidates, len(z.candidates) > 0
	if !met {
		return z.nearest(), false, -1
	}
	best = among[0]
	for _, o := range among {
		if z.lead(g, o, best) > 0 {
			best = o
		}
	}
	if z.chosen >= 0 {
		best = z.chosen
	}
	rival = -1
	for _, o := range among {
		if o != best && (rival < 0 || z.lead(g, o, rival) > 0) {
			rival = o
		}
	}
	return best, true, rival
}

// nearest is the option whose least likely limit is the likeliest to hold.
func (z *weighing) nearest() int {
	best, most := 0, -1.0
	for o := range z.Options {
		least := 1.0
		chances, _ := z.keeps(z.grid, o)
		for _, c := range chances {
			least = min(least, c.Value)
		}
		if least > most || least == most && z.lead(z.grid, o, best) > 0 {
			best, most = o, least
		}
	}
	return best
}

// compared lists the measures to set side by side, of those that all options
// have.
func (z *weighing) compared() []string {
	names := append([]string{z.By}, z.Also...)
	for _, l := range z.Limits {
		names = append(names, l.Measure)
	}
	names = append(names, "packed.total", "cost.per_good", "contribution", "lead_time.p95", "wip.total", "window.too_dry", "window.late", "energy.per_good")
	var some []string
	for _, name := range names {
		if !slices.Contains(some, name) && z.everywhere(name) {
			some = append(some, name)
		}
	}
	return some
}

// everywhere tells whether all options have a measure, and any a value other
// than 0: a works without prices has no contribution worth a row.
func (z *weighing) everywhere(name string) bool {
	any := false
	for o := range z.Options {
		for f := range z.Futures {
			num, _ := z.grid.Cell(o, f).Sums(name)
			if num == nil {
				return false
			}
			any = any || slices.ContainsFunc(num, func(v float64) bool { return v != 0 })
		}
	}
	return any && (name != "contribution" || z.priced())
}

// priced tells whether any ware has a selling price.
func (z *weighing) priced() bool {
	w := z.Plant(0, z.main()).Works()
	for i := range w.Ware {
		if w.Ware[i].Price > 0 {
			return true
		}
	}
	return false
}

// contrast sets one measure of all options side by side, expected over the
// futures, at a level that makes all its differences hold together (Bonferroni).
func (z *weighing) contrast(name string) experiment.Contrast {
	g := z.grid
	m := measureNamed(z.Plant(0, 0), name)
	c := experiment.Contrast{Name: name, Unit: m.Unit, Definition: m.Definition, Way: experiment.DirectionOf(name)}
	for o := range z.Options {
		c.Values = append(c.Values, stats.MeanInterval(z.expected(g, o, name, false), experiment.Level))
	}
	c.Margin = experiment.Margin{}.Of(c.Values[0].Value)
	if name == z.By {
		c.Way, c.Margin = z.Way, z.margin
	}
	level := 1 - (1-experiment.Level)/float64(len(z.Options)-1)
	base := math.Abs(c.Values[0].Value)
	for o := range z.Options {
		d := experiment.Difference{Correlation: math.NaN(), VarianceFactor: math.NaN(), Relative: math.NaN()}
		if o > 0 {
			d.Estimate = z.difference(g, o, 0, name, level)
			a, b := z.expected(g, o, name, false), z.expected(g, 0, name, false)
			d.Correlation = stats.Correlation(a[:d.N], b[:d.N])
			if base > 0 {
				d.Relative = d.Value / base
			}
			d.Verdict = experiment.VerdictOf(d.Estimate, c.Way, c.Margin)
		}
		c.Differences = append(c.Differences, d)
	}
	return c
}

// standings resamples the replications that all options have: the probability of
// being the best, and what choosing an option would forgo on average.
func (z *weighing) standings() []stats.Standing {
	const draws = 4000
	n := z.fewest(z.grid)
	if n < 2 {
		return nil
	}
	samples := make([][]float64, len(z.Options))
	for o := range z.Options {
		samples[o] = z.expected(z.grid, o, z.By, false)[:n]
	}
	means := stats.BootstrapMeans(samples, draws, rand.New(rand.NewPCG(z.grid.Seed, draws)))
	return stats.Standings(means, z.Way.Goal(), experiment.Level)
}

// regrets is how far an option is behind the best in each future, in the measure
// that decides.
func (z *weighing) regrets() [][]float64 {
	n := z.fewest(z.grid)
	regret := make([][]float64, len(z.Options))
	for f := range z.Futures {
		best := math.Inf(-1)
		for o := range z.Options {
			gain := z.Way.Gain(average(z.in(z.grid, o, f, z.By)[:n]))
			regret[o] = append(regret[o], gain)
			best = max(best, gain)
		}
		for o := range z.Options {
			regret[o][f] = best - regret[o][f]
		}
	}
	return regret
}

// certify puts the recommendation, and the works as it is or, where that is the
// best, the runner-up, to luck that was not used to choose; where something must
// hold, the recommendation alone goes on until its probability could bear what
// was asked for.
func (z *weighing) certify(ctx context.Context, r *Compared, s experiment.Settings) error {
	than := 0
	if r.Best == 0 {
		if than = r.Rival; than < 0 {
			than = 1
		}
	}
	pair := []int{than, r.Best}
	trials := s.Replications
	if len(z.Limits) > 0 {
		trials = supporting(z.Service, trials)
	}
	s.Most = trials
	g, err := z.grid.Again(ctx, z.plan(goOn(1, trials)), pair, s.Doing(experiment.Checking))
	if g == nil {
		return err
	}
	// The grid of the pair has its own numbers of options: what is asked of it is
	// asked in those.
	fresh := &weighing{CompareQuestion: z.CompareQuestion, grid: g, margin: z.margin, chosen: -1}
	fresh.Options = []CompareOption{z.Options[than], z.Options[r.Best]}
	fresh.night = []*nightHours{z.night[than], z.night[r.Best]}
	c := &CertifiedChoice{
		Than: than, Runs: g.Replications(0), Trials: g.Replications(1),
		Difference: fresh.difference(g, 1, 0, z.By, experiment.Level),
		Chosen:     stats.MeanInterval(fresh.expected(g, 1, z.By, false)[:g.Replications(0)], experiment.Level),
		Base:       stats.MeanInterval(fresh.expected(g, 0, z.By, false), experiment.Level),
	}
	c.Verdict = experiment.VerdictOf(c.Difference, z.Way, z.margin)
	c.Limits, _ = fresh.keeps(g, 1)
	r.Certified = c
	return err
}
