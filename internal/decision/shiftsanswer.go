package decision

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// conclude puts together what the runs that chose say.
func (z *weighing) conclude() *Compared {
	g := z.grid
	r := &Compared{
		CompareQuestion: z.CompareQuestion, Main: z.main(), Unit: measureNamed(z.Plant(0, 0), z.By).Unit,
		Seed: g.Seed, Weeks: g.Weeks, WarmUp: g.WarmUp.Weeks, Fixed: g.Fixed, Partial: g.Partial, Audit: g.Laws(),
	}
	r.Best, r.Met, r.Rival = z.choose()
	r.Margin = z.margin
	r.Decided = g.Decided && (z.chosen >= 0 || len(z.candidates) < 2)
	for _, l := range z.Limits {
		r.Units = append(r.Units, z.unitOf(l.Measure))
	}
	for o := range z.Options {
		r.Options = append(r.Options, z.option(o))
	}
	for _, name := range z.compared() {
		r.Contrasts = append(r.Contrasts, z.contrast(name))
	}
	for o := range r.Options {
		r.Options[o].Why = z.why(o)
	}
	r.Standings, r.Regret = z.standings(), z.regrets()
	r.Pareto, r.Serves = z.pareto(r)
	z.onPaper(r)
	return r
}

// unitOf is the unit of a measure, or of the hours that are counted here.
func (z *weighing) unitOf(name string) string {
	if m := measureNamed(z.Plant(0, 0), name); m != nil {
		return m.Unit
	}
	return "h/wk"
}

// option describes one option.
func (z *weighing) option(o int) ComparedOption {
	g, main := z.grid, z.main()
	cell, p := g.Cell(o, main), z.Plant(o, main)
	mean := func(name string) stats.Estimate {
		if !cell.Has(name) {
			return none()
		}
		return stats.MeanInterval(z.expected(g, o, name, false), experiment.Level)
	}
	c := ComparedOption{
		CompareOption: z.Options[o], Replications: g.Replications(o), Growth: cell.Growth(),
		Good: mean("packed.total"), Cost: mean("cost.per_good"), LeadP95: mean("lead_time.p95"),
		Late: mean("window.late"), TooDry: mean("window.too_dry"),
		Paid: z.night[o].paid, Night: z.night[o].atNight, Premiums: z.night[o].premium,
		People: CrewsToCover(z.night[o].paid, z.Terms.Contract, z.Terms.Absence),
		Crews:  z.crews(o, cell), Starved: z.starved(o, cell),
		Stands: experiment.Standings(p), Windows: windowNeeds(p), Paper: paperOf(p),
	}
	c.Limits, c.Eligible = z.keeps(g, o)
	c.Breaches, c.Shared = z.breaches[o], z.shared[o]
	c.Eligible = c.Eligible && len(c.Breaches) == 0
	weeks := slices.Concat(cell.Weeks("packed.total")...)
	c.WeeksOf = len(weeks)
	for i, share := range []float64{0.05, 0.50, 0.95} {
		e, _ := stats.QuantileInterval(weeks, share, experiment.Level)
		c.OneWeek[i] = e.Value
	}
	c.Orders, c.OnTime = z.onTime(cell)
	return c
}

// onTime is the probability that the orders with a date are in time: that of the
// least likely, since they share their luck.
func (z *weighing) onTime(cell *experiment.Cell) ([]experiment.Order, stats.Estimate) {
	orders, least := cell.Answer().Orders, none()
	for _, o := range orders {
		if !math.IsNaN(o.InTime.Value) && !(o.InTime.Value >= least.Value) {
			least = o.InTime
		}
	}
	return orders, least
}

