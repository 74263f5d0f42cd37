package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// binding says which department limits the works, by the simulation and by
// hand, in words.
func (l *layout) binding() Part {
	p := Part{Heading: "What limits the works", Charts: l.curveCharts()}
	for _, text := range []string{l.a.Binding.Sentence, l.a.HandSays} {
		if text != "" {
			p.Text = append(p.Text, text)
		}
	}
	return p
}

// byHand sets the static estimate beside the simulation. A reader who can redo
// the sum by hand has a reason to believe the rest; where the two differ the
// difference is what the sum leaves out, and is said below the table.
func (l *layout) byHand() Part {
	t := &Table{Columns: []Column{{Head: "Measure", Text: true}, {Head: "By hand"}, {Head: "Simulated"}, {Head: "Unit", Text: true}}}
	p := Part{Heading: "By hand and simulated", Table: t}
	said := map[string]bool{}
	for _, h := range l.a.Hand {
		f, simulated := l.a.Figure(h.Name)
		switch {
		case strings.HasPrefix(h.Name, "load."): // beside the loads by hand, in a table of their own
		case simulated:
			t.add(h.Name, plain(h.Value), estimate(f.Estimate), h.Unit)
		default:
			t.add(h.Name, plain(h.Value), missing, h.Unit)
		}
		if h.Explained != "" && !said[h.Explained] {
			said[h.Explained] = true
			p.After = append(p.After, h.Name+": "+h.Explained)
		}
	}
	return p
}

// departments shows capacity and load by hand, and the simulated load beside.
func (l *layout) departments() Part {
	t := &Table{Columns: []Column{
		{Head: "Department", Text: true}, {Head: "Capacity"}, {Head: "Need"}, {Head: "Unit", Text: true},
		{Head: "Load by hand, %"}, {Head: "simulated, %"},
	}}
	for _, d := range l.a.Loads {
		simulated := missing
		if f, ok := l.a.Figure("load." + d.Name); ok {
			simulated = oneDecimal(f)
		}
		t.add(d.Name, plain(math.Round(d.Capacity)), plain(math.Round(d.Need)), d.Unit, percentage(d.Load), simulated)
	}
	p := Part{Heading: "Capacity and load, by hand and simulated", Table: t}
	if len(t.Rows) > 0 {
		p.After = []string{"How capacity and need are reckoned: see potbank check."}
	}
	return p
}

// Departments lays out capacity, need and load of each department by hand,
// with how they were reckoned.
func Departments(loads []plant.Department) Part {
	t := &Table{Columns: []Column{
		{Head: "Department", Text: true}, {Head: "Capacity"}, {Head: "Need"}, {Head: "Unit", Text: true},
		{Head: "Load, %"}, {Head: "How", Text: true, Wide: 60},
	}}
	for _, d := range loads {
		t.add(d.Name, plain(math.Round(d.Capacity)), plain(math.Round(d.Need)), d.Unit, percentage(d.Load), d.How)
	}
	return Part{Heading: "Capacity and load by hand", Table: t}
}

// percentage prints a share; a department that is needed and cannot work at all
// has no bound.
func percentage(share float64) string {
	if math.IsInf(share, 0) {
		return "no capacity"
	}
	return fixed(100*share, 0)
}

