package report

import (
	"fmt"
	"math"
	"slices"
)

func (v *weighed) behind() string {
	least, most := math.MaxInt, 0
	for _, o := range v.Options {
		least, most = min(least, o.Replications), max(most, o.Replications)
	}
	return runsText(least, most, len(v.Futures), v.Weeks, v.WarmUp, v.Seed)
}

func (v *weighed) names() []string {
	var all []string
	for _, o := range v.Options {
		all = append(all, o.Name)
	}
	return all
}

// differenceCharts show each option less today, measure by measure.
func (v *weighed) differenceCharts() []Chart {
	var charts []Chart
	for _, m := range v.Contrasts {
		charts = append(charts, contrastChart(m, v.name, v.behind()))
	}
	return charts
}

// weekCharts show where a single week may lie.
func (v *weighed) weekCharts() []Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "good pieces of a single week", Unit: "pieces"}, Y: Axis{Name: "Option"}, Rows: v.names(), Series: []Series{{Name: "half below", Unit: "pieces"}}, Rests: v.behind(),
		Means: "Single weeks of " + v.Futures[v.Main].Name + ": half lie below the point, nine of ten on the line.", Note: "This is the range of one week, not the doubt about the mean."}
	for _, x := range v.Options {
		s := &c.Series[0]
		s.Y, s.Low, s.High = append(s.Y, x.OneWeek[1]), append(s.Low, x.OneWeek[0]), append(s.High, x.OneWeek[2])
	}
	best := &v.Options[v.Best]
	c.Title = fmt.Sprintf("In nine weeks of ten %s packs %s to %s good pieces", best.Name, fixed(best.OneWeek[0], 0), fixed(best.OneWeek[2], 0))
	return []Chart{c}
}

// frontCharts show cost, service and nights at once.
func (v *weighed) frontCharts() []Chart {
	c := Chart{Kind: Lines, X: Axis{Name: "a good piece costs", Unit: v.Currency}, Y: Axis{Name: v.Serves, Unit: "pieces/wk"}, Rests: v.behind(),
		Means: "Cost of a good piece, capital and upkeep included, and " + v.Serves + ", both expected over the futures; hours at night stand beside the names.",
		Note:  "To the left and up is better. * no other option beats it in cost, service and nights at once.",
		Title: fmt.Sprintf("%s of %s options are beaten by no other in cost, service and nights", fixed(float64(len(v.Pareto)), 0), fixed(float64(len(v.Options)), 0))}
	timed := v.Serves != "good pieces a week"
	if timed {
		c.Y.Unit = "%"
	}
	for o, x := range v.Options {
		service := x.Good.Value
		if timed {
			service = 100 * x.OnTime.Value
		}
		s := Series{Name: fmt.Sprintf("%s, %s h", x.Name, fixed(x.Night, 0)), Unit: c.Y.Unit, X: []float64{x.Cost.Value}, Y: []float64{service}, Points: true}
		if slices.Contains(v.Pareto, o) {
			s.Name += " *"
		}
		c.Series = append(c.Series, s)
	}
	return []Chart{c}
}

// regretCharts show how far an option is behind the best, future by future.
func (v *weighed) regretCharts() []Chart {
	var futures []string
	for _, f := range v.Futures {
		futures = append(futures, f.Name)
	}
	least := greatestOf(len(v.Regret), func(i int) float64 { return -slices.Max(v.Regret[i]) })
	c := Chart{X: Axis{Name: "future"}, Y: Axis{Name: "Option"}, Rests: v.behind(), Means: "How far an option is behind the best in each future by " + v.By + ", limits aside.", Note: "The darker, the more is regretted if that future comes.",
		Title: fmt.Sprintf("%s has the smallest greatest regret", upper(v.name(least)))}
	return []Chart{matrix(c, v.names(), futures, v.Regret, v.Unit)}
}
