package report

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/decision"
	"potbank/internal/experiment"
)

// MasterDocument lays out what a fault in the tooling costs by where it is
// caught, and which watch is worth its price.
func MasterDocument(s experiment.Scenario, a *decision.MasterAnswer) Document {
	v := &master{a}
	d := Document{Title: v.title(), Lead: v.lead(s)}
	for _, part := range []func() Part{v.flips, v.warnings, v.byGate, v.split, v.timeline, v.pulled, v.orders, v.years, v.steps, v.traces, v.checks, v.byHand, v.limits, caution} {
		d.add(part())
	}
	v.front(&d, s)
	return d
}

// front is the first page: the recommendation, and what a fault costs by who
// catches it.
func (v *master) front(d *Document, name experiment.Scenario) {
	var figures []KeyFigure
	for _, r := range v.Rows {
		if r.InUse {
			figures = append(figures, key("one fault under today's "+r.Name, r.Cost, v.Currency, ""))
		}
	}
	if len(v.Rows) > 0 {
		least := v.Rows[greatestOf(len(v.Rows), func(i int) float64 { return -v.Rows[i].Cost.Value })]
		last := v.Rows[len(v.Rows)-1]
		figures = append(figures, key("one fault caught at "+least.Name, least.Cost, v.Currency, ""), key("one fault caught by the "+last.Name, last.Cost, v.Currency, ""))
	}
	doubt := strings.Join(v.Flips, " ")
	b := experiment.Basis{Scenario: name, Runs: v.Replications, Fresh: v.Certified > 0, Turned: len(v.Flips) > 0}
	d.decided(b, doubt, v.Seed, v.rests(), figures...)
	d.Front.Answer = v.Recommendation
}

// master lays out one answer.
type master struct{ *decision.MasterAnswer }

func (v *master) title() string {
	if v.Title != "" {
		return v.Title
	}
	return fmt.Sprintf("A fault in the %s of %s: where to catch it", v.Node, v.Ware)
}

// lead is the recommendation and then what was run.
func (v *master) lead(s experiment.Scenario) []string {
	born := fmt.Sprintf("a fault is born in a %s of %s on %s; %.0f %% of the bad pieces show it", v.Node, v.Ware, v.Born, 100*v.Shows)
	run := fmt.Sprintf("%s (%s): %s. %d replications of %d weeks, each without the fault and with it for every gate, on shared luck; seed %d.",
		s.Path, shortHash(s.Hash), born, v.Replications, v.Weeks, v.Seed)
	if v.Partial != "" {
		run += " Partial: " + v.Partial + "."
	}
	return []string{v.Recommendation, run}
}

func (v *master) flips() Part {
	return Part{Heading: "What would turn it", Text: dashed(v.Flips)}
}

func (v *master) warnings() Part { return Part{Heading: "Warnings", Text: dashed(v.Warnings)} }

// dashed sets sentences as a list.
func dashed(all []string) []string {
	var text []string
	for _, s := range all {
		text = append(text, "- "+s)
	}
	return text
}

// inUse marks what watches today.
func inUse(name string, yes bool) string {
	if yes {
		return name + " *"
	}
	return name
}

// rounded prints a figure without decimals, or what stands for none.
func rounded(x float64) string {
	if math.IsNaN(x) {
		return missing
	}
	return fixed(x, 0)
}

