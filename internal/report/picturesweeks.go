package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/experiment"
)

// weeksFrom numbers weeks, the first one as told.
func weeksFrom(first, n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = float64(first + i)
	}
	return xs
}

// bandWords says what a band holds.
func bandWords(runs int) string {
	if runs < 2 {
		return ""
	}
	text := fmt.Sprintf("The band holds the middle 90 %% of %d runs", runs)
	if runs < 20 {
		text += ", which is all of them"
	}
	return text + "."
}

// warmUpMark shows where the figures begin.
func (l *layout) warmUpMark() []Mark {
	if l.a.WarmUp.Weeks == 0 {
		return nil
	}
	return []Mark{{At: float64(l.a.WarmUp.Weeks), Name: "end of the warm-up, week"}}
}

// stockCharts show the pieces in each section week by week.
func (l *layout) stockCharts() []Chart {
	c := Chart{Kind: Lines, Split: true, X: Axis{Name: "week of the run"}, Y: Axis{Name: "pieces, mean of the week", FromZero: true}, Marks: l.warmUpMark(), Rests: l.rests()}
	most, total := experiment.Figure{}, 0.0
	for _, w := range l.a.Pictures.Weekly {
		section, ok := strings.CutPrefix(w.Name, "wip.")
		if !ok {
			continue
		}
		f, _ := l.a.Figure(w.Name)
		if section == "total" {
			total = f.Value
		} else if f.Value > most.Value {
			most = f
		}
		c.Means = means(f)
		c.Series = append(c.Series, Series{Name: spoken(section), Unit: w.Unit, X: weeksFrom(1, len(w.Mean)), Y: w.Mean, Low: w.Low, High: w.High})
		c.Note = strings.TrimSpace("The broken line is the end of the warm-up. Each section has a scale of its own. " + bandWords(w.Runs))
	}
	if len(c.Series) == 0 || !(total > 0) {
		return nil
	}
	c.Title = fmt.Sprintf("Most ware stands in %s: %s of %s pieces", spoken(strings.TrimPrefix(most.Name, "wip.")), fixed(most.Value, 0), fixed(total, 0))
	return []Chart{c}
}

// outputCharts show the good pieces adding up against the estimate by hand.
func (l *layout) outputCharts() []Chart {
	o := l.a.Pictures.Output
	n := len(o.Mid)
	if n == 0 {
		return nil
	}
	xs := weeksFrom(1, n)
	c := Chart{Kind: Lines, X: Axis{Name: "weeks since the warm-up"}, Y: Axis{Name: "good pieces so far", Unit: "pieces", FromZero: true},
		Series: []Series{{Name: "half of the runs have packed", X: xs, Y: o.Mid}}, Rests: l.rests(),
		Means: "A pieces packed since the end of the warm-up, all wares, added up run by run.", Note: bandWords(o.Runs)}
	if o.Runs > 1 {
		c.Series[0].Low, c.Series[0].High = o.Low, o.High
	}
	c.Title = fmt.Sprintf("After %s %s good pieces are packed", weeks(n), fixed(o.Mid[n-1], 0))
	if len(o.Plan) == n {
		c.Series = append(c.Series, Series{Name: "by hand", X: xs, Y: o.Plan, Broken: true})
		if gap := o.Mid[n-1] - o.Plan[n-1]; gap < 0 {
			c.Title += fmt.Sprintf(", %s fewer than reckoned by hand", fixed(-gap, 0))
		} else {
			c.Title += fmt.Sprintf(", %s more than reckoned by hand", fixed(gap, 0))
		}
	}
	return append([]Chart{c}, l.aheadChart(xs)...)
}

// aheadChart shows the same as the distance from the plan, which the eye cannot
// see between two long lines.
func (l *layout) aheadChart(xs []float64) []Chart {
	o := l.a.Pictures.Output
	n := len(o.Ahead)
	if n == 0 || n != len(xs) {
		return nil
	}
	c := Chart{Kind: Lines, X: Axis{Name: "weeks since the warm-up"}, Y: Axis{Name: "ahead of the estimate by hand", Unit: "pieces", FromZero: true},
		Series: []Series{{Name: "ahead", Unit: "pieces", X: xs, Y: o.Ahead}}, Marks: []Mark{{Level: true}}, Rests: l.rests(),
		Means: "Good pieces so far less those that the estimate by hand would have packed by then.", Note: bandWords(o.Runs)}
	c.Title = fmt.Sprintf("The output is %s pieces a week ahead of the estimate by hand", plain(math.Round(o.Ahead[n-1]/float64(n))))
	if o.Ahead[n-1] < 0 {
		c.Title = fmt.Sprintf("The output falls behind the estimate by hand by %s pieces a week", plain(math.Round(-o.Ahead[n-1]/float64(n))))
	}
	if o.Runs > 1 {
		c.Series[0].Low, c.Series[0].High = o.AheadLow, o.AheadHigh
	}
	return []Chart{c}
}

