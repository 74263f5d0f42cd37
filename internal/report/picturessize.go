package report

import (
	"fmt"
	"math"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// runsText names the runs behind an answer about options.
func runsText(least, most, futures, weeks, warmUp int, seed uint64) string {
	runs := plural(most, "replication")
	if least < most {
		runs = fmt.Sprintf("%d to %d replications", least, most)
	}
	return fmt.Sprintf("%s of every option in %s, of %d weeks each, the first %d left out; the same luck in all options; seed %d.", upper(runs), plural(futures, "future"), weeks, warmUp, seed)
}

func (v *sized) behind() string {
	least, most := math.MaxInt, 0
	for _, o := range v.Options {
		least, most = min(least, o.Replications), max(most, o.Replications)
	}
	return runsText(least, most, len(v.Futures), v.Weeks, v.WarmUp, v.Seed)
}

// names of the options, from one on.
func (v *sized) names(from int) []string {
	var all []string
	for _, o := range v.Options[from:] {
		all = append(all, o.Name)
	}
	return all
}

// inThousands is an amount in thousands.
func inThousands(e stats.Estimate) stats.Estimate {
	e.Value, e.Low, e.High = e.Value/1000, e.Low/1000, e.High/1000
	return e
}

// optionCharts show what options cost, against today, and whether they are enough.
func (v *sized) optionCharts() []Chart {
	unit := "1,000 " + v.Currency + "/yr"
	cost := Chart{Kind: Ranges, X: Axis{Name: "cost of the demand", Unit: unit}, Y: Axis{Name: "Option"}, Series: []Series{{Name: "cost", Unit: unit}}, Rows: v.names(0), Rests: v.behind(),
		Means: "Pieces wanted at what a good piece costs directly, pieces short at what they would bring, and capital, residual and upkeep spread over each year; expected over the futures. Each option by itself: luck is shared, so look at the differences.",
		Title: fmt.Sprintf("%s costs least: %s thousand %s a year", upper(v.name(v.cheapest())), thousands(v.Options[v.cheapest()].Yearly), v.Currency)}
	less := Chart{Kind: Ranges, X: Axis{Name: "cost of the demand less that of " + v.name(0), Unit: unit, FromZero: true}, Y: Axis{Name: "Option"}, Series: []Series{{Name: "difference", Unit: unit}}, Rows: v.names(1), Rests: v.behind(),
		Marks: []Mark{{}}, Shades: []Shade{{-v.Terms.Matters / 1000, v.Terms.Matters / 1000, "too small to matter"}},
		Means: fmt.Sprintf("Cost of the demand with the option less that of today, replication by replication on the same luck, with its own %g %% interval.", 100*experiment.Level),
		Note:  "Left of 0 the option saves. Within the grey a difference is too small to matter."}
	for i, o := range v.Options {
		cost.Series[0].takeEstimate(inThousands(o.Yearly))
		if i > 0 {
			less.Series[0].takeEstimate(inThousands(o.Difference))
		}
	}
	less.Title = "Nothing here saves against today"
	if best := greatestOf(len(v.Options)-1, func(i int) float64 { return -v.Options[i+1].Difference.Value }) + 1; best > 0 && v.Options[best].Difference.High < 0 {
		less.Title = fmt.Sprintf("Against today %s saves most: %s thousand %s a year", v.name(best), thousands(negative(v.Options[best].Difference)), v.Currency)
	}
	return []Chart{less, cost, v.meetsChart()}
}

// cheapest is the option whose demand costs least, enough or not.
func (v *sized) cheapest() int {
	return greatestOf(len(v.Options), func(i int) float64 { return -v.Options[i].Yearly.Value })
}

// meetsChart shows how surely demand is met.
func (v *sized) meetsChart() Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "periods in which demand is met", Unit: "%", FromZero: true}, Y: Axis{Name: "Option"}, Series: []Series{{Name: "met", Unit: "%"}}, Rows: v.names(0), Rests: v.behind(),
		Marks: []Mark{{At: 100 * v.Terms.Service, Name: "asked for, %"}},
		Means: "Share of whole periods in which all that was wanted is packed; the interval counts every replication as one trial.", Note: "The broken line is what was asked for."}
	enough := 0
	for _, o := range v.Options {
		c.Series[0].takeEstimate(timesHundred(o.Meets))
		if o.Meets.Value >= v.Terms.Service {
			enough++
		}
	}
	c.Title = fmt.Sprintf("%d of %d options meet the demand in %s of periods", enough, len(v.Options), share(v.Terms.Service))
	return c
}

