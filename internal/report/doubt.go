package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/experiment"
)

// doubt sets luck beside what nobody knows of the inputs, for the headline
// measures and the orders: more runs make neither smaller, but the second can
// be measured away.
func (l *layout) doubt() Part {
	d := l.a.Doubt
	if d == nil {
		return Part{}
	}
	t := &Table{Columns: []Column{
		{Head: "One run", Text: true, Wide: 34}, {Head: "Luck"}, {Head: "Not known"},
		{Head: "Both, range"}, {Head: "Unit", Text: true}, {Head: "Not known, % of spread"},
	}}
	for _, m := range d.Measures {
		t.add(spreadRow(m)...)
	}
	for _, o := range d.Orders {
		if !math.IsNaN(o.Luck) {
			row := spreadRow(o.Spread)
			row[0] += ", from the start"
			t.add(row...)
		}
	}
	return Part{
		Heading: "How sure: luck and what we do not know",
		Text: []string{fmt.Sprintf("%s of this scenario rest on counts or records. %d works were drawn that these would allow as well, and each was run %d times for %d weeks. "+
			"Luck is what differs between runs of one works; not known is what differs between works. Ranges hold %g %% of runs.",
			counted(len(d.Evidence), "value"), d.Draws, d.Runs, l.a.Weeks, 100*experiment.Level)},
		Table: t,
		After: append(endings(d), verdicts(d)...),
	}
}

// counted counts things in words.
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return count(int64(n)) + " " + thing + "s"
}

// spreadRow prints one measure, the smaller of its widths to two digits: they
// are there to be compared.
func spreadRow(s experiment.Spread) []string {
	least := s.Range.HalfWidth()
	for _, h := range []float64{s.Luck, s.Inputs} {
		if h > 0 {
			least = min(least, h)
		}
	}
	decimals := min(decimalsFor(least/10), mostDigits(s.Range.Value))
	share := missing
	if s.Share.HasInterval() {
		share = fmt.Sprintf("%.0f (%.0f to %.0f)", 100*s.Share.Value, 100*s.Share.Low, 100*s.Share.High)
	}
	return []string{s.Name, "± " + fixed(s.Luck, decimals), "± " + fixed(s.Inputs, decimals),
		fixed(s.Range.Low, decimals) + " to " + fixed(s.Range.High, decimals), s.Unit, share}
}

// endings gives the range of dates of each order.
func endings(d *experiment.Doubt) []string {
	var s []string
	for _, o := range d.Orders {
		text := o.Note
		if o.HasInterval {
			text = fmt.Sprintf("ends between %s and %s with a probability of %g %%, luck and inputs together.", day(o.Low), day(o.High), 100*experiment.Level)
		}
		s = append(s, o.Name+": "+text)
	}
	return s
}

// mostly is the share of the spread from which one side is said to make it.
const mostly = 0.75

// verdicts says of which side most of the width is, where that is sure.
func verdicts(d *experiment.Doubt) []string {
	var unknown, luck []string
	all := append([]experiment.Spread{}, d.Measures...)
	for _, o := range d.Orders {
		all = append(all, o.Spread)
	}
	for _, m := range all {
		switch {
		case m.Share.Value >= mostly && m.Share.Low >= 0.5:
			unknown = append(unknown, m.Name)
		case 1-m.Share.Value >= mostly && m.Share.High <= 0.5:
			luck = append(luck, m.Name)
		}
	}
	var s []string
	if unknown != nil {
		s = append(s, fmt.Sprintf("Mostly not known: %s. More replications change nothing; counting more does.", strings.Join(unknown, ", ")))
	}
	if luck != nil {
		s = append(s, fmt.Sprintf("Mostly luck: %s. Counting more changes little.", strings.Join(luck, ", ")))
	}
	return s
}

// next names the inputs on which most of what is not known hangs.
func (l *layout) next() Part {
	if l.a.Doubt == nil {
		return Part{}
	}
	t := &Table{Columns: []Column{
		{Head: "Measure", Text: true}, {Head: "Hangs on", Text: true, Wide: 48}, {Head: "known from", Text: true, Wide: 24}, {Head: "for, % of what is not known"},
	}}
	for _, c := range l.a.Doubt.Next {
		t.add(c.Measure, c.Path, c.Rests, fixed(100*c.Share, 0))
	}
	p := Part{Heading: "What to measure next", Table: t}
	if open := l.spreadOut(); open != nil {
		p.After = []string{fmt.Sprintf("No one input stands out among %d works for %s. --doubt %d would look closer.", l.a.Doubt.Draws, strings.Join(open, ", "), 4*l.a.Doubt.Draws)}
	}
	return p
}

// spreadOut names the measures of which much is not known, and no input is
// named for it.
func (l *layout) spreadOut() []string {
	var open []string
	for _, m := range l.a.Doubt.Measures {
		named := slices.ContainsFunc(l.a.Doubt.Next, func(c experiment.Contribution) bool { return c.Measure == m.Name })
		if m.Share.Value >= mostly && !named {
			open = append(open, m.Name)
		}
	}
	return open
}

// bothSources is the sentence under the result that the doubt adds.
func (l *layout) bothSources() []string {
	if l.a.Doubt == nil {
		return nil
	}
	for _, m := range l.a.Doubt.Measures {
		if m.Name == "packed.total" {
			return []string{fmt.Sprintf("These figures take the inputs as the file states them. Allowing for what their counts and records leave open, a run packs between %s and %s good pieces a week with %g %% probability.",
				fixed(m.Range.Low, 0), fixed(m.Range.High, 0), 100*experiment.Level)}
		}
	}
	return nil
}
