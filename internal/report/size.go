package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// SizeDocument lays out which kiln to build: the recommendation with its
// evidence, what would turn it, then the options from what they deliver to what
// they cost, the kilns themselves, and how far all this can be trusted.
func SizeDocument(name experiment.Scenario, r *decision.Sized) Document {
	v := &sized{r}
	d := Document{Title: v.title(), Lead: v.lead(name)}
	for _, part := range []func() Part{
		v.warnings, v.flips, v.options, v.money, v.kilns, v.stores, v.energy, v.bottlenecks,
		v.curve, v.regret, v.beyond, v.changes, v.method, kilnCaution, caution,
	} {
		d.add(part())
	}
	v.front(&d, name)
	return d
}

// front is the first page.
func (v *sized) front(d *Document, name experiment.Scenario) {
	meets, saving := v.evidence()
	best := &v.Options[v.Best]
	figures := []KeyFigure{
		chanceKey("of periods in which "+best.Name+" meets demand", meets),
		key("saved a year against "+v.name(v.Advantage.Than), inThousands(saving), "thousand "+v.Currency, ""),
		key("good pieces a week", best.Good, "", fmt.Sprintf("%s wanted", fixed(v.wanted(), 0))),
		key("a good piece costs in all", best.PerGood, v.Currency, ""),
	}
	b := experiment.Basis{Scenario: name, Laws: v.Audit, Runs: best.Replications, Fresh: v.fresh(), Turned: true}
	d.decided(b, strings.Join(sentences(v.rests(), v.turns()), " "), v.Seed, v.behind(), figures...)
}

// sized lays out one answer.
type sized struct{ *decision.Sized }

func (v *sized) name(o int) string { return v.Options[o].Name }

// title recommends one option in one sentence, with its evidence: the chance
// that it meets demand and what it costs less, from runs that were not used to
// choose it where there are some.
func (v *sized) title() string {
	best := v.name(v.Best)
	if !v.Met {
		what := "None of these meets the demand" + either(len(v.Terms.Limits) > 0, " and keeps the limits", "")
		if v.Options[v.Best].Meets.Value > 0 {
			return fmt.Sprintf("%s with %s: %s comes nearest, with %s", what, share(v.Terms.Service), best, share(v.Options[v.Best].Meets.Value))
		}
		return fmt.Sprintf("%s: %s comes nearest, with %s of %s pieces a week",
			what, best, fixed(v.Options[v.Best].UpTo.Value, 0), fixed(v.wanted(), 0))
	}
	verb := "Build " + best
	if v.Best == 0 {
		verb = "Build nothing"
	}
	meets, saving := v.evidence()
	text := fmt.Sprintf("%s: it meets demand in %s", verb, v.periods(meets))
	switch than := v.name(v.Advantage.Than); {
	case v.Rival < 0:
		return text + ", and nothing else here does"
	case v.alike(saving):
		return fmt.Sprintf("%s and costs no more than %s as far as it matters (%s thousand %s a year)", text, than, signedThousands(negative(saving)), v.Currency)
	case saving.Value < 0:
		return fmt.Sprintf("%s and costs %s thousand %s a year more than %s by the newest runs", text, thousands(negative(saving)), v.Currency, than)
	default:
		return fmt.Sprintf("%s and costs %s thousand %s a year less than %s, the next cheapest that does", text, thousands(saving), v.Currency, than)
	}
}

// evidence is the figures of the recommendation: those of fresh runs where there
// are some.
func (v *sized) evidence() (meets, saving stats.Estimate) {
	if v.fresh() {
		return v.Advantage.Meets, v.Advantage.Fresh
	}
	return v.Options[v.Best].Meets, v.Advantage.Yearly
}

func (v *sized) fresh() bool { return v.Advantage.NewRuns > 0 && !math.IsNaN(v.Advantage.Fresh.Value) }

// alike tells whether a difference in yearly cost is no difference that matters.
func (v *sized) alike(e stats.Estimate) bool { return math.Abs(e.Value) < v.Terms.Matters }

// negative turns the sign of an estimate.
func negative(e stats.Estimate) stats.Estimate {
	e.Value, e.Low, e.High = -e.Value, -e.High, -e.Low
	return e
}

