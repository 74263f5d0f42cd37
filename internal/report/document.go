package report

import (
	"fmt"
	"strings"

	"potbank/internal/experiment"
)

// layout lays an answer out part by part and remembers which measures it has
// shown, so that none is lost.
type layout struct {
	a     *experiment.Answer
	shown map[string]bool
}

// AnswerDocument lays out the answer to "how does this works run?" in the
// order in which it is read: the result, the warnings, the figures from the
// packed piece back to the money, what limits the works, and how far all this
// can be trusted.
func AnswerDocument(a *experiment.Answer) Document {
	l := &layout{a: a, shown: map[string]bool{}}
	d := Document{Title: a.Scenario.Name, Lead: append(l.headline(), l.bothSources()...), Front: l.front()}
	for _, part := range []func() Part{
		l.warnings, l.production, l.orders, l.doubt, l.next, l.stock, l.leadTime,
	} {
		d.add(part())
	}
	d.add(l.resources()...)
	for _, part := range []func() Part{
		l.losses, l.again, l.stairs, l.windows, l.pours, l.kilns, l.weekPart, l.kilnStores, l.energy, l.cost, l.others,
		l.binding, l.byHand, l.departments,
		l.trust, l.unmeasured, l.audit, caution,
	} {
		d.add(part())
	}
	return d
}

// add appends the parts that have something to say.
func (d *Document) add(parts ...Part) {
	for _, p := range parts {
		if !p.onlyDrawn() || len(p.Charts) > 0 {
			d.Parts = append(d.Parts, p)
		}
	}
}

// figure returns a measure and marks it shown.
func (l *layout) figure(name string) (experiment.Figure, bool) {
	f, ok := l.a.Figure(name)
	if ok {
		l.shown[name] = true
	}
	return f, ok
}

// group returns the measures under a prefix and marks them shown.
func (l *layout) group(prefix string) []experiment.Figure {
	figures := l.a.Group(prefix)
	for _, f := range figures {
		l.shown[f.Name] = true
	}
	return figures
}

// cell prints a measure for a table that has one column for it.
func (l *layout) cell(name string) string {
	f, ok := l.figure(name)
	if !ok {
		return ""
	}
	return estimate(f.Estimate)
}

// headline says the result in one paragraph, and then what was run.
func (l *layout) headline() []string {
	var s []string
	// A works may lack any of these: one that packs nothing has no lead time.
	say := func(name, format string) {
		if f, ok := l.a.Figure(name); ok && f.Value == f.Value {
			s = append(s, fmt.Sprintf(format, estimate(f.Estimate)))
		}
	}
	say("packed.total", "The works packs %s good pieces a week.")
	say("wip.total", "%s pieces stand in it.")
	say("lead_time.mean", "A single piece takes %s h from filling to packing on average,")
	say("lead_time.p95", "and 95 of 100 take %s h or less.")
	say("energy.per_good", "A good piece takes %s MJ of fuel")
	if f, ok := l.a.Figure("cost.per_good"); ok && f.Value != 0 && f.Value == f.Value {
		s = append(s, fmt.Sprintf("and costs %s %s.", estimate(f.Estimate), money(f.Unit)))
	} else if len(s) > 0 && strings.HasSuffix(s[len(s)-1], "of fuel") {
		s[len(s)-1] += "."
	}
	return append([]string{strings.Join(s, " ")}, l.reading()...)
}

// money is the currency of a unit such as EUR/piece.
func money(unit string) string {
	currency, _, _ := strings.Cut(unit, "/")
	return currency
}

// reading says what was run and how to read a figure. The range of a single
// week stands beside the interval of the mean, because to take one for the
// other is the commonest way to promise too much.
func (l *layout) reading() []string {
	a := l.a
	run := fmt.Sprintf("%s of %d weeks, the first %d left out as warm-up; seed %d.", replications(a), a.Weeks, a.WarmUp.Weeks, a.Seed)
	if a.Scenario.Path != "" {
		run = fmt.Sprintf("%s (%s): %s", a.Scenario.Path, shortHash(a.Scenario.Hash), run)
	}
	if l := a.LongRun; l != nil {
		run = strings.Replace(run, "as warm-up;", fmt.Sprintf("as warm-up, the rest cut into %d stretches of %s;", l.Stretches, plural(l.Weeks, "week")), 1)
	}
	if a.Replications < 2 && (a.LongRun == nil || a.LongRun.Stretches < 2) {
		return []string{run}
	}
	read := fmt.Sprintf("Read 100 ± 5 as: the mean of many such weeks lies between 95 and 105 with %g %% confidence. It is not the range of one week.", 100*experiment.Level)
	if w := a.OneWeek; w.HasInterval() {
		read += fmt.Sprintf(" A single week packs between %s and %s good pieces with %g %% probability.", fixed(w.Low, 0), fixed(w.High, 0), 100*w.Level)
		if len(w.Warnings) > 0 {
			read += fmt.Sprintf(" That range takes weeks to follow a bell curve: only %d were seen.", w.N)
		}
	}
	return []string{run, read}
}

// replications counts the replications in words.
func replications(a *experiment.Answer) string {
	text := fmt.Sprintf("%d replications", a.Replications)
	switch {
	case a.LongRun != nil:
		text = "1 long run"
	case a.Replications == 1:
		text = "1 replication"
	}
	if a.Fixed {
		text += " with randomness off"
	}
	if a.Partial != "" {
		text += " (partial)"
	}
	return text
}

// warnings come before any table: they decide whether it may be used.
func (l *layout) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range l.a.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

// others shows the measures that no other part has shown: a measure added to
// the plant appears here until somebody finds it a better place.
func (l *layout) others() Part {
	t := &Table{Columns: []Column{{Head: "Measure", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}
	for _, f := range l.a.Measures {
		if !l.shown[f.Name] && f.Value == f.Value {
			t.add(f.Name, estimate(f.Estimate), f.Unit)
		}
	}
	return Part{Heading: "Other measures", Table: t}
}

// caution closes every document.
func caution() Part { return Part{Heading: "Caution", Text: []string{Caution}} }
