package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// ComparisonDocument lays out the answer to "which option?": the sentence that
// answers, what the options change, the differences, how sure the choice is, and
// what it rests on.
func ComparisonDocument(r *experiment.Comparison) Document {
	v := &versus{r}
	d := Document{Title: v.title(), Lead: v.lead(), Front: v.front()}
	d.add(
		v.warnings(), v.certified(), v.changes(), v.differences(), v.oneWeek(), v.standings(), v.luck(),
		v.method(), v.audit(), caution(),
	)
	return d
}

// versus lays a comparison out.
type versus struct{ *experiment.Comparison }

// name is that of an option.
func (v *versus) name(i int) string { return v.Options[i].Name }

// base is the name of the first option.
func (v *versus) base() string { return v.name(0) }

// deciding is the measure by which is chosen.
func (v *versus) deciding() experiment.Contrast { return v.Measures[0] }

// verdict is that of an option in the measure that decides.
func (v *versus) verdict(i int) experiment.Verdict { return v.deciding().Differences[i].Verdict }

// title answers in one sentence. It claims a difference only where the interval
// shows one.
func (v *versus) title() string {
	m, best := v.deciding(), v.Choice.Best
	switch {
	case best < 0:
		return fmt.Sprintf("%s cannot be compared: there is nothing to measure", m.Name)
	case v.Standings == nil:
		return v.withoutChance()
	case v.named(best):
		return v.excess(best)
	case best == 0 && v.Choice.Decided:
		return fmt.Sprintf("Nothing beats %s by the %s", v.base(), plant.InWords(m.Name))
	case best > 0 && (v.verdict(best) == experiment.Alike || v.Certified != nil && v.FreshVerdict == experiment.Alike):
		return fmt.Sprintf("Nothing beats %s by a difference in the %s that matters", v.base(), plant.InWords(m.Name))
	}
	return fmt.Sprintf("No option is shown to be better than %s by the %s", v.base(), plant.InWords(m.Name))
}

// named tells whether the title is about an option: one shown to be better, by
// fresh replications where there are some.
func (v *versus) named(i int) bool {
	shown := v.verdict(i)
	if v.Certified != nil {
		shown = v.FreshVerdict
	}
	return i > 0 && i == v.Choice.Best && shown == experiment.Better
}

// withoutChance is the title where no figure has an interval.
func (v *versus) withoutChance() string {
	how := either(v.Fixed, "with randomness off", "in one replication")
	if best := v.Choice.Best; best > 0 {
		return v.excess(best) + ", " + how
	}
	return fmt.Sprintf("Nothing beats %s by the %s %s", v.base(), plant.InWords(v.deciding().Name), how)
}

// excess says in words by how much an option differs from the first.
func (v *versus) excess(i int) string {
	m := v.deciding()
	d := m.Differences[i].Estimate
	if v.Certified != nil && i == v.Choice.Best {
		d = v.Certified.Difference
	}
	up := d.Value > 0
	if !up {
		d.Value, d.Low, d.High = -d.Value, -d.High, -d.Low
	}
	if m.Name == "packed.total" {
		return fmt.Sprintf("%s packs %s %s pieces a week than %s", v.name(i), estimate(d), either(up, "more", "fewer"), v.base())
	}
	return fmt.Sprintf("The %s of %s is %s %s %s than of %s", plant.InWords(m.Name), v.name(i), estimate(d), m.Unit, either(up, "higher", "lower"), v.base())
}

// either picks a word.
func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// lead says how the other options stand, how sure the choice is, and what was
// run.
func (v *versus) lead() []string {
	return sentences(strings.Join(sentences(v.rest()...), " "), v.sure(), v.ran(), v.reading())
}

// rest groups the options that the title does not speak of by what can be said
// of them.
func (v *versus) rest() []string {
	list := func(begin string, figures bool, verdicts ...experiment.Verdict) string {
		var names []string
		for i := 1; i < len(v.Options); i++ {
			for _, w := range verdicts {
				if v.verdict(i) == w && !v.named(i) {
					name := v.name(i)
					if figures {
						name += " (" + signed(v.deciding().Differences[i].Estimate) + ")"
					}
					names = append(names, name)
				}
			}
		}
		if names == nil {
			return ""
		}
		return begin + " " + listed(names) + "."
	}
	return []string{
		list("Also better than "+v.base()+":", true, experiment.Better),
		list("Nothing speaks for or against", false, experiment.NoEvidence),
		list("No difference that matters:", true, experiment.Alike),
		list("Worse:", true, experiment.Worse),
	}
}

// listed joins names as people do.
func listed(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return names[0]
}

// sure says how probable it is that the choice is right, and what it may cost.
func (v *versus) sure() string {
	if v.Standings == nil || v.Choice.Best < 0 {
		return ""
	}
	s := v.Standings[v.Choice.Best]
	return fmt.Sprintf("By these replications %s is the best with a probability of %s; the expected regret of choosing it is %s %s.",
		v.name(v.Choice.Best), probability(s.Best.Value), rough(s.Loss.Value), v.Choice.Unit)
}

