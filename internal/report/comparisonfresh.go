package report

import (
	"fmt"

	"potbank/internal/experiment"
)

// certified shows the choice on luck that was not used to make it, beside the
// figure that made it: the best of several looks better than it is on the runs
// that made it the best.
func (v *versus) certified() Part {
	c := v.Certified
	if c == nil {
		return Part{}
	}
	m := v.deciding()
	t := &Table{Columns: []Column{{Head: "Runs", Text: true}, {Head: "Replications"}, {Head: v.name(v.Choice.Best)}, {Head: v.base()}, {Head: "Difference"}, {Head: "Verdict", Text: true}}}
	chose := m.Differences[v.Choice.Best]
	t.add("that chose", fmt.Sprint(chose.N), estimate(m.Values[v.Choice.Best]), estimate(m.Values[0]), signed(chose.Estimate), string(chose.Verdict))
	t.add("fresh", fmt.Sprint(c.Replications), estimate(c.Chosen), estimate(c.Than), signed(c.Difference), string(v.FreshVerdict))
	p := Part{Heading: fmt.Sprintf("Certified: %s, %s", m.Name, m.Unit), Table: t, After: []string{
		"Fresh runs meet luck that played no part in choosing; theirs is the figure to quote."}}
	if c.Partial != "" {
		p.After = append(p.After, c.Partial)
	}
	return p
}

// oneWeek sets the two intervals side by side that are taken for one another
// most often: how well the mean is known, and where a single week may lie.
func (v *versus) oneWeek() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 30}, {Head: "Mean ± its confidence"}, {Head: "A single week, least"}, {Head: "A single week, most"}}}
	for _, o := range v.Options {
		f, ok := o.Answer.Figure("packed.total")
		if w := o.Answer.OneWeek; ok && w.HasInterval() {
			t.add(o.Name, estimate(f.Estimate), fixed(w.Low, 0), fixed(w.High, 0))
		}
	}
	return Part{Heading: "Good pieces a week: the mean, and a single week", Table: t, After: []string{
		fmt.Sprintf("More replications narrow the first and never the second: a single week lies between least and most with %g %% probability, however long one simulates.", 100*experiment.Level)}}
}
