package decision

import (
	"fmt"
	"math"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// conclude puts together what the runs that chose say.
func (z *sizing) conclude(g *experiment.Grid) *Sized {
	r := &Sized{
		Title: z.Title, Currency: z.Currency, Terms: z.Terms, Futures: z.Futures, Main: z.main(),
		Seed: g.Seed, Weeks: g.Weeks, WarmUp: g.WarmUp.Weeks, Fixed: g.Fixed, Partial: g.Partial, Audit: g.Laws(),
	}
	r.Best, r.Met, r.Rival = z.choose()
	// What the file left open is filled in, so that the answer says what was held
	// to matter.
	r.Terms.Matters = z.matters
	r.Decided = g.Decided && (z.chosen >= 0 || len(z.candidates) < 2)
	for o := range z.Options {
		r.Options = append(r.Options, z.option(g, o, r.Main))
	}
	// Without a rival that meets demand too, the works as it is stands in for one:
	// what is spent must be held against something.
	r.Advantage = Advantage{Than: r.Rival, Fresh: none(), Meets: none()}
	if r.Rival < 0 {
		if r.Advantage.Than = 0; r.Best == 0 {
			r.Advantage.Than = 1
		}
	}
	r.Advantage.Yearly = z.saving(r.Best, r.Advantage.Than)
	r.Regret = z.regrets()
	r.Minimax = z.minimax(r.Regret)
	r.Curve = z.curve(r)
	r.Knee = knee(r.Curve)
	return r
}

// main is the future of the greatest weight, of equals the first.
func (z *sizing) main() int {
	best := 0
	for f := range z.Futures {
		if z.Futures[f].Weight > z.Futures[best].Weight {
			best = f
		}
	}
	return best
}

// option describes one option.
func (z *sizing) option(g *experiment.Grid, o, main int) SizedOption {
	row, outlay := z.accounts[o], z.Options[o].Outlay
	s := SizedOption{SizeOption: z.Options[o], Replications: g.Replications(o), Fixed: outlay.PerYear(z.Terms.Rate)}
	s.Meets, s.MeetsIn = z.meets(o)
	s.Keeps, s.Eligible = z.keeps(o), z.eligible(o)
	s.UpTo = row[main].upTo(z.Terms.Service)
	// A replication meets the same luck in all futures, so expectations are taken
	// over futures first and their spread over replications.
	good := weigh(z.Futures, func(f int) []float64 { return row[f].good })
	short := weigh(z.Futures, func(f int) []float64 {
		lack := make([]float64, len(row[f].sold))
		for r, v := range row[f].sold {
			lack[r] = row[f].wanted - v
		}
		return lack
	})
	s.Good, s.Short = stats.MeanInterval(good, experiment.Level), stats.MeanInterval(short, experiment.Level)
	s.Yearly = stats.MeanInterval(z.yearly(o), experiment.Level)
	for f := range z.Futures {
		s.YearlyIn = append(s.YearlyIn, stats.MeanInterval(z.yearlyIn(o, f), experiment.Level))
	}
	// The full cost of a piece counts all that is packed, wanted or not: it is what
	// the controller will find in the books.
	direct := weigh(z.Futures, func(f int) []float64 {
		cost := make([]float64, len(row[f].good))
		for r := range cost {
			cost[r] = row[f].other[r] + float64(row[f].fuel[r]*row[f].price) + s.Fixed/z.Terms.Weeks
		}
		return cost
	})
	s.PerGood = stats.RatioInterval(direct, good, experiment.Level)
	z.againstToday(&s, o)
	s.Energy, s.CO2 = z.energy(o)
	cell := g.Cell(o, main)
	s.Kilns, s.Bottleneck, s.Growth = kilns(cell, z.Plant(o, main)), cell.Answer().Binding, cell.Growth()
	if o > 0 {
		s.Leaves = leaves(z.Plant(0, main).Works(), z.Plant(o, main).Works())
	}
	return s
}

// againstToday fills in what an option is worth against the works as it is.
func (z *sizing) againstToday(s *SizedOption, o int) {
	outlay := z.Options[o].Outlay
	s.Difference, s.Worth, s.Payback = none(), none(), math.NaN()
	if o == 0 {
		return
	}
	// The yearly saving is after all outlays, the option's own among them. Over its
	// life it is worth the annuity of that; payback wants it before the capital.
	saving := z.saving(o, 0)
	s.Difference = saving
	s.Difference.Value, s.Difference.Low, s.Difference.High = -saving.Value, -saving.High, -saving.Low
	annuity := Annuity(z.Terms.Rate, outlay.Life)
	s.Worth = saving
	s.Worth.Value, s.Worth.Low, s.Worth.High = saving.Value*annuity, saving.Low*annuity, saving.High*annuity
	if outlay.Capital > 0 {
		s.Payback = outlay.Payback(saving.Value + s.Fixed)
	}
}

// regrets is what an option costs a year more, in each future, than the one that
// would have been the best in it: the cheapest of those that meet demand there,
// or of all where none does.
func (z *sizing) regrets() [][]float64 {
	cost := make([][]float64, len(z.Options))
	n := z.fewest()
	for o := range z.Options {
		for f := range z.Futures {
			cost[o] = append(cost[o], average(z.yearlyIn(o, f)[:n]))
		}
	}
	for f := range z.Futures {
		best, any := math.Inf(1), math.Inf(1)
		for o := range z.Options {
			if math.IsNaN(cost[o][f]) {
				continue // it packs nothing
			}
			any = min(any, cost[o][f])
			if average(z.accounts[o][f].met(1)) >= z.Terms.Service {
				best = min(best, cost[o][f])
			}
		}
		if math.IsInf(best, 1) {
			best = any
		}
		for o := range z.Options {
			cost[o][f] -= best
		}
	}
	return cost
}

// minimax is the candidate whose greatest regret is the smallest, or the option
// where there is no candidate.
func (z *sizing) minimax(regret [][]float64) int {
	among := z.candidates
	if len(among) == 0 {
		for o := range z.Options {
			among = append(among, o)
		}
	}
	best, least := among[0], math.Inf(1)
	for _, o := range among {
		if worst := slices.Max(regret[o]); worst < least {
			best, least = o, worst
		}
	}
	return best
}

// warnings gathers what must be known before money is spent, the weightiest
// first.
func (z *sizing) warnings(r *Sized) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	best := r.Options[r.Best]
	if r.Partial != "" {
		say("%s", r.Partial)
	}
	switch n := z.fewest(); {
	case r.Fixed:
		say("Randomness is off: no figure carries an interval, and whether demand is met hangs on the plan alone.")
	case n == 1:
		say("One replication: nothing can be said of chance.")
	case n < 10:
		say("Only %d replications of some options: the intervals are rough. 10 or more are better.", n)
	}
	if !r.Decided && r.Partial == "" && !r.Fixed {
		say("The choice among those that meet demand is not settled: %s is ahead. Allow more replications, or let a larger difference be the smallest that matters.", best.Name)
	}
	if f := r.Advantage.Fresh; !math.IsNaN(f.Value) && r.Rival >= 0 && f.High < 0 {
		say("Runs that were not used to choose find %s cheaper than %s: choose again with more replications.", r.Options[r.Advantage.Than].Name, best.Name)
	}
	if m := r.Advantage.Meets; r.Met && m.Value < z.Terms.Service {
		say("In runs that were not used to choose, %s meets demand with %.0f %% only: it was lucky when it was chosen.", best.Name, 100*m.Value)
	}
	for _, o := range r.Options {
		if o.Eligible && o.Growth != "" {
			say("%s meets demand in the weeks that were run, but not for ever at this plan. %s", o.Name, o.Growth)
		}
	}
	all = append(all, z.aboutPlans(r)...)
	if z.Terms.Worth == 0 && r.Options[0].Short.Value > 0.01*z.Futures[r.Main].total() {
		say("No worth of a good piece was given, so pieces that an option lacks are charged at its own cost. The net present value against today then leaves out what the lacking pieces would have earned.")
	}
	return all
}

// aboutPlans says where the casting plan cannot make what is wanted whatever the
// kiln does: a plan that aims at demand meets it every second time.
func (z *sizing) aboutPlans(r *Sized) []string {
	var all []string
	for f, future := range z.Futures {
		planned, ok := z.Plant(r.Best, f).Hand().Value("packed.total")
		if wanted := future.total(); ok && planned < 1.005*wanted {
			all = append(all, fmt.Sprintf("In the future %s the plan of %s comes to %.0f good pieces a week by hand, and %.0f are wanted: plan a little above demand, or no kiln will meet it more than every second time.",
				future.Name, r.Options[r.Best].Name, planned, wanted))
		}
	}
	return all
}