// pareto lists the options that no other beats in cost, service and nights at
// once. Less than what matters is no difference; an option that is as good in
// all three stays beside the other.
func (z *weighing) pareto(r *Compared) (front []int, serves string) {
	serves = "good pieces a week"
	// An order that no option finishes within the runs tells nothing.
	if slices.ContainsFunc(r.Options, func(x ComparedOption) bool { return x.OnTime.Value > 0 }) {
		serves = "orders in time"
	}
	service := func(o int) float64 {
		if serves == "orders in time" {
			return r.Options[o].OnTime.Value
		}
		return r.Options[o].Good.Value
	}
	cost := 0.0 // what matters of it
	if z.By == "cost.per_good" {
		cost = z.margin
	} else {
		cost = experiment.Margin{}.Of(r.Options[0].Cost.Value)
	}
	good := experiment.Margin{}.Of(service(0))
	for a := range r.Options {
		beaten := false
		for b := range r.Options {
			x, y := &r.Options[a], &r.Options[b]
			gains := []float64{x.Cost.Value - y.Cost.Value - cost, service(b) - service(a) - good, x.Night - y.Night - 0.5}
			worse := y.Cost.Value > x.Cost.Value+cost || service(b) < service(a)-good || y.Night > x.Night+0.5
			beaten = beaten || a != b && !worse && slices.ContainsFunc(gains, func(v float64) bool { return v > 0 })
		}
		if !beaten {
			front = append(front, a)
		}
	}
	return front, serves
}

// A Paper is what a spreadsheet makes of an option: the estimate by hand, which
// takes every department to work whenever it is open and no piece to wait.
type Paper struct {
	Good, Cost float64 // pieces a week; currency a good piece. NaN where it cannot tell
	Load       float64 // of the finishers, as a share; NaN without any
}

// reasonFrom is the share of a fall in good pieces that one loss must make up to
// be named as its reason.
const reasonFrom = 0.5

// why says, against today, what makes the good pieces of an option differ.
func (z *weighing) why(o int) string {
	if o == 0 {
		return ""
	}
	fall := -z.difference(z.grid, o, 0, "packed.total", experiment.Level).Value
	if !(fall > experiment.Margin{}.Of(average(z.expected(z.grid, 0, "packed.total", false)))) {
		return ""
	}
	if dry := z.more(o, "window.too_dry"); dry > reasonFrom*fall {
		return fmt.Sprintf("the punching window: %.0f more pieces a week grow too dry to be punched%s", dry, z.lateToo(o))
	}
	worst, most := "", 0.0
	for _, m := range z.Plant(0, 0).Measures() {
		if strings.HasPrefix(m.Name, "lost.") && m.Name != "lost.finishing.too dry to punch" {
			if v := z.more(o, m.Name); v > most {
				worst, most = m.Name, v
			}
		}
	}
	if cast := -z.more(o, "cast.total"); cast > reasonFrom*fall {
		return fmt.Sprintf("fewer casts: %.0f a week", cast)
	}
	if most > reasonFrom*fall {
		return fmt.Sprintf("more is lost (%s): %.0f pieces a week", strings.TrimPrefix(worst, "lost."), most)
	}
	if dry := z.more(o, "window.too_dry"); dry+most > reasonFrom*fall {
		return fmt.Sprintf("the punching window (%.0f more too dry a week) and %s (%.0f)", dry, strings.TrimPrefix(worst, "lost."), most)
	}
	return "several things together"
}

// lateToo adds the pieces that are punched, but too late.
func (z *weighing) lateToo(o int) string {
	worst, most := "", 1.0 // points
	for i := range z.Plant(0, 0).Works().Ware {
		ware := z.Plant(0, 0).Works().Ware[i].Name
		if v := z.more(o, "window.late."+ware); v > most {
			worst, most = ware, v
		}
	}
	if worst == "" {
		return ""
	}
	return fmt.Sprintf(", and of %s that is punched %.0f points more is too late", worst, most)
}

// more is how much more of a measure an option has than today; 0 where either
// lacks it.
func (z *weighing) more(o int, name string) float64 {
	for f := range z.Futures {
		if !z.grid.Cell(o, f).Has(name) || !z.grid.Cell(0, f).Has(name) {
			return 0
		}
	}
	d := z.difference(z.grid, o, 0, name, experiment.Level).Value
	if math.IsNaN(d) {
		return 0
	}
	return d
}
