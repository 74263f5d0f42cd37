package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potbank/internal/experiment"
)

// lossCharts show where pieces are lost: as a stream, and by stage and cause.
func (l *layout) lossCharts() []Chart {
	var charts []Chart
	if flow := l.a.Pictures.Flow; len(flow) > 0 {
		c := Chart{Kind: Flow, X: Axis{Unit: "pieces/wk"}, Rests: l.rests(),
			Means: "Into a stage comes what the stages before let through: casts less losses, means of a week. What goes in and does not come out stands in the works at the end of the run.",
			Note:  "Widths are pieces a week. Unfired losses go back to the slip; what was fired is lost for good."}
		for _, s := range flow {
			c.Stages = append(c.Stages, Stage{Name: spoken(s.Name), In: s.In, Lost: s.Lost, Again: s.Again, Out: s.Out, OutName: s.What})
		}
		last := flow[len(flow)-1]
		c.Title = fmt.Sprintf("Of 100 pieces cast %s are packed as good", fixed(100*last.Out/flow[0].In, 0))
		charts = append(charts, c)
	}
	lost := slices.DeleteFunc(measured(l.a.Group("lost.")), func(f experiment.Figure) bool { return f.Value == 0 })
	if len(lost) == 0 {
		return charts
	}
	slices.SortStableFunc(lost, func(a, b experiment.Figure) int { return cmp.Compare(b.Value, a.Value) })
	c := Chart{Kind: Bars, X: Axis{Name: "lost", Unit: "pieces/wk"}, Y: Axis{Name: "Stage and cause"}, Series: []Series{{Name: "lost", Unit: "pieces/wk"}}, Means: means(lost[0]), Rests: l.rests()}
	for _, f := range lost {
		c.Rows = append(c.Rows, spoken(strings.TrimPrefix(f.Name, "lost.")))
		c.Series[0].take(f)
	}
	c.Title = fmt.Sprintf("The largest loss is %s, %s pieces a week", c.Rows[0], plain(lost[0].Value))
	return append(charts, c)
}

// curveCharts show the works among the laws of output against stock.
func (l *layout) curveCharts() []Chart {
	k := l.a.Pictures.Curve
	if k == nil {
		return nil
	}
	c := Chart{Kind: Lines, X: Axis{Name: "pieces in the works", Unit: "pieces"}, Y: Axis{Name: "output", Unit: "pieces/wk", FromZero: true}, Rests: l.rests(),
		Series: []Series{
			{Name: "best case", Unit: "pieces/wk", X: k.Of, Y: k.Best, Broken: true},
			{Name: "practical worst case", Unit: "pieces/wk", X: k.Of, Y: k.PracticalWorst, Broken: true},
			{Name: "worst case", Unit: "pieces/wk", X: k.Of, Y: k.Worst, Broken: true},
			{Name: "this works", Unit: "pieces/wk", X: []float64{k.Stock}, Y: []float64{k.Output}, Points: true},
		},
		Marks: []Mark{{At: k.Critical, Name: "critical stock"}},
		Means: fmt.Sprintf("With w pieces in the works, the limit's rate r = %s pieces a week (by hand), a piece's time without any wait T = %s h (simulated) and the critical stock W = r T = %s pieces: best is the least of w/T and r; practical worst w/(W + w - 1) r; worst 1/T (Hopp and Spearman, Factory Physics, chapter 7).", Digits(k.Rate), Digits(k.Raw), Digits(k.Critical)),
		Note:  "Between best and practical worst a works does better than one in which chance rules all; below it, ware waits on ware for reasons that can be found. Pieces that will be lost stand in the works too."}
	at := k.Stock / (k.Critical + k.Stock - 1) * k.Rate
	times := k.Stock / k.Critical
	c.Title = fmt.Sprintf("%s times the ware that the output needs stands in the works, ", fixed(times, 1))
	if k.Output >= at {
		c.Title += "and it does better than the practical worst case"
	} else {
		c.Title += "and it does worse than the practical worst case"
	}
	return []Chart{c}
}

// energyCharts show what is burnt for being hot and what for ware.
func (l *layout) energyCharts() []Chart {
	uses := l.a.Pictures.Energy
	if len(uses) == 0 {
		return nil
	}
	c := Chart{Kind: Bars, X: Axis{Name: "fuel for a good piece", Unit: "MJ"}, Y: Axis{Name: "Place"}, Rests: l.rests(),
		Series: []Series{{Name: "whatever the load", Unit: "MJ", Tone: Wait}, {Name: "for its loads", Unit: "MJ", Tone: Work}},
		Means:  "Whatever the load: fuel per hour of the scenario (energy-base of kilns, of dryers that are kept hot) over all hours, for one A piece packed. For its loads: the rest of the metered fuel."}
	base, load := 0.0, 0.0
	for _, u := range uses {
		c.Rows = append(c.Rows, u.Place)
		c.Series[0].Y, c.Series[1].Y = append(c.Series[0].Y, u.Base), append(c.Series[1].Y, u.Load)
		base, load = base+u.Base, load+u.Load
	}
	c.Title = fmt.Sprintf("%s of %s MJ for a good piece are burnt whatever the load", fixed(base, 0), fixed(base+load, 0))
	charts := []Chart{c}
	if e := l.a.Pictures.EnergyAt; e != nil && base > 0 {
		f, _ := l.a.Figure("energy.per_good")
		out, _ := l.a.Figure("packed.total")
		charts = append(charts, Chart{Kind: Lines, X: Axis{Name: "good pieces a week", Unit: "pieces"}, Y: Axis{Name: "fuel for a good piece", Unit: "MJ"}, Rests: l.rests(),
			Series: []Series{{Name: "if the works packed more or less", Unit: "MJ", X: e.Output, Y: e.PerGood, Broken: true}, {Name: "as it is", Unit: "MJ", X: []float64{out.Value}, Y: []float64{f.Value}, Points: true}},
			Title:  fmt.Sprintf("Half the output would take %s MJ for a good piece instead of %s", fixed(e.PerGood[0], 0), fixed(f.Value, 0)),
			Means:  "Base fuel over the output, and fuel for loads as it is for a piece. It is a sum, not a run: whether the works can pack so much is not asked."})
	}
	return charts
}
