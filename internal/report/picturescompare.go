package report

import (
	"fmt"
	"math"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// rests names the runs behind a comparison.
func (v *versus) rests() string { return v.ran() + " The same luck in every option." }

// differenceCharts show, measure by measure, each option less the first, and the
// values themselves.
func (v *versus) differenceCharts() []Chart {
	if v.Standings == nil {
		return nil // nothing has an interval
	}
	var charts []Chart
	for _, m := range v.Measures {
		charts = append(charts, contrastChart(m, v.name, v.rests()))
	}
	values := Chart{Kind: Ranges, X: Axis{Name: v.deciding().Name, Unit: v.deciding().Unit}, Y: Axis{Name: "Option"}, Rests: v.rests(),
		Series: []Series{{Name: v.deciding().Name, Unit: v.deciding().Unit}}, Title: fmt.Sprintf("%s of every option by itself", upper(v.deciding().Name)),
		Means: "Each option by itself with its own interval. Overlapping intervals say nothing about the difference: luck is shared, so look at the differences above."}
	for i := range v.Options {
		values.Rows = append(values.Rows, v.name(i))
		values.Series[0].takeEstimate(v.deciding().Values[i])
	}
	return append(charts, values)
}

// contrastChart shows each option less the first in one measure. name is that of
// an option by its number.
func contrastChart(m experiment.Contrast, name func(int) string, rests string) Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "difference from " + name(0), Unit: m.Unit, FromZero: true}, Y: Axis{Name: "Option"},
		Series: []Series{{Name: "difference", Unit: m.Unit}}, Marks: []Mark{{}}, Rests: rests, Title: finding(m, name),
		Means: fmt.Sprintf("%s of the option less that of %s, replication by replication on the same luck; intervals hold together with %g %% confidence.", m.Name, name(0), 100*experiment.Level)}
	if m.Margin > 0 {
		c.Shades = []Shade{{-m.Margin, m.Margin, "too small to matter"}}
		c.Note = fmt.Sprintf("Within the grey a difference is too small to matter: %s %s. An interval that crosses 0 shows neither better nor worse.", rough(m.Margin), m.Unit)
	}
	for i := 1; i < len(m.Differences); i++ {
		c.Rows = append(c.Rows, name(i))
		c.Series[0].takeEstimate(m.Differences[i].Estimate)
	}
	return c
}

// finding says what the differences in one measure show.
func finding(m experiment.Contrast, name func(int) string) string {
	best, way := 0, ""
	for i := 1; i < len(m.Differences); i++ {
		if d := m.Differences[i]; !math.IsNaN(d.Value) && (best == 0 || math.Abs(d.Value) > math.Abs(m.Differences[best].Value)) {
			best = i
		}
	}
	if best == 0 {
		return fmt.Sprintf("Nothing to compare in %s", m.Name)
	}
	d := m.Differences[best]
	switch d.Verdict {
	case experiment.NoEvidence:
		return fmt.Sprintf("%s: nothing is shown to differ from %s", m.Name, name(0))
	case experiment.Alike:
		return fmt.Sprintf("%s: no difference that matters from %s", m.Name, name(0))
	case experiment.Better, experiment.Worse:
		way = ", " + string(d.Verdict)
	}
	return fmt.Sprintf("%s: %s differs most from %s, by %s %s%s", m.Name, name(best), name(0), signed(d.Estimate), m.Unit, way)
}

// takeEstimate adds a value with its interval.
func (s *Series) takeEstimate(e stats.Estimate) {
	s.Y, s.Low, s.High = append(s.Y, e.Value), append(s.Low, e.Low), append(s.High, e.High)
}

