package decision

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// clockOf prints a time of day.
func clockOf(t des.Time) string {
	return fmt.Sprintf("%02d:%02d", t/des.Hour, t%des.Hour/des.Minute)
}

// mostPremium is the highest premium on wages that is looked at.
const mostPremium = 2.0

// flips lists what would have to be true for another option to be the one to
// choose. All are found on the same runs: wages, prices, how much is wanted and
// how likely each future is play no part in the runs themselves.
func (z *weighing) flips(r *Compared) []Flip {
	var all []Flip
	add := func(f Flip, ok bool) {
		if ok {
			all = append(all, f)
		}
	}
	for o := range z.Options {
		if o == r.Best || o != 0 && !slices.Contains(z.candidates, o) {
			continue
		}
		if z.By == "cost.per_good" {
			for _, name := range z.premiumHours(r.Best, o) {
				add(z.premiumFlip(r, o, name))
			}
			add(z.outputFlip(r, o))
		}
		for f := range z.Futures {
			add(z.futureFlip(r, o, f))
		}
	}
	all = nearestFlips(all)
	for o := range z.Options {
		if o != r.Best {
			add(z.priceFlip(r, o))
		}
	}
	return all
}

// premiumHours lists the hours whose premium may turn a choice between two
// options: those of which one pays more than the other.
func (z *weighing) premiumHours(a, b int) []string {
	var names []string
	for _, o := range []int{a, b} {
		for _, l := range z.night[o].lines {
			if !slices.Contains(names, l.hours) && l.wage > 0 && math.Abs(z.wagesIn(a, l.hours)-z.wagesIn(b, l.hours)) > 1 {
				names = append(names, l.hours)
			}
		}
	}
	return names
}

// wagesIn is the wages of some hours without premium, currency a week.
func (z *weighing) wagesIn(o int, hours string) float64 {
	sum := 0.0
	for _, l := range z.night[o].lines {
		if l.hours == hours {
			sum += float64(l.paid * l.wage)
		}
	}
	return sum
}

// premiumIn is the mean premium of some hours in an option that works them.
func (z *weighing) premiumIn(o int, hours string) (premium float64, works bool) {
	if wages := z.wagesIn(o, hours); wages > 0 {
		for _, l := range z.night[o].lines {
			if l.hours == hours {
				premium += l.paid * l.wage * l.premium / wages
			}
		}
		return premium, true
	}
	return 0, false
}

// premiumFlip is the premium on some hours at which another option is as cheap.
// The cost of a good piece is linear in it.
func (z *weighing) premiumFlip(r *Compared, o int, hours string) (Flip, bool) {
	per := func(option int) (cost, slope []float64) {
		cost = z.expected(z.grid, option, z.By, false)
		good := z.expected(z.grid, option, "packed.total", false)
		for _, g := range good {
			slope = append(slope, z.wagesIn(option, hours)/g)
		}
		return cost, slope
	}
	mine, mySlope := per(r.Best)
	other, itsSlope := per(o)
	n := min(len(mine), len(other))
	lead, slope := make([]float64, n), make([]float64, n)
	now, works := z.premiumIn(r.Best, hours)
	if !works {
		now, _ = z.premiumIn(o, hours)
	}
	for i := range n {
		// The lead falls by slope with each unit of premium: gone at lead / slope.
		slope[i] = mySlope[i] - itsSlope[i]
		lead[i] = 100 * (other[i] - mine[i] + float64(now*slope[i]))
	}
	e := bounded(stats.RatioInterval(lead, slope, experiment.Level))
	if !(e.Value >= 0 && e.Value <= 100*mostPremium) || math.Abs(average(slope)) < 1e-3 {
		return Flip{}, false
	}
	return Flip{Input: "premium on the hours " + hours, Unit: "%", Now: 100 * now, At: e, Above: average(slope) > 0, To: o, How: sameRuns}, true
}

// outputFlip is the good pieces wanted a week below which the option with less
// to pay whatever is made is the cheaper: wages and outlays are paid anyway, the
// rest goes with the pieces.
func (z *weighing) outputFlip(r *Compared, o int) (Flip, bool) {
	// Two straight lines over the pieces wanted: where they cross is the break-even.
	// It counts only where both options can make so many.
	split := func(option int) (fixed float64, variable []float64) {
		fixed = z.Options[option].Outlay.PerYear(z.Terms.Rate) / z.Terms.Weeks
		for _, l := range z.night[option].lines {
			fixed += float64(l.paid * l.wage * (1 + l.premium))
		}
		good := z.expected(z.grid, option, "packed.total", false)
		for i, c := range z.expected(z.grid, option, z.By, false) {
			variable = append(variable, c-fixed/good[i])
		}
		return fixed, variable
	}
	f1, v1 := split(r.Best)
	f2, v2 := split(o)
	n := min(len(v1), len(v2))
	gap, slope := make([]float64, n), make([]float64, n)
	for i := range n {
		gap[i], slope[i] = f1-f2, v2[i]-v1[i]
	}
	e := bounded(stats.RatioInterval(gap, slope, experiment.Level))
	now := r.Options[r.Best].Good.Value
	if most := min(now, r.Options[o].Good.Value); !(e.Value > 0 && e.Value < most) {
		return Flip{}, false
	}
	return Flip{Input: "good pieces wanted", Unit: "pieces/wk", Now: now, At: e, Above: false, To: o, How: sameRuns}, true
}

