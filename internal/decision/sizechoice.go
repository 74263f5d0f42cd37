package decision

import (
	"context"
	"math"
	"reflect"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// A sizing is a question on its way to the answer.
type sizing struct {
	SizeQuestion
	accounts   [][]*books // [option][future]
	candidates []int      // options among which is chosen; nil: not known yet
	stage      int        // replications of the first stage, on which the rule of choice rests
	matters    float64    // currency a year; 0: not known yet
	left       []int      // candidates not shown to be dearer
	chosen     int        // by the rule, -1: none
}

func newSizing(q SizeQuestion) *sizing { return &sizing{SizeQuestion: q, chosen: -1} }

// plan lays out the grid. A future that differs from another in the price of
// fuel only has the same runs.
func (z *sizing) plan(race func(*experiment.Grid) []int) experiment.GridPlan {
	p := experiment.GridPlan{Race: race, Weekly: z.weekly()}
	for _, o := range z.Options {
		p.Options = append(p.Options, o.Name)
	}
	for _, f := range z.Futures {
		p.Futures = append(p.Futures, experiment.Prospect{Name: f.Name, Weight: f.Weight})
	}
	p.Runner = func(o, f int) experiment.Runner {
		for earlier := range f {
			if sameButPrices(z.Plant(o, earlier).Works(), z.Plant(o, f).Works()) {
				return z.Plant(o, earlier)
			}
		}
		return z.Plant(o, f)
	}
	return p
}

// sameButPrices tells whether two works run alike and differ in the price and
// the carbon of their fuel at most.
func sameButPrices(a, b *plant.Works) bool {
	x, y := *a, *b
	x.Fuel, y.Fuel = plant.Fuel{}, plant.Fuel{}
	return reflect.DeepEqual(x, y)
}

// weekly lists the measures of which single weeks are looked at.
func (z *sizing) weekly() []string {
	var names []string
	add := func(name string) {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	for _, f := range z.Futures {
		for _, d := range f.Demand {
			add(packedOf(d.Ware))
		}
	}
	for o := range z.Options {
		for _, k := range z.Plant(o, 0).Works().Kilns {
			for _, m := range []string{".weekend.held", ".weekend.pieces", ".weekend.least", ".cars"} {
				add("kiln." + k.Name + m)
			}
		}
	}
	return names
}

// read takes the accounts out of a grid.
func (z *sizing) read(g *experiment.Grid) {
	z.accounts = nil
	for o := range z.Options {
		var row []*books
		for f, future := range z.Futures {
			row = append(row, accountOf(g.Cell(o, f), z.Plant(o, f).Works(), future, z.Terms))
		}
		z.accounts = append(z.accounts, row)
	}
}

// yearly is the expected yearly cost of an option by replication.
func (z *sizing) yearly(o int) []float64 {
	return weigh(z.Futures, func(f int) []float64 { return z.yearlyIn(o, f) })
}

func (z *sizing) yearlyIn(o, f int) []float64 {
	a := z.accounts[o][f]
	return a.yearly(z.Terms, z.Options[o].Outlay, a.price)
}

// meets is the probability that an option meets demand, in each future and
// expected over them.
func (z *sizing) meets(o int) (stats.Estimate, []stats.Estimate) {
	var in []stats.Estimate
	for f := range z.Futures {
		in = append(in, chance(z.accounts[o][f].met(1)))
	}
	return mixed(z.Futures, in), in
}

// keeps is the probability that an option keeps the limits, as meets.
func (z *sizing) keeps(o int) stats.Estimate {
	var in []stats.Estimate
	for f := range z.Futures {
		in = append(in, chance(z.accounts[o][f].kept))
	}
	return mixed(z.Futures, in)
}

// eligible tells whether an option meets demand and keeps the limits with the
// probability asked for, as far as its runs say.
func (z *sizing) eligible(o int) bool {
	m, _ := z.meets(o)
	return m.Value >= z.Terms.Service && z.keeps(o).Value >= z.Terms.Service
}

// race is asked after every round of the grid: it goes on with the candidates
// not yet shown to be dearer than another.
func (z *sizing) race(g *experiment.Grid) []int {
	z.read(g)
	z.enter()
	if len(z.candidates) < 2 || !(z.matters > 0) || g.Replications(z.candidates[0]) < 2 {
		z.left = z.candidates
		return nil
	}
	samples := make([][]float64, len(z.candidates))
	for i, o := range z.candidates {
		samples[i] = z.yearly(o)
	}
	rule := stats.KimNelson{Alpha: 1 - experiment.Level, Delta: z.matters, First: z.stage, Goal: stats.Least}
	choice := rule.Select(samples)
	z.left = nil
	for _, i := range choice.Survivors {
		z.left = append(z.left, z.candidates[i])
	}
	if choice.Best >= 0 {
		z.chosen = z.candidates[choice.Best]
		return nil
	}
	return z.left
}

// fewest is the replications that all options have.
func (z *sizing) fewest() int {
	n := math.MaxInt
	for o := range z.Options {
		n = min(n, len(z.accounts[o][0].good))
	}
	return n
}

// enter fixes, once and for all, who is in the race and what difference
// matters: a rule whose ground moved with the data would have no guarantee.
// Where no option meets the demand nobody is, and the nearest is named instead.
func (z *sizing) enter() {
	if z.candidates != nil {
		return
	}
	z.candidates, z.stage = []int{}, z.fewest()
	for o := range z.Options {
		if z.eligible(o) && !slices.ContainsFunc(z.yearly(o), math.IsNaN) {
			z.candidates = append(z.candidates, o)
		}
	}
	z.matters = z.Terms.Matters
	if z.matters == 0 {
		z.matters = usualMatters * average(z.yearly(0))
	}
}

// average is the plain average.
func average(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

// cheapest orders options by expected yearly cost over the replications that
// they share.
func (z *sizing) cheapest(options []int) []int {
	n := math.MaxInt
	for _, o := range options {
		n = min(n, len(z.yearly(o)))
	}
	ordered := slices.Clone(options)
	slices.SortStableFunc(ordered, func(a, b int) int {
		x, y := average(z.yearly(a)[:n]), average(z.yearly(b)[:n])
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return ordered
}

// choose names the option to build, whether it meets demand, and its rival.
func (z *sizing) choose() (best int, met bool, rival int) {
	z.enter()
	if len(z.candidates) == 0 {
		return z.nearest(), false, -1
	}
	order := z.cheapest(z.candidates)
	best, rival = order[0], -1
	if z.chosen >= 0 {
		best = z.chosen
	}
	for _, o := range order {
		if o != best {
			rival = o
			break
		}
	}
	return best, true, rival
}

// nearest is the option most likely to meet demand, of equals the one with the
// most of it packed.
func (z *sizing) nearest() int {
	best, most, packed := 0, -1.0, -1.0
	for o := range z.Options {
		m, _ := z.meets(o)
		sold := average(weigh(z.Futures, func(f int) []float64 { return z.accounts[o][f].sold }))
		if m.Value > most || m.Value == most && sold > packed {
			best, most, packed = o, m.Value, sold
		}
	}
	return best
}

// saving is how much a year an option costs less than another, from pairs.
func (z *sizing) saving(o, than int) stats.Estimate {
	a, b := z.yearly(than), z.yearly(o)
	n := min(len(a), len(b))
	return stats.PairedInterval(a[:n], b[:n], experiment.Level)
}

// certify puts the recommendation and what it is held against to replications
// that were not used to choose it, as many as the first stage had; the
// recommendation alone, if it meets demand, to more, until its probability could
// bear the service that was asked for.
func (z *sizing) certify(ctx context.Context, r *Sized, chose *experiment.Grid, s experiment.Settings) error {
	pair := []int{r.Best, r.Advantage.Than}
	fresh := newSizing(z.SizeQuestion)
	fresh.Options = []SizeOption{z.Options[pair[0]], z.Options[pair[1]]}
	fresh.Plant = func(o, f int) *plant.Plant { return z.Plant(pair[o], f) }
	// The same weeks are looked at, and numbers begin beyond any that might have
	// been used, so that more replications of the first grid would not meet them.
	s.Weeks, s.WarmUp = chose.Weeks, chose.WarmUp.Weeks
	trials := s.Replications
	if r.Met {
		trials = supporting(z.Terms.Service, s.Replications)
	}
	plan := fresh.plan(goOn(0, trials))
	plan.After = max(s.Most, s.Replications)
	s.Most = trials
	g, err := experiment.RunGrid(ctx, plan, s.Doing(experiment.Checking))
	if g == nil {
		return err
	}
	fresh.read(g)
	a := &r.Advantage
	a.Fresh, a.NewRuns, a.Trials = fresh.saving(0, 1), g.Replications(1), g.Replications(0)
	a.Meets, _ = fresh.meets(0)
	return err
}

// mostTrials bounds the replications by which a probability is certified, in
// first stages of the choice.
const mostTrials = 8

// supporting is how many trials it takes to support a probability: the fewest of
// which, if none fails, the interval lies above it, but no more than mostTrials
// first stages, and no fewer than one. The score interval of n trials without a
// failure begins at n / (n + z²) (Wilson, 1927).
func supporting(service float64, stage int) int {
	z := stats.NormalQuantile((1 + experiment.Level) / 2)
	most := mostTrials * stage
	if need := float64(z*z) * service / (1 - service); need < float64(most) {
		return max(stage, int(math.Ceil(need)))
	}
	return most
}

// goOn is the race of a grid in which one option alone goes on, until it has so
// many replications.
func goOn(option, replications int) func(*experiment.Grid) []int {
	return func(g *experiment.Grid) []int {
		if g.Replications(option) >= replications {
			return nil
		}
		return []int{option}
	}
}