// curveCharts show what money for kilns buys.
func (v *sized) curveCharts() []Chart {
	if len(v.Curve) < 2 {
		return nil
	}
	makes := Series{Name: "the works makes", Unit: "pieces/wk"}
	could := Series{Name: "the kilns could make", Unit: "pieces/wk", Broken: true}
	off := Series{Name: "less for more", Unit: "pieces/wk", Points: true}
	c := Chart{Kind: Lines, X: Axis{Name: "outlay", Unit: "1,000 " + v.Currency + "/yr"}, Y: Axis{Name: "good pieces", Unit: "pieces/wk"}, Rests: v.behind(),
		Means: "Capital, residual and upkeep of each option, a year, and the good pieces a week in " + v.Futures[v.Main].Name + ": simulated, and by hand what its kilns alone could make of this mix.",
		Note:  "Where the lines part, something else than the kiln binds.", Title: "The curve has no knee: no step of money stands out"}
	for i, p := range v.Curve {
		x := p.Outlay / 1000
		could.X, could.Y = append(could.X, x), append(could.Y, p.Could)
		if p.On {
			makes.X, makes.Y = append(makes.X, x), append(makes.Y, p.Makes)
		} else {
			off.X, off.Y = append(off.X, x), append(off.Y, p.Makes)
		}
		if i == v.Knee {
			c.Marks = append(c.Marks, Mark{At: x, Name: "knee, " + v.name(p.Option)})
			c.Title = fmt.Sprintf("Beyond %s more money for kilns gives clearly fewer pieces", v.name(p.Option))
		}
	}
	if c.Series = []Series{makes, could}; off.X != nil {
		c.Series = append(c.Series, off)
	}
	return []Chart{c}
}

// regretCharts show what an option costs more than the best, future by future.
func (v *sized) regretCharts() []Chart {
	var futures []string
	for _, f := range v.Futures {
		futures = append(futures, f.Name)
	}
	c := Chart{X: Axis{Name: "future"}, Y: Axis{Name: "Option"}, Rests: v.behind(),
		Means: "Cost of the demand a year more than that of the cheapest option that meets it in that future, in thousands.", Note: "The darker, the more is regretted if that future comes.",
		Title: fmt.Sprintf("%s has the smallest greatest regret", upper(v.name(v.Minimax)))}
	return []Chart{matrix(c, v.names(0), futures, scaled(v.Regret, 1000), "1,000 "+v.Currency+"/yr")}
}

// flipCharts show how far what is known would have to be off.
func (v *sized) flipCharts() []Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "of what it is now, at which the answer flips", Unit: "%"}, Y: Axis{Name: "If this differs"}, Series: []Series{{Name: "flips at", Unit: "%"}}, Marks: []Mark{{At: 100}}, Rests: v.behind(),
		Means: "The value of one input at which another option wins, all else as it is, in per cent of what it is now, with its interval.", Note: "100 is what it is now. The nearer a point is to it, the better that input has to be known."}
	nearest := -1
	for i, f := range v.Flips {
		over := f.OverNow()
		if math.IsNaN(over.Value) {
			continue
		}
		c.Rows = append(c.Rows, f.Input+either(f.Above, ", above", ", below"))
		c.Series[0].takeEstimate(timesHundred(over))
		if nearest < 0 || math.Abs(over.Value-1) < math.Abs(v.Flips[nearest].OverNow().Value-1) {
			nearest = i
		}
	}
	if nearest < 0 {
		return nil
	}
	f := v.Flips[nearest]
	c.Title = fmt.Sprintf("Nearest to turning the answer is %s: at %s %% of what it is", f.Input, fixed(100*f.OverNow().Value, 1))
	return []Chart{c}
}