// priceFlip is what a further good piece must bring, net, for an option that makes
// more, at more cost, to be worth it; or below which one that makes less is.
func (z *weighing) priceFlip(r *Compared, o int) (Flip, bool) {
	weekly := func(option int) (cost, good []float64) {
		good = z.expected(z.grid, option, "packed.total", false)
		for i, c := range z.expected(z.grid, option, "cost.per_good", false) {
			cost = append(cost, c*good[i])
		}
		return cost, good
	}
	if !z.everywhere("cost.per_good") {
		return Flip{}, false
	}
	c1, g1 := weekly(r.Best)
	c2, g2 := weekly(o)
	n := min(len(g1), len(g2))
	cost, good := make([]float64, n), make([]float64, n)
	for i := range n {
		cost[i], good[i] = c2[i]-c1[i], g2[i]-g1[i]
	}
	// Where the outputs are not shown to differ, their quotient is of chance.
	more := stats.MeanInterval(good, experiment.Level)
	e := bounded(stats.RatioInterval(cost, good, experiment.Level))
	if !more.Excludes(0) || !(e.Value > 0) || math.Abs(more.Value) < (experiment.Margin{}).Of(average(g1)) {
		return Flip{}, false
	}
	price := z.meanPrice()
	return Flip{Input: "what a good piece brings", Unit: z.Currency, Now: price, At: e, Above: more.Value > 0, To: o, How: sameRuns}, true
}

// meanPrice is the mean selling price of what is packed today; NaN without any.
func (z *weighing) meanPrice() float64 {
	w := z.Plant(0, z.main()).Works()
	sales, pieces := 0.0, 0.0
	for i := range w.Ware {
		g := z.grid.Cell(0, z.main()).Estimate("packed." + w.Ware[i].Name).Value
		sales += float64(g * float64(w.Ware[i].Price) * 1e-6)
		pieces += g
	}
	if sales == 0 {
		return math.NaN()
	}
	return sales / pieces
}

// futureFlip is how likely a future must be for another option to be the better,
// the others keeping their proportions.
func (z *weighing) futureFlip(r *Compared, o, f int) (Flip, bool) {
	w := z.Futures[f].Weight
	if w >= 1 {
		return Flip{}, false
	}
	mine, its := z.in(z.grid, r.Best, f, z.By), z.in(z.grid, o, f, z.By)
	all, itsAll := z.expected(z.grid, r.Best, z.By, false), z.expected(z.grid, o, z.By, false)
	n := min(len(mine), len(its), len(all), len(itsAll))
	gap, slope := make([]float64, n), make([]float64, n)
	for i := range n {
		// The whole is w here + (1 - w) rest: it is 0 at a weight of rest / (rest - here).
		here := its[i] - mine[i]
		rest := (itsAll[i] - all[i] - float64(w*here)) / (1 - w)
		gap[i], slope[i] = 100*rest, rest-here
	}
	e := bounded(stats.RatioInterval(gap, slope, experiment.Level))
	if !(e.Value >= 0 && e.Value <= 100) || !(z.Way.Gain(average(all)-average(itsAll)) > 0) {
		return Flip{}, false
	}
	return Flip{Input: "weight of the future " + z.Futures[f].Name, Unit: "%", Now: 100 * w, At: e, Above: e.Value > 100*w, To: o, How: "the same runs, weighed again"}, true
}

// A Trial is an input at one of its ends, with the best option and the one it is
// held against run there: a few pairs on shared luck, since what is physical
// cannot be reckoned from other runs.
type Trial struct {
	scenario.Input
	At         string // the end
	Than       int
	Lead       stats.Estimate // of the best option, above 0 where it stays the better
	Flips      bool           // it is behind by more than what matters
	Impossible bool           // no works can be had there
}