// trust says, for whoever must defend the figures, how the warm-up was found and how precise the answer is.
func (l *layout) trust() Part {
	a := l.a
	p := Part{Heading: "Warm-up and precision", Charts: l.trustCharts()}
	p.Text = append(p.Text, fmt.Sprintf("The first %d of %d weeks are left out of every figure (%s).", a.WarmUp.Weeks, a.Weeks, a.WarmUp.Method))
	if l := a.LongRun; l != nil {
		p.Text = append(p.Text, fmt.Sprintf("One run of %d weeks stands behind every figure, cut into %d stretches of %s that stand in for replications (batch means, with Student's interval of what each adds to the whole). This spares the start-up of many runs; the interval is too narrow where a stretch resembles the next, of which the warnings speak.",
			a.Weeks, l.Stretches, plural(l.Weeks, "week")))
		return p
	}
	if a.Replications < 2 {
		return p
	}
	text := fmt.Sprintf("%d replications, independent of one another, stand behind every figure.", a.Replications)
	if !math.IsNaN(a.Precision.At) && a.Precision.Driver != "" {
		text += fmt.Sprintf(" All headline measures together are known to within %.2g %% or better, with 95 %% confidence; least well known is %s.", 100*a.Precision.At, a.Precision.Driver)
	}
	if a.Precision.Wanted > 0 {
		text += fmt.Sprintf(" %s %% was asked for.", plain(100*a.Precision.Wanted))
	}
	p.Text = append(p.Text, text,
		"A measure is the ratio of mean sums over replications with Fieller's interval. Quantiles of lead time (half, 80, 95 of 100 pieces) are the mean of the replications' quantiles with Student's interval.")
	return p
}

// unmeasuredShown is how many unmeasured values an answer lists.
const unmeasuredShown = 12

// unmeasured lists the first of the values taken because nobody measured them.
func (l *layout) unmeasured() Part {
	p := allUnmeasured(l.a.Unmeasured)
	p.Brief = firstOf(l.a.Unmeasured)
	if more := len(l.a.Unmeasured) - unmeasuredShown; more > 0 {
		p.Table.Rows = p.Table.Rows[:unmeasuredShown]
		p.After = []string{fmt.Sprintf("and %d more; potbank check lists them all.", more)}
	}
	return p
}

// unmeasuredBrief names the first of them for a first page.
func unmeasuredBrief(all []experiment.Assumption) Part {
	p := allUnmeasured(all)
	p.Table = nil
	if p.Brief = firstOf(all); len(all) > unmeasuredShown {
		p.Brief += fmt.Sprintf("; and %d more, which potbank check lists.", len(all)-unmeasuredShown)
	}
	return p
}

// firstOf lists as many as an answer shows.
func firstOf(all []experiment.Assumption) string {
	var list []string
	for _, u := range all[:min(unmeasuredShown, len(all))] {
		list = append(list, u.Path+" = "+u.Value)
	}
	return strings.Join(list, "; ")
}

// allUnmeasured lists the values taken because nobody measured them.
func allUnmeasured(all []experiment.Assumption) Part {
	if len(all) == 0 {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Key", Text: true, Wide: 60}, {Head: "Value taken", Text: true, Wide: 30}}}
	for _, u := range all {
		t.add(u.Path, u.Value)
	}
	return Part{
		Heading: "Values that nobody measured",
		Text:    []string{fmt.Sprintf("%s values of this scenario are defaults or guesses: trade practice, not your works. Measure those that matter and write them into the file.", count(int64(len(all))))},
		Table:   t,
	}
}

// audit says which exact laws were checked. They are equalities of whole
// numbers: one broken is a fault of the program, not of chance.
func (l *layout) audit() Part {
	t := &Table{Columns: []Column{{Head: "Law, checked exactly in every replication", Text: true, Wide: 60}, {Head: "Equalities"}, {Head: "Held", Text: true}}}
	for _, law := range l.a.Audit {
		t.add(law.Law, count(law.Checked), held(law))
	}
	return Part{Heading: "Audit", Table: t, Brief: auditBrief(l.a.Audit)}
}

// auditBrief says in one sentence whether the laws held.
func auditBrief(laws []experiment.Law) string {
	var checked, broken int64
	for _, law := range laws {
		checked, broken = checked+law.Checked, broken+law.Broken
	}
	if broken > 0 {
		return fmt.Sprintf("%s of %s exact equalities did not hold. Do not use these figures.", count(broken), count(checked))
	}
	return fmt.Sprintf("%d exact laws of pieces, hours, moulds, cars, fuel and money were checked in every replication, as %s equalities of whole numbers. All held.", len(laws), count(checked))
}

// held says whether a law held, and how often not.
func held(law experiment.Law) string {
	switch {
	case law.Checked == 0:
		return "nothing to check"
	case law.Held():
		return "yes"
	}
	return fmt.Sprintf("no, %s broken", count(law.Broken))
}