// probability prints a share of resamplings; none is certain.
func probability(p float64) string {
	switch {
	case p > 0.995:
		return "over 99 %"
	case p < 0.005:
		return "under 1 %"
	}
	return fixed(100*p, 0) + " %"
}

// ran says what was run, and how much of it.
func (v *versus) ran() string {
	least, most := math.MaxInt, 0
	for _, o := range v.Options {
		least, most = min(least, o.Answer.Replications), max(most, o.Answer.Replications)
	}
	runs := fmt.Sprintf("%d replications", most)
	switch {
	case least < most:
		runs = fmt.Sprintf("%d to %d replications", least, most)
	case most == 1:
		runs = "1 replication"
	}
	if v.Fixed {
		runs += " with randomness off"
	}
	if v.Partial != "" {
		runs += " (partial)"
	}
	files := v.base()
	if s := v.Options[0].Answer.Scenario; s.Path != "" {
		files = fmt.Sprintf("%s (%s)", s.Path, shortHash(s.Hash))
	}
	return fmt.Sprintf("%s and %d more: %s of %d weeks each, the first %d left out as warm-up; seed %d.",
		files, len(v.Options)-1, runs, v.Weeks, v.WarmUp.Weeks, v.Seed)
}

// reading says how to read a difference.
func (v *versus) reading() string {
	if v.Standings == nil {
		return ""
	}
	text := "Read +10 ± 3 as: over many such weeks the mean is between 7 and 13 higher than " + v.base() + "'s"
	if n := len(v.Options) - 1; n > 1 {
		return fmt.Sprintf("%s. All %d differences of a measure hold together with %g %% confidence.", text, n, 100*experiment.Level)
	}
	return fmt.Sprintf("%s, with %g %% confidence.", text, 100*experiment.Level)
}

// warnings come before any table.
func (v *versus) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range v.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

// changesShown is how many changes of one option are listed: an option is a few
// lines, and a different works is not read value by value.
const changesShown = 12

// changes shows what the files of the options say otherwise, so that nobody has
// to trust a name.
func (v *versus) changes() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 24}, {Head: "Key", Text: true, Wide: 34}, {Head: "In " + v.base() + " -> here", Text: true, Wide: 36}}}
	for i, o := range v.Options {
		name := o.Name
		for k, c := range o.Changes {
			if k == changesShown {
				t.add("", fmt.Sprintf("and %d more", len(o.Changes)-k), "")
				break
			}
			t.add(name, c.Path, arrow(c))
			name = ""
		}
		if i > 0 && len(o.Changes) == 0 {
			t.add(name, "nothing", "")
		}
	}
	return Part{Heading: "What the options change", Table: t}
}

// arrow prints a change.
func arrow(c experiment.Change) string {
	before, after := c.Before, c.After
	if before == "" {
		before = "(not there)"
	}
	if after == "" {
		after = "(left out)"
	}
	return before + " -> " + after
}

// signed is estimate with the sign of a difference.
func signed(e stats.Estimate) string {
	text := estimate(e)
	value, _, _ := strings.Cut(text, " ")
	if e.Value > 0 && strings.Trim(value, "0.") != "" {
		return "+" + text
	}
	return text
}

// differences shows every measure of every option, and what it is against the
// first.
func (v *versus) differences() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true}, {Head: "Value"}, {Head: "Difference"}, {Head: "%"}, {Head: "Verdict", Text: true},
	}}
	p := Part{Heading: "Differences from " + v.base(), Table: t, Charts: v.differenceCharts()}
	var zones []string
	for _, m := range v.Measures {
		t.group(m.Name + ", " + m.Unit)
		for i, d := range m.Differences {
			if i == 0 {
				t.add(indent+v.name(i), estimate(m.Values[i]))
				continue
			}
			t.add(indent+v.name(i), estimate(m.Values[i]), signed(d.Estimate), percentOf(d.Relative), string(d.Verdict))
		}
		zones = append(zones, fmt.Sprintf("%s %s", m.Name, strings.TrimSpace(rough(m.Margin)+" "+m.Unit)))
	}
	p.After = []string{
		"Alike: the whole interval is smaller than what matters, which is taken to be " + listed(zones) + ". No evidence: the interval holds 0 and more than that; more replications may tell.",
	}
	return p
}

// rough prints two digits of a figure that is rough by nature: a margin, a
// regret.
func rough(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return plain(v)
	}
	place := 1 - int(math.Floor(math.Log10(math.Abs(v))))
	unit := math.Pow10(-place)
	return fixed(math.Round(v/unit)*unit, min(mostDecimals, max(0, place)))
}