// try runs the best option and its rival, or today, at both ends of each input.
func (z *weighing) try(ctx context.Context, r *Compared, s experiment.Settings) error {
	than := r.Rival
	switch {
	case than >= 0:
	case r.Best == 0:
		than = 1
	default:
		than = 0
	}
	s, done := s.Doing("trying what would turn it"), 0
	for _, in := range z.Inputs {
		for _, side := range []scenario.Side{scenario.AtLow, scenario.AtHigh} {
			if s.Progress != nil {
				s.Progress(experiment.Progress{Replications: done, Fewest: 2 * len(z.Inputs), Most: 2 * len(z.Inputs)})
			}
			done++
			t := Trial{Input: in, At: in.Low, Than: than, Lead: none()}
			if side == scenario.AtHigh {
				t.At = in.High
			}
			best, other := z.Moved(r.Best, in, side), z.Moved(than, in, side)
			if best == nil || other == nil {
				t.Impossible = true
				r.Trials = append(r.Trials, t)
				continue
			}
			mine, err := z.sample(ctx, best, r.Best, s)
			if err != nil {
				return err
			}
			its, err := z.sample(ctx, other, than, s)
			if err != nil {
				return err
			}
			if t.Lead = stats.PairedInterval(mine, its, experiment.Level); z.Way == experiment.Less {
				t.Lead = stats.PairedInterval(its, mine, experiment.Level)
			}
			t.Flips = t.Lead.Value < -z.margin
			r.Trials = append(r.Trials, t)
		}
	}
	return nil
}

// sample gives the measure that decides of a works, replication by replication.
func (z *weighing) sample(ctx context.Context, p *plant.Plant, option int, s experiment.Settings) ([]float64, error) {
	s.Replications, s.Progress = z.Terms.Trials, nil
	s.Weeks, s.WarmUp = z.grid.Weeks, z.grid.WarmUp.Weeks
	values, err := DecidingOf(ctx, p, z.By, s)
	if err != nil || z.By != "cost.per_good" {
		return values, err
	}
	perWeek := z.Options[option].Outlay.PerYear(z.Terms.Rate) / z.Terms.Weeks
	if perWeek == 0 {
		return values, nil
	}
	good, err := DecidingOf(ctx, p, "packed.total", s)
	for i := range good {
		values[i] += perWeek / good[i]
	}
	return values, err
}

// DecidingOf is the measure that decides of any works on replications 1, 2, ...
// of a seed: paired by their numbers with those of any other works.
func DecidingOf(ctx context.Context, p *plant.Plant, measure string, s experiment.Settings) ([]float64, error) {
	return experiment.Sample(ctx, p, measure, s)
}

// warnings gathers what must be known before anything is changed, the weightiest
// first.
func (z *weighing) warnings(r *Compared) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	best := &r.Options[r.Best]
	if r.Partial != "" {
		say("%s", r.Partial)
	}
	switch n := z.fewest(z.grid); {
	case r.Fixed:
		say("Randomness is off: no figure carries an interval, and nothing can be said of chance.")
	case n == 1:
		say("One replication: nothing can be said of chance.")
	case n < 10:
		say("Only %d replications of some options: the intervals are rough. 10 or more are better.", n)
	}
	if !r.Decided && r.Partial == "" && !r.Fixed {
		say("The choice is not settled: %s is ahead of those that keep the limits. Allow more replications, or let a larger difference be the smallest that matters.", best.Name)
	}
	if c := r.Certified; c != nil && z.Way.Gain(c.Difference.Value) < -z.margin {
		say("Runs that were not used to choose find %s worse than %s: choose again with more replications.", best.Name, r.Options[c.Than].Name)
	}
	if c := r.Certified; c != nil && r.Met {
		for i, e := range c.Limits {
			if e.Value < z.Service {
				say("In runs that were not used to choose, %s keeps the limit of %s with %.0f %% only: it was lucky when it was chosen.", best.Name, z.Limits[i].Measure, 100*e.Value)
			}
		}
	}
	for o := range r.Options {
		x := &r.Options[o]
		if x.Eligible && x.Growth != "" {
			say("%s keeps the limits in the weeks that were run, but not for ever. %s", x.Name, x.Growth)
		}
	}
	if len(best.Breaches) > 0 {
		say("%s breaks %d of the rules on working time that the question states; they are listed below. It cannot be worked as it is.", best.Name, len(best.Breaches))
	}
	if len(best.Shared) > 0 {
		say("No rule was held against the hours %s, which several people share: give rotas for them.", strings.Join(best.Shared, ", "))
	}
	if !z.Terms.Rules.Any() {
		say("No rules on working time were given, so none was looked at.")
	}
	if z.night[r.Best].paid > 0 && z.wages(r.Best) == 0 {
		say("No crew has a wage: the cost does not know of the hours.")
	}
	return all
}

// wages is what the paid hours cost a week.
func (z *weighing) wages(o int) float64 {
	sum := 0.0
	for _, l := range z.night[o].lines {
		sum += float64(l.paid * l.wage)
	}
	return sum
}
