package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// ComparedDocument lays out which shift pattern, or which of whatever options, to
// choose: the recommendation with its evidence, what would turn it, the
// differences from today, and then what each option is like.
func ComparedDocument(name experiment.Scenario, r *decision.Compared) Document {
	v := &weighed{r}
	d := Document{Title: v.title(), Lead: v.lead(name)}
	for _, part := range []func() Part{
		v.warnings, v.paper, v.flips, v.trials, v.differences, v.output, v.hours, v.crews, v.windows, v.kilns, v.pours,
		v.stairs, v.rules, v.service, v.pareto, v.standings, v.regret, v.changes, v.method, hoursCaution, caution,
	} {
		d.add(part())
	}
	v.front(&d, name)
	return d
}

// front is the first page: the chosen option against today.
func (v *weighed) front(d *Document, name experiment.Scenario) {
	best := &v.Options[v.Best]
	var figures []KeyFigure
	if c := v.Certified; c != nil {
		k := key(fmt.Sprintf("%s, %s less %s", v.words(), best.Name, v.name(c.Than)), c.Difference, v.Unit, "on fresh runs")
		if k.Value = strings.TrimSpace(k.Value); c.Difference.Value > 0 {
			k.Value = "+" + k.Value
		}
		figures = append(figures, k)
	}
	figures = append(figures, key("good pieces a week under "+best.Name, best.Good, "", fmt.Sprintf("a single week %s to %s", fixed(best.OneWeek[0], 0), fixed(best.OneWeek[2], 0))),
		KeyFigure{Name: "hours a week at night", Value: fixed(best.Night, 0), Unit: "h", Note: fixed(v.Options[0].Night, 0) + " today"}, key("a good piece costs", best.Cost, v.Currency, ""))
	b := experiment.Basis{Scenario: name, Laws: v.Audit, Runs: best.Replications, Fresh: v.Certified != nil, Turned: true}
	d.decided(b, strings.Join(sentences(v.evidence(), v.turns()), " "), v.Seed, v.behind(), figures...)
}

// weighed lays out one answer.
type weighed struct{ *decision.Compared }

func (v *weighed) name(o int) string { return v.Options[o].Name }

// words are how a sentence calls what decides.
func (v *weighed) words() string { return plant.InWords(v.By) }

// title recommends one option in one sentence, by figures of runs that were not
// used to choose it where there are some.
func (v *weighed) title() string {
	best := v.name(v.Best)
	if !v.Met {
		return fmt.Sprintf("None of these keeps what was asked for: %s comes nearest", best)
	}
	c := v.Certified
	if v.Best == 0 {
		text := "Keep today's pattern: nothing here that keeps the limits beats it by the " + v.words()
		if c != nil && v.Rival >= 0 {
			text += fmt.Sprintf(" (the next, %s, is %s)", v.name(v.Rival), v.apart(negative(c.Difference)))
		}
		return text
	}
	if c == nil {
		return fmt.Sprintf("Choose %s: its %s is %s than today's", best, v.words(), v.apart(v.Contrasts[0].Differences[v.Best].Estimate))
	}
	switch c.Verdict {
	case experiment.Better:
		return fmt.Sprintf("Choose %s: its %s is %s than today's", best, v.words(), v.apart(c.Difference))
	case experiment.Alike:
		return fmt.Sprintf("%s is no better than today by a difference in the %s that matters", best, v.words())
	}
	return fmt.Sprintf("%s is ahead, but fresh runs do not show it to be better than today by the %s", best, v.words())
}

// apart says how far a figure lies from another's.
func (v *weighed) apart(d stats.Estimate) string {
	unit, side := strings.Split(v.Unit, "/")[0], "higher"
	if d.Value < 0 {
		d, side = negative(d), "lower"
	}
	return fmt.Sprintf("%s %s %s", estimate(d), unit, side)
}

// lead says how sure that is, what the spreadsheet says, what turns the answer,
// what was run, and how to read a figure.
func (v *weighed) lead(name experiment.Scenario) []string {
	return sentences(v.evidence(), v.PaperSays, v.turns(), v.ran(name), v.reading())
}

// evidence says how sure the choice is.
func (v *weighed) evidence() string {
	var all []string
	best := &v.Options[v.Best]
	if c := v.Certified; c != nil {
		than := "today"
		if c.Than > 0 {
			than = v.name(c.Than)
		}
		all = append(all, fmt.Sprintf("Certified on %s that were not used to choose: %s against %s of %s, %s.",
			plural(c.Runs, "replication"), estimate(c.Chosen), estimate(c.Base), than, v.Unit))
	}
	if v.Standings != nil {
		s := v.Standings[v.Best]
		all = append(all, fmt.Sprintf("By the runs that chose, %s is the best of all with a probability of %s; choosing it forgoes %s %s on average.",
			best.Name, probability(s.Best.Value), rough(s.Loss.Value), v.Unit))
	}
	if v.Best > 0 {
		all = append(all, fmt.Sprintf("It pays %s hours a week for today's %s, %s of them at night for %s.",
			fixed(best.Paid, 0), fixed(v.Options[0].Paid, 0), fixed(best.Night, 0), fixed(v.Options[0].Night, 0)))
	}
	for o := range v.Options {
		if x := &v.Options[o]; o > 0 && x.Why != "" {
			all = append(all, fmt.Sprintf("%s loses by %s.", x.Name, x.Why))
		}
	}
	return strings.Join(all, " ")
}