// byGate is the cost by where the fault is caught.
func (v *master) byGate() Part {
	t := &Table{Columns: []Column{
		{Head: "Caught at", Text: true, Wide: 14}, {Head: "Mean"}, {Head: "Half below"}, {Head: "95 % below"}, {Head: "Worst 5 %"}, {Head: "Slips past"},
	}}
	if v.Release != nil {
		t.add("before release", rounded(v.releaseCost()), "", "", "", ofHundred(1-v.Release.Finds))
	}
	n := 0
	for _, r := range v.Rows {
		t.add(inUse(r.Name, r.InUse), estimate(r.Cost), rounded(r.P50.Value), rounded(r.P95.Value), estimate(r.CVaR), chance(r.Escape))
		n = r.N
	}
	return Part{Heading: "What one fault costs by where it is caught, " + v.Currency, Table: t, After: []string{
		fmt.Sprintf("Each gate by itself, complaints last; * watches today. Means are of %d paired runs, the luck of inspection averaged out of each by replays. The other columns are of %d outcomes, %d histories with that luck redrawn %d times; all intervals are of %g %%. Worst 5 %%: their mean. Slips past: chance that nothing is stopped before the first faulty piece leaves the store, computed on every history.",
			v.Replications, n, v.Replications, v.Redraws, 100*experiment.Level),
	}}
}

// releaseCost is what a fault costs that is found before the release.
func (v *master) releaseCost() float64 {
	for _, r := range v.Rows {
		if r.InUse || r.Name == "customer" {
			return r.Cost.Value - v.Release.Saves/v.Release.Finds
		}
	}
	return math.NaN()
}

// ofHundred prints a probability in per cent.
func ofHundred(p float64) string {
	if math.IsNaN(p) {
		return missing
	}
	return plain(100*p) + " %"
}

// chance prints a probability; one too small for per cent as one in so many.
func chance(p float64) string {
	switch {
	case math.IsNaN(p):
		return missing
	case p > 0 && p < 1e-4:
		return fmt.Sprintf("1 in %s", number3(1/p))
	}
	return ofHundred(p)
}

// number3 prints a large number to about two digits.
func number3(x float64) string {
	if x > 1e12 {
		return "10^12 or more"
	}
	unit := math.Pow10(int(math.Floor(math.Log10(x))) - 1)
	return fixed(math.Round(x/unit)*unit, 0)
}

// split is where the money goes.
func (v *master) split() Part {
	t := &Table{Columns: []Column{{Head: "Caught at", Text: true, Wide: 14}}}
	for _, head := range []string{"Ware", "Tools", "Sorting", "Burnt", "Starved", "Late", "Field", "Sum"} {
		t.Columns = append(t.Columns, Column{Head: head})
	}
	for _, r := range v.Rows {
		cells, total := addUp(r.Parts.Parts(), 0)
		t.add(append(append([]string{inUse(r.Name, r.InUse)}, cells...), total)...)
	}
	return Part{Heading: "Where the money goes, " + v.Currency, Table: t, Charts: v.costCharts(), After: []string{
		fmt.Sprintf("Ware: value of what is scrapped. Burnt: margin of the good pieces whose place at the constraint (%s) bad ones took. Starved: margin of what is not cast while moulds are missing, what the works makes up later taken off. Field: pieces that come back.", v.Constraint),
	}}
}

// timeline is when things happen after the first bad cast.
func (v *master) timeline() Part {
	t := &Table{Columns: []Column{
		{Head: "Caught at", Text: true, Wide: 14}, {Head: "Seen"}, {Head: "Alarm"}, {Head: "Stop"}, {Head: "Proven"}, {Head: "Full"}, {Head: "Bad casts"}, {Head: "Moulds"}, {Head: "Sent out"}, {Head: "Back"}, {Head: "Good lost"},
	}}
	day := func(d float64) string {
		if math.IsNaN(d) {
			return missing
		}
		return fixed(d, 1)
	}
	for _, r := range v.Rows {
		t.add(inUse(r.Name, r.InUse), day(r.Times.Seen), day(r.Times.Alarm), day(r.Times.Stop), day(r.Times.Released), day(r.Times.Refilled),
			rounded(r.Casts), rounded(r.Moulds), rounded(r.Shipped), rounded(r.Returned), estimate(r.Lost))
	}
	return Part{Heading: "When: days after the first bad cast, medians, and what by then", Table: t, Charts: v.timeCharts(), After: []string{
		"Seen: first fault of a bad piece. Stop: bad moulds and cases broken, suspects sorted. Proven: new cases released. Full: a mould on every place. Casts, moulds and pieces sent out and back are means, the luck of inspection averaged out; days and good pieces lost are of the runs alone; lost are good pieces of all wares less than without the fault by the end of the run; faulty ones sold count as sold.",
	}}
}