// wanted is the pieces a week wanted in the main future.
func (v *sized) wanted() float64 {
	sum := 0.0
	for _, d := range v.Futures[v.Main].Demand {
		sum += d.Pieces
	}
	return sum
}

// periods says in how many periods demand is met, with the interval.
func (v *sized) periods(e stats.Estimate) string {
	span := fmt.Sprintf("%d-week periods", v.Terms.Period)
	if v.Terms.Period == 1 {
		span = "weeks"
	}
	return fmt.Sprintf("%s of %s%s", share(e.Value), span, within(e))
}

// plural counts things in words.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// share prints a probability in whole per cent.
func share(p float64) string {
	if math.IsNaN(p) {
		return missing
	}
	return fixed(100*p, 0) + " %"
}

// within prints the interval of a probability in brackets.
func within(e stats.Estimate) string {
	if !e.HasInterval() {
		return ""
	}
	return fmt.Sprintf(" (%s to %s)", fixed(100*e.Low, 0), share(e.High))
}

// lead says what the figures of the title rest on, what would turn them, and
// what was run.
func (v *sized) lead(name experiment.Scenario) []string {
	return sentences(v.question(), v.rests(), v.turns(), v.ran(name))
}

// question repeats what was asked, in figures.
func (v *sized) question() string {
	var in []string
	for f, future := range v.Futures {
		sum := 0.0
		for _, d := range future.Demand {
			sum += d.Pieces
		}
		text := fmt.Sprintf("%s %s", future.Name, share(future.Weight))
		if f == v.Main || sum != v.wanted() {
			text += fmt.Sprintf(" (%s a week)", fixed(sum, 0))
		}
		in = append(in, text)
	}
	text := fmt.Sprintf("Wanted are %s good pieces a week, in %s of periods of %s or more.", fixed(v.wanted(), 0), share(v.Terms.Service), plural(v.Terms.Period, "week"))
	if len(in) > 1 {
		text += " Futures: " + strings.Join(in, ", ") + "."
	}
	return strings.TrimSpace(v.Title + " " + text)
}

// rests says from which runs the figures of the recommendation are, and how the
// least regret sees it.
func (v *sized) rests() string {
	var all []string
	if v.fresh() {
		paired := ""
		if v.Advantage.NewRuns < v.Advantage.Trials {
			paired = fmt.Sprintf(", %s of them with %s", fixed(float64(v.Advantage.NewRuns), 0), v.name(v.Advantage.Than))
		}
		all = append(all, fmt.Sprintf("The figures of the recommendation are from %s in each future that were not used to choose it%s; those that chose it said %s and %s thousand %s a year.",
			plural(v.Advantage.Trials, "replication"), paired, share(v.Options[v.Best].Meets.Value), thousands(v.Advantage.Yearly), v.Currency))
	}
	if best := v.Options[v.Best]; v.Best > 0 && !math.IsNaN(best.Worth.Value) {
		pays := ""
		if !math.IsInf(best.Payback, 0) && !math.IsNaN(best.Payback) {
			pays = fmt.Sprintf(", and has paid for itself in %s years before interest", fixed(best.Payback, 1))
		}
		all = append(all, fmt.Sprintf("Against today it is worth %s thousand %s over its life, by the runs that chose it%s.", thousands(best.Worth), v.Currency, pays))
	}
	if v.Met {
		if v.Minimax == v.Best {
			all = append(all, "It also has the smallest greatest regret.")
		} else {
			all = append(all, fmt.Sprintf("Whoever fears the worst future more than the average takes %s, whose greatest regret is the smallest.", v.name(v.Minimax)))
		}
	}
	return strings.Join(all, " ")
}

// mostTurns is how many flips the lead names; the table has all.
const mostTurns = 4

// turns says in one sentence what would turn the answer.
func (v *sized) turns() string {
	var some []string
	for _, f := range v.Flips {
		if len(some) == mostTurns {
			break
		}
		what := ""
		switch {
		case f.Input == "demand" && f.Above:
			what = v.name(v.Best) + " is not enough"
		case f.Input == "demand":
			what = v.name(f.To) + " is enough"
		default:
			what = v.name(f.To) + " wins"
		}
		_, at, unit := v.flipped(f)
		some = append(some, fmt.Sprintf("%s with %s %s %s %s", what, f.Input, either(f.Above, "above", "below"), at, unit))
	}
	if some == nil {
		return ""
	}
	return "What turns the answer: " + strings.Join(some, "; ") + "."
}