// percentOf prints a relative difference.
func percentOf(share float64) string {
	if math.IsNaN(share) {
		return missing
	}
	text := fixed(100*share, 1)
	if share > 0 && text != "0.0" {
		text = "+" + text
	}
	return text
}

// standings shows how sure one can be of each option.
func (v *versus) standings() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 30}, {Head: "Replications"}, {Head: "Best with probability"},
		{Head: "Regret, " + v.Choice.Unit}, {Head: "", Text: true},
	}}
	p := Part{Heading: "Which is best by " + v.Choice.Measure, Table: t, Charts: v.standingCharts()}
	inRace := map[int]bool{}
	for _, i := range v.Choice.InRace {
		inRace[i] = true
	}
	for i, s := range v.Standings {
		word := ""
		switch {
		case i == v.Choice.Best:
			word = either(v.Choice.Decided, "chosen", "ahead")
		case !inRace[i]:
			word = "out of the race"
		}
		t.add(v.name(i), fmt.Sprint(v.Options[i].Answer.Replications), probability(s.Best.Value), rough(s.Loss.Value), word)
	}
	if v.Standings != nil {
		p.After = []string{"Regret is what choosing the option forgoes on average against the best. Both figures are from resampling the replications made: they hold for the works as it is in the files, not for what is wrong in the files."}
	}
	return p
}

// luck shows what running the options on the same draws did to the differences.
func (v *versus) luck() Part {
	t := &Table{Columns: []Column{{Head: "Measure", Text: true}, {Head: "Option", Text: true, Wide: 30}, {Head: "Correlation"}, {Head: "Variance factor"}}}
	for _, m := range v.Measures {
		name := m.Name
		for i, d := range m.Differences {
			if i > 0 && !math.IsNaN(d.Correlation) && !math.IsNaN(d.VarianceFactor) {
				t.add(name, v.name(i), fixed(d.Correlation, 2), fixed(d.VarianceFactor, 2))
				name = ""
			}
		}
	}
	if len(t.Rows) == 0 {
		return Part{} // nothing varies, or no luck is shared
	}
	return Part{
		Heading: "What shared luck does", Table: t,
		After: []string{"The same pieces meet the same luck in every option. The variance factor is that of the difference against independent runs: 0.1 is worth ten times as many replications. Above 1 sharing does harm."},
	}
}

// method says how the choice was made and what it guarantees.
func (v *versus) method() Part {
	c := v.Choice
	zone := strings.TrimSpace(rough(c.Margin) + " " + c.Unit)
	p := Part{Heading: "How the choice is made"}
	if v.Standings == nil || !(c.Margin > 0) {
		return p
	}
	lead := fmt.Sprintf("if it leads by %s or more, and if the replications follow a bell curve; options closer together count as equally good.", zone)
	switch c.Method {
	case experiment.OCBA:
		p.Text = append(p.Text, fmt.Sprintf("Optimal computing budget allocation: %d replications of each option first, then the rest of %d where they tell most. Nothing is guaranteed; the probabilities above are what can be said.", c.First, c.Budget))
	case experiment.Rinott:
		p.Text = append(p.Text, fmt.Sprintf("Rinott's two stages, on luck of its own for each option: %d replications, then as many as their spread asks for. The best is chosen with %g %% confidence or more %s", c.First, 100*experiment.Level, lead))
		for i, n := range c.Required {
			if have := v.Options[i].Answer.Replications; have < n {
				p.Text = append(p.Text, fmt.Sprintf("%s needs %s replications for that and has %d: the confidence is not reached.", v.name(i), count(int64(n)), have))
			}
		}
	default:
		p.Text = append(p.Text, fmt.Sprintf("Kim and Nelson's sequential procedure, which allows for shared luck: %d replications of each option, then one at a time, and out goes what is clearly behind; %s runs along for comparison. The best is chosen with %g %% confidence or more %s", c.First, v.base(), 100*experiment.Level, lead))
	}
	if !c.Decided {
		p.Text = append(p.Text, v.undecided())
	}
	return p
}

// undecided says what keeps the choice from being made.
func (v *versus) undecided() string {
	var names []string
	for _, i := range v.Choice.InRace {
		names = append(names, v.name(i))
	}
	return fmt.Sprintf("The choice is not made: %s are still in the race. Allow more replications, or let a larger difference be the smallest that matters.", listed(names))
}

// audit says whether the exact laws held in all options.
func (v *versus) audit() Part {
	var checked, broken int64
	for _, o := range v.Options {
		for _, l := range o.Answer.Audit {
			checked, broken = checked+l.Checked, broken+l.Broken
		}
	}
	text := fmt.Sprintf("%s equalities (pieces, moulds, cars, hours, fuel, money) were checked in all replications of all options; all held.", count(checked))
	if broken > 0 {
		text = fmt.Sprintf("Of %s equalities %s did not hold: see the warnings.", count(checked), count(broken))
	}
	return Part{Heading: "Audit", Text: []string{text}}
}