// pulled is where ware is taken out today.
func (v *master) pulled() Part {
	t := &Table{Columns: []Column{{Head: "Section", Text: true}, {Head: "Pieces"}, {Head: "Value, " + v.Currency}}}
	for _, r := range v.Pulled {
		t.add(r.Section, fixed(r.Pieces, 1), rounded(r.Value))
	}
	return Part{Heading: "Where the ware is pulled under today's watch, means", Table: t}
}

// orders is which orders are hit.
func (v *master) orders() Part {
	t := &Table{Columns: []Column{{Head: "Order", Text: true, Wide: 16}}}
	for _, r := range v.Rows {
		t.Columns = append(t.Columns, Column{Head: inUse(r.Name, r.InUse)})
	}
	for _, o := range v.Orders {
		cells := []string{o.Name}
		for _, d := range o.Days {
			cells = append(cells, fixed(d, 1))
		}
		t.add(cells...)
	}
	return Part{Heading: "Orders: days later than without the fault, means", Table: t}
}

// years weighs gates against what they cost to run.
func (v *master) years() Part {
	t := &Table{Columns: []Column{{Head: "Watch", Text: true, Wide: 20}, {Head: "To run"}, {Head: "Faults"}, {Head: "Sum"}, {Head: "From"}}}
	for _, r := range v.Rows {
		even := missing
		if !math.IsNaN(r.Even) {
			even = plain(r.Even)
		}
		t.add(inUse(r.Name, r.InUse), rounded(r.Running), rounded(r.Year-r.Running), rounded(r.Year), even)
	}
	return Part{Heading: fmt.Sprintf("A year at %s, %s", faultsYear(v.PerYear), v.Currency), Table: t, After: []string{
		"To run: inspection, upkeep, good ware thrown away, false alarms. From: faults a year from which the gate is worth more than complaints alone.",
	}}
}

// stepsShown is how many fractions are shown of one gate: the best and those
// beside it.
const stepsShown = 3

// steps is what changing today's watch is worth.
func (v *master) steps() Part {
	t := &Table{Columns: []Column{
		{Head: "Gate", Text: true, Wide: 14}, {Head: "Now"}, {Head: "Then"}, {Head: "Saves on a fault"}, {Head: "Worst 5 %"}, {Head: "Costs/yr"}, {Head: "Gains a year"}, {Head: "From"},
	}}
	var notes []string
	shown := map[string]int{}
	for _, s := range v.Steps {
		if shown[s.Gate]++; shown[s.Gate] > stepsShown {
			continue
		}
		if shown[s.Gate] == 1 {
			notes = append(notes, fmt.Sprintf("%s: %s of what a fault costs no fraction removes, only an earlier gate; the closed form would inspect %s.", s.Gate, rounded(s.Floor), ofHundred(s.Formula)))
		}
		even := missing
		if !math.IsNaN(s.Even) {
			even = plain(s.Even)
		}
		t.add(s.Gate, ofHundred(s.From), ofHundred(s.To), estimate(s.Saves), rounded(s.Tail), rounded(s.Running), estimate(s.Year), even)
	}
	return Part{Heading: "What a change of today's watch is worth, " + v.Currency, Table: t, Charts: v.stepCharts(),
		After: append([]string{fmt.Sprintf("One change at a time, the best first, at %s; the best %d fractions of each gate. Now, then: share inspected. Worst 5 %%: by which their mean is less. From: faults a year from which it pays. Chosen and valued on the same histories, so the first looks a little better than it is; the sentence at the top is from fresh ones.", faultsYear(v.PerYear), stepsShown)}, notes...)}
}