// standingCharts show how sure the choice is and what a wrong one would cost.
func (v *versus) standingCharts() []Chart {
	if v.Standings == nil || v.Choice.Best < 0 {
		return nil
	}
	best := Chart{Kind: Bars, X: Axis{Name: "best with probability", Unit: "%"}, Y: Axis{Name: "Option"}, Series: []Series{{Name: "probability", Unit: "%"}}, Rests: v.rests(),
		Title: fmt.Sprintf("%s is the best with a probability of %s", upper(v.name(v.Choice.Best)), probability(v.Standings[v.Choice.Best].Best.Value)),
		Means: "Share of resamplings of the replications in which the option is the best: what chance leaves open, not what is wrong in the files."}
	regret := Chart{Kind: Bars, X: Axis{Name: "regret", Unit: v.Choice.Unit}, Y: Axis{Name: "Option"}, Series: []Series{{Name: "regret", Unit: v.Choice.Unit}}, Rests: v.rests(),
		Title: fmt.Sprintf("Choosing %s forgoes %s %s on average", v.name(v.Choice.Best), rough(v.Standings[v.Choice.Best].Loss.Value), v.Choice.Unit),
		Means: "What choosing the option forgoes on average against the best, over the same resamplings."}
	for i, s := range v.Standings {
		best.Rows, regret.Rows = append(best.Rows, v.name(i)), append(regret.Rows, v.name(i))
		best.Series[0].Y, regret.Series[0].Y = append(best.Series[0].Y, 100*s.Best.Value), append(regret.Series[0].Y, s.Loss.Value)
	}
	return []Chart{best, regret}
}

// front is the first page of a comparison.
func (v *versus) front() *Front {
	first := v.Options[0].Answer
	f := &Front{Answer: v.title(), Doubt: v.sure(), Leaves: experiment.LeftOut(),
		Source: Source{first.Scenario.Path, first.Scenario.Hash, v.Seed, v.ran()}}
	for _, c := range first.Credibility() {
		f.Trust = append(f.Trust, Credit{c.Factor, c.Level, c.Why})
	}
	best := v.Choice.Best
	if best <= 0 {
		return f
	}
	for _, m := range v.Measures {
		if len(f.Figures) == 3 {
			break
		}
		d := m.Differences[best].Estimate
		value, half := columns(d)
		if d.Value > 0 {
			value = "+" + value
		}
		k := KeyFigure{Name: fmt.Sprintf("%s, %s less %s", m.Name, v.name(best), v.base()), Value: value, Unit: m.Unit}
		if half != "" {
			k.Note = fmt.Sprintf("± %s; %s", half, m.Differences[best].Verdict)
		}
		f.Figures = append(f.Figures, k)
	}
	return f
}

// charts show the inputs as bars about the value as stated.
func (v *tornado) charts() []Chart {
	if len(v.Bars) == 0 {
		return nil
	}
	c := Chart{Kind: Swings, X: Axis{Name: "difference from the value as stated", Unit: v.Unit}, Y: Axis{Name: "Input"}, Title: v.title(),
		Series: []Series{{Name: "at the low end", Unit: v.Unit, Tone: Wait}, {Name: "at the high end", Unit: v.Unit, Tone: Work}},
		Means:  fmt.Sprintf("%s with the input at an end of its range, less %s as stated (%s %s), on the same luck; each with its own %g %% interval.", v.Name, v.Name, estimate(v.AsStated), v.Unit, 100*experiment.Level),
		Note:   "Bars on either side of 0: the input works the way it looks. Both on one side: the value as stated is near the best or the worst.",
		Rests:  fmt.Sprintf("%d replications of every works, on shared luck.", v.Replications)}
	for _, b := range v.Bars {
		c.Rows = append(c.Rows, fmt.Sprintf("%s: %s to %s", b.Path, b.Low, b.High))
		for s, swing := range []decision.Swing{b.AtLow, b.AtHigh} {
			e := swing.Estimate
			if swing.Impossible != "" {
				e.Value, e.Low, e.High = math.NaN(), math.NaN(), math.NaN()
			}
			c.Series[s].takeEstimate(e)
		}
	}
	return []Chart{c}
}