// weeks counts weeks in words.
func weeks(n int) string {
	if n == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", n)
}

// leadHistogram shows how long single pieces take.
func (l *layout) leadHistogram() []Chart {
	h := l.a.Pictures.Leads
	if len(h.Count) == 0 {
		return nil
	}
	s := Series{Name: "pieces", X: []float64{h.From}}
	total := int64(0)
	for i, n := range h.Count {
		s.X, s.Y = append(s.X, h.End(i)), append(s.Y, float64(n))
		total += n
	}
	c := Chart{Kind: Columns, X: Axis{Name: "lead time of a piece", Unit: "h"}, Y: Axis{Name: "pieces"}, Series: []Series{s}, Rests: l.rests(),
		Note: fmt.Sprintf("%s good pieces of all runs, in classes of %s h.", count(total), plain(h.Width))}
	for _, q := range []struct{ name, words string }{{"lead_time.p50", "P50"}, {"lead_time.p80", "P80"}, {"lead_time.p95", "P95"}} {
		if f, ok := l.a.Figure(q.name); ok && f.Value == f.Value {
			c.Marks = append(c.Marks, Mark{At: f.Value, Name: q.words})
			c.Title = fmt.Sprintf("19 of 20 pieces are packed within %s hours of the fill", fixed(f.Value, 0))
			c.Means = "P50, P80 and P95: half, 80 and 95 of 100 good pieces take no longer; the mean of the runs' quantiles."
		}
	}
	return []Chart{c}
}

// trustCharts show the start-up and how the precision came about.
func (l *layout) trustCharts() []Chart {
	var charts []Chart
	start := Chart{Kind: Lines, Split: true, X: Axis{Name: "week of the run"}, Y: Axis{Name: "mean over runs"}, Marks: l.warmUpMark(), Rests: l.rests(),
		Title: fmt.Sprintf("The figures begin after week %d, once the works has filled", l.a.WarmUp.Weeks),
		Note:  "Judged on what leaves the works and what stands in it (Welch's plot): right of the broken line neither may climb or fall for long.",
		Means: "Week averages over all runs. " + upper(l.a.WarmUp.Method) + "."}
	for _, w := range l.a.Pictures.Weekly {
		if w.Name == "packed.total" || w.Name == "wip.total" {
			start.Series = append(start.Series, Series{Name: w.Name, Unit: w.Unit, X: weeksFrom(1, len(w.Mean)), Y: w.Mean, Low: w.Low, High: w.High})
		}
	}
	if len(start.Series) > 0 {
		charts = append(charts, start)
	}
	path := Chart{Kind: Lines, X: Axis{Name: "runs"}, Y: Axis{Name: "half-width of the interval", Unit: "% of the value", FromZero: true}, Rests: l.rests(),
		Means: "Half the width of the 95 % interval of each headline measure, over its value, after so many runs; each measure by itself."}
	for _, p := range l.a.Pictures.Paths {
		s := Series{Name: p.Name, Unit: "%"}
		for i, n := range p.Runs {
			s.X, s.Y = append(s.X, float64(n)), append(s.Y, 100*p.Relative[i])
		}
		path.Series = append(path.Series, s)
	}
	if len(path.Series) == 0 || len(path.Series[0].X) < 2 {
		return charts
	}
	if w := l.a.Precision.Wanted; w > 0 {
		path.Marks = []Mark{{At: 100 * w, Name: "wanted, %", Level: true}}
	}
	path.Title = fmt.Sprintf("After %s the least well known measure is %s", replications(l.a), l.a.Precision.Driver)
	if at := l.a.Precision.At; !math.IsNaN(at) {
		path.Title += fmt.Sprintf(", to %s %% of its value", plain(100*at))
	}
	path.Note = "The study ends on all headline measures judged together, which asks for a little more than each line alone."
	return append(charts, path)
}