// turns says in one sentence what would turn the answer.
func (v *weighed) turns() string {
	var some []string
	for _, f := range v.Flips {
		if len(some) < mostTurns && v.Options[f.To].Eligible {
			some = append(some, fmt.Sprintf("%s wins with %s %s %s %s", v.name(f.To), f.Input, either(f.Above, "above", "below"), estimate(f.At), f.Unit))
		}
	}
	for _, t := range v.Trials {
		if t.Flips {
			some = append(some, fmt.Sprintf("%s wins with %s at %s", v.name(t.Than), t.Path, t.At))
		}
	}
	if some == nil {
		return ""
	}
	return "What turns the answer: " + strings.Join(some, "; ") + "."
}

// ran says what was run.
func (v *weighed) ran(name experiment.Scenario) string {
	least, most := math.MaxInt, 0
	for _, o := range v.Options {
		least, most = min(least, o.Replications), max(most, o.Replications)
	}
	runs := plural(most, "replication")
	if least < most {
		runs = fmt.Sprintf("%d to %d replications", least, most)
	}
	if v.Fixed {
		runs += " with randomness off"
	}
	return fmt.Sprintf("%s (%s): %d options in %s, %s of %d weeks each, the first %d left out; seed %d.",
		name.Path, shortHash(name.Hash), len(v.Options), plural(len(v.Futures), "future"), runs, v.Weeks, v.WarmUp, v.Seed)
}

// reading tells the two intervals apart.
func (v *weighed) reading() string {
	if v.Standings == nil {
		return ""
	}
	return fmt.Sprintf("Read 100 ± 5 as: the mean of many such weeks lies between 95 and 105 with %g %% confidence. It is not the range of one week, which has columns of its own.", 100*experiment.Level)
}

func (v *weighed) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range v.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

// paper sets the spreadsheet beside the simulation.
func (v *weighed) paper() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}, {Head: "Load of finishers, %"}, {Head: "Good a week by hand"}, {Head: "simulated"}, {Head: "A good piece by hand, " + v.Currency}, {Head: "simulated"}, {Head: "", Text: true}}}
	for o, x := range v.Options {
		mark := ""
		switch {
		case o == v.PaperBest && o == v.Best:
			mark = "chosen by both"
		case o == v.PaperBest:
			mark = "on paper"
		case o == v.Best:
			mark = "chosen"
		}
		t.add(x.Name, blank(100*x.Paper.Load, 0), blank(x.Paper.Good, 0), estimate(x.Good), blank(x.Paper.Cost, 2), estimate(x.Cost), mark)
	}
	return Part{Heading: "On paper and simulated", Table: t, After: []string{
		"By hand: hours, yields and capacities, every hour as good as any other. Simulated: expected over the futures, capital and upkeep in the cost of a piece."}}
}

// flips shows where the answer turns.
func (v *weighed) flips() Part {
	t := &Table{Columns: []Column{{Head: "If this differs", Text: true, Wide: 38}, {Head: "Now"}, {Head: "", Text: true}, {Head: "Flips at"}, {Head: "Unit", Text: true}, {Head: "To", Text: true, Wide: 20}}}
	for _, f := range v.Flips {
		t.add(f.Input, plain(f.Now), either(f.Above, "above", "below"), estimate(f.At), f.Unit, v.name(f.To))
	}
	p := Part{Heading: "What would turn the answer", Table: t, After: []string{
		"One at a time, all else as it is, found on the same runs. Good pieces wanted: below that the option with less to pay whatever is made is the cheaper. What a good piece brings: net of selling, from which more output at more cost pays."}}
	if len(t.Rows) == 0 {
		return Part{Heading: p.Heading, Text: []string{"Nothing that was looked at: premiums on wages, how much is wanted, what a good piece brings, how likely each future is."}}
	}
	return p
}

// trials shows the inputs that were moved.
func (v *weighed) trials() Part {
	t := &Table{Columns: []Column{{Head: "Input", Text: true, Wide: 36}, {Head: "At", Text: true}, {Head: fmt.Sprintf("%s ahead by, %s", v.name(v.Best), v.Unit)}, {Head: "Of", Text: true, Wide: 18}, {Head: "", Text: true}}}
	for _, x := range v.Trials {
		word := either(x.Flips, "flips", "")
		if x.Impossible {
			word = "no such works"
		}
		t.add(x.Path, x.At, estimate(x.Lead), v.name(x.Than), word)
	}
	if len(t.Rows) == 0 {
		return Part{}
	}
	return Part{Heading: "Inputs moved to their ends", Table: t, After: []string{
		fmt.Sprintf("A few pairs of runs (%d) at each end, one input at a time.", v.Terms.Trials)}}
}

// differences shows what each option is against today, and then the levels.
func (v *weighed) differences() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true}, {Head: "Against today"}, {Head: "%"}, {Head: "Verdict", Text: true}, {Head: "Level"}, {Head: "Correlation"}}}
	var zones []string
	for _, m := range v.Contrasts {
		t.group(m.Name + ", " + m.Unit)
		for o, d := range m.Differences {
			if o == 0 {
				t.add(indent+v.name(o), "", "", "", estimate(m.Values[o]))
				continue
			}
			t.add(indent+v.name(o), signed(d.Estimate), percentOf(d.Relative), string(d.Verdict), estimate(m.Values[o]), blank(d.Correlation, 2))
		}
		zones = append(zones, strings.TrimSpace(m.Name+" "+rough(m.Margin)+" "+m.Unit))
	}
	return Part{Heading: "Differences from today, then levels", Table: t, Charts: v.differenceCharts(), After: []string{
		"From pairs of replications on shared luck, expected over the futures; the differences of one measure hold together. Alike: the whole interval is smaller than what matters, taken to be " + listed(zones) + ". No evidence: it holds 0 and more than that."}}
}