// ran says what was run.
func (v *sized) ran(name experiment.Scenario) string {
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

func (v *sized) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range v.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

// flips shows where the answer turns.
func (v *sized) flips() Part {
	t := &Table{Columns: []Column{{Head: "If this differs", Text: true, Wide: 30}, {Head: "Now"}, {Head: "", Text: true}, {Head: "Flips at"}, {Head: "Unit", Text: true}, {Head: "To", Text: true, Wide: 20}}}
	for _, f := range v.Flips {
		to := "none of these"
		if f.To >= 0 {
			to = v.name(f.To)
		}
		now, at, unit := v.flipped(f)
		t.add(f.Input, now, either(f.Above, "above", "below"), at, unit, to)
	}
	if len(t.Rows) == 0 {
		return Part{Heading: "What would turn the answer", Text: []string{"Nothing that was looked at: price of fuel, capital, interest, how likely each future is, demand."}}
	}
	return Part{Heading: "What would turn the answer", Table: t, Charts: v.flipCharts(), After: []string{
		"One at a time, all else as it is. Prices, interest and weights are put to the same runs again, up to ten times the price of today; a demand is held against the output of the same runs, by the plan of " + v.Futures[v.Main].Name + "."}}
}

// flipped prints what an input is and where the answer turns; capital in
// thousands.
func (v *sized) flipped(f decision.Flip) (now, at, unit string) {
	if f.Unit == v.Currency {
		return fixed(f.Now/1000, 0), thousands(f.At), "thousand " + v.Currency
	}
	return plain(f.Now), estimate(f.At), f.Unit
}

// options shows what each option delivers.
func (v *sized) options() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 18}, {Head: "Meets demand"}, {Head: "Would meet, pieces/wk"}, {Head: "Good, pieces/wk"}, {Head: "Short, pieces/wk"},
		{Head: "Cost of demand, 1,000 " + v.Currency + "/yr"}, {Head: "Against today"},
	}}
	for i, o := range v.Options {
		diff := ""
		if i > 0 {
			diff = signedThousands(o.Difference)
		}
		t.add(o.Name, share(o.Meets.Value)+within(o.Meets), estimate(o.UpTo), estimate(o.Good), estimate(o.Short), thousands(o.Yearly), diff)
	}
	short := "pieces short at " + fixed(v.Terms.Worth, 2) + " " + v.Currency + " each"
	if v.Terms.Worth == 0 {
		short = "pieces short at the option's own cost"
	}
	return Part{Heading: "Options", Table: t, Charts: v.optionCharts(), After: sentences(v.limits(),
		fmt.Sprintf("Expected over the futures. Would meet: the demand met with %s by the plan of %s. Cost of demand: pieces wanted at what a good piece costs directly, %s, and capital, residual and upkeep spread over each year.",
			share(v.Terms.Service), v.Futures[v.Main].Name, short))}
}

// limits says how the options keep what was asked besides demand.
func (v *sized) limits() string {
	var what, who []string
	for _, l := range v.Terms.Limits {
		if !math.IsInf(l.Least, 0) {
			what = append(what, l.Measure+" at least "+plain(l.Least))
		}
		if !math.IsInf(l.Most, 0) {
			what = append(what, l.Measure+" at most "+plain(l.Most))
		}
	}
	for _, o := range v.Options {
		who = append(who, o.Name+" "+share(o.Keeps.Value))
	}
	if what == nil {
		return ""
	}
	return fmt.Sprintf("Also wanted in %s of runs: %s. Kept by %s.", share(v.Terms.Service), listed(what), listed(who))
}

// thousands prints an amount in thousands.
func thousands(e stats.Estimate) string {
	e.Value, e.Low, e.High = e.Value/1000, e.Low/1000, e.High/1000
	return estimate(e)
}

func signedThousands(e stats.Estimate) string {
	e.Value, e.Low, e.High = e.Value/1000, e.Low/1000, e.High/1000
	return signed(e)
}