// traces is what marks on the ware are worth.
func (v *master) traces() Part {
	t := &Table{Columns: []Column{
		{Head: "Known", Text: true, Wide: 8}, {Head: "Alarm at", Text: true}, {Head: "Cost of a fault"}, {Head: "Saves"}, {Head: "Works"}, {Head: "Store"}, {Head: "Out"}, {Head: "Good"},
	}}
	for _, r := range v.Traces {
		saves := ""
		if r.Level != "none" {
			saves = estimate(r.Saves)
		}
		t.add(inUse(r.Level, r.InUse), fmt.Sprintf("%d by %s", r.Faults, r.By), estimate(r.Cost), saves, rounded(r.Works), rounded(r.Store), rounded(r.Shipped), rounded(r.Good))
	}
	p := Part{Heading: "What it is worth to know of a piece, " + v.Currency, Table: t}
	if len(v.Traces) > 0 {
		p.After = []string{fmt.Sprintf("Today's watch on the same histories. Faults are counted by whatever the marks allow that costs least; how many make an alarm is set so that good ware raises no more than %s false alarms a year. Suspects in works, in store and out are those at the stop of today's row; good: of those in works and store.", plain(v.Traces[0].Limit))}
	}
	return p
}

// checks are the inspection and the pilot firing before a release.
func (v *master) checks() Part {
	t := &Table{Columns: []Column{{Head: "Before the release", Text: true}, {Head: "Finds"}, {Head: "Saves on a fault"}, {Head: "Costs a year"}, {Head: "Gains a year"}, {Head: "From"}}}
	for _, c := range []struct {
		name string
		of   *decision.CheckWorth
	}{{"inspection of the tool", v.Release}, {"pilot firing", v.Pilot}} {
		if c.of != nil {
			t.add(c.name, ofHundred(c.of.Finds), rounded(c.of.Saves), rounded(c.of.Running), rounded(c.of.Year), plain(c.of.Even))
		}
	}
	return Part{Heading: "Checks before a tool is released, each on today's watch, " + v.Currency, Table: t,
		After: []string{"From: faults a year from which it pays."}}
}

// byHand holds the simulation against the estimate by hand.
func (v *master) byHand() Part {
	t := &Table{Columns: []Column{{Head: "Caught at", Text: true, Wide: 14}, {Head: "Days to gate"}, {Head: "Casts by hand"}, {Head: "simulated"}, {Head: "Cost by hand"}, {Head: "simulated"}}}
	for _, r := range v.Rows {
		if !math.IsNaN(r.Hand.Cost) {
			t.add(r.Name, fixed(r.Hand.Lag, 1), rounded(r.Hand.Casts), rounded(r.Casts), rounded(r.Hand.Cost), estimate(r.Cost))
		}
	}
	return Part{Heading: "By hand", Table: t, After: []string{
		"By hand: the fault spreads evenly from the first mould on, casts come every day of the week alike, a piece is worth what it is at the gate, and moulds are missing from the stop until the shop has poured them all. The days to the gate are those simulated.",
	}}
}

// limits says what the answer does not know.
func (v *master) limits() Part {
	return Part{Heading: "What this does not know", Text: dashed([]string{
		"Rates of faults, what gates find and how customers complain are as given; hardly anybody measures them. See at what rate the advice turns.",
		"Inspecting takes money here, not hands; sorting suspects takes no time. Where inspectors are short the white and fired gates cost more than told.",
		"Other gates and fractions are replayed on the history that only complaints stopped; what is starved in recovery is then read off the moulds broken in the simulated rows.",
		"Pieces taken out for the fault are counted, not judged: whether ware may be sold is for the works and the rules that bind it.",
	})}
}

// faultsYear says a rate.
func faultsYear(rate float64) string {
	if rate == 1 {
		return "one such fault a year"
	}
	return plain(rate) + " such faults a year"
}
