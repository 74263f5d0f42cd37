package report

import (
	"fmt"

	"potbank/internal/experiment"
)

// front is the first page of the answer to "how does this works run?".
func (l *layout) front() *Front {
	a := l.a
	f := &Front{Answer: l.oneSentence(), Doubt: l.oneDoubt(), Source: Source{a.Scenario.Path, a.Scenario.Hash, a.Seed, l.rests()}}
	for _, c := range a.Credibility() {
		f.Trust = append(f.Trust, Credit{c.Factor, c.Level, c.Why})
	}
	f.Leaves = experiment.LeftOut()
	for _, k := range []struct{ name, words string }{
		{"packed.total", "good pieces packed a week"},
		{"lead_time.mean", "from filling to packing, a single piece"},
		{"cost.per_good", "direct cost of a good piece"},
		{"energy.per_good", "fuel for a good piece"},
		{"wip.total", "pieces in the works"},
	} {
		if m, ok := a.Figure(k.name); ok && m.Value == m.Value && m.Value != 0 && len(f.Figures) < 3 {
			f.Figures = append(f.Figures, keyFigure(m, k.words))
		}
	}
	return f
}

// keyFigure shows a measure large, with its interval in words below.
func keyFigure(m experiment.Figure, words string) KeyFigure {
	mean, half := columns(m.Estimate)
	k := KeyFigure{Name: words, Value: mean, Unit: m.Unit, Note: "no interval from one replication"}
	if half != "" {
		k.Note = fmt.Sprintf("± %s with %g %% confidence", half, 100*experiment.Level)
	}
	return k
}

// oneSentence is the answer.
func (l *layout) oneSentence() string {
	m, ok := l.a.Figure("packed.total")
	if !ok || m.Value != m.Value {
		return l.a.Scenario.Name + " packs nothing"
	}
	text := fmt.Sprintf("%s packs %s good pieces a week", l.a.Scenario.Name, estimate(m.Estimate))
	if b := l.a.Binding; b.Resource != "" {
		return fmt.Sprintf("%s, and %s sets the limit", text, b.Resource)
	}
	return text
}

// oneDoubt says how far from it a single week, and the works itself, may be.
func (l *layout) oneDoubt() string {
	text := ""
	if w := l.a.OneWeek; w.HasInterval() {
		text = fmt.Sprintf("A single week may bring between %s and %s pieces.", fixed(w.Low, 0), fixed(w.High, 0))
	} else if l.a.Replications < 2 {
		text = "One run says nothing about chance."
	}
	if n := len(l.a.Unmeasured); n > 0 {
		text += fmt.Sprintf(" %s inputs were not measured at this works, and the interval does not hold what they leave open.", count(int64(n)))
	}
	for _, s := range l.bothSources() {
		text += " " + s
	}
	return text
}
