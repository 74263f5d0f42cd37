package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/proof"
)

// proofTopics names the letters of the checks, in their order.
var proofTopics = []struct{ letter, name string }{
	{"L", "Exact laws of every run"},
	{"A", "Queues, lines and networks"},
	{"B", "Laws of factories"},
	{"C", "Output analysis"},
	{"D", "Random numbers and laws of chance"},
	{"E", "Acceptance sampling and late detection"},
	{"F", "Failures and renewals"},
	{"G", "Moist air, drying, casting, shrinkage"},
	{"H", "Fuel and firing"},
	{"I", "Calendars"},
	{"J", "Learning and the cost of faults"},
	{"K", "Whole works by hand"},
}

// ProofCaution stands at the foot of a proof.
const ProofCaution = "This verifies arithmetic; it certifies nothing. That the program agrees with published values does not " +
	"make a scenario a picture of your works: that is for your own records to show."

// ProofDocument lays out a proof: the count, then every law and check by topic,
// and how the figures are judged. In full, every figure of a check is shown with
// its source; else the first.
func ProofDocument(r *proof.Report, full bool) Document {
	d := Document{Title: "Verification", Lead: proofLead(r)}
	checks := slices.Concat(r.Laws, r.Checks)
	d.add(notHeld(checks))
	for _, topic := range proofTopics {
		d.add(proofTopic(topic.letter, topic.name, checks, full))
	}
	d.add(
		Part{Heading: "How to read it", Text: proofReading(full)},
		Part{Heading: "Caution", Text: []string{ProofCaution}},
	)
	return d
}

// proofLead counts what held, and says what that is worth: nothing broken is a
// bound and not a proof.
func proofLead(r *proof.Report) []string {
	held, of := r.Held()
	checks := slices.Concat(r.Laws, r.Checks)
	text := fmt.Sprintf("%d of %d checks held", held, of)
	if out := len(checks) - of; out > 0 {
		text += fmt.Sprintf("; %d more do not apply to this program, and say why", out)
	}
	random := 0
	for _, c := range r.Checks {
		for _, f := range c.Figures {
			if f.Random {
				random++
			}
		}
	}
	lead := []string{text + "."}
	if random > 0 {
		lead = append(lead, fmt.Sprintf("%d figures are of chance, each held by an interval of 99.9 %%: with other seeds about %.1g of them would miss without a fault. The seeds are fixed.", random, float64(random)/1000))
	}
	if r.Runs > 0 {
		lead = append(lead, lawsKept(r))
	}
	return lead
}

// lawsKept says how often the exact laws were checked, and what share of runs
// could break one all the same. Source of 3/n: the "rule of three", the upper
// limit of a probability after n trials without an event, 1 - 0.05^(1/n).
func lawsKept(r *proof.Report) string {
	text := fmt.Sprintf("The laws are %s equalities of whole numbers in %d runs of the examples", count(r.Equalities), r.Runs)
	for i := range r.Laws {
		if !r.Laws[i].Held() {
			return text + "; not all held."
		}
	}
	return text + fmt.Sprintf("; none was broken. With %d clean trials, fewer than %.1f %% of such runs break one (3/n, with 95 %% confidence).", r.Runs, math.Ceil(3000/float64(r.Runs))/10)
}

// notHeld lists what failed before anything else.
func notHeld(checks []proof.Check) Part {
	p := Part{Heading: "Not held"}
	for i := range checks {
		c := &checks[i]
		for _, f := range c.Figures {
			if !f.Held {
				p.Text = append(p.Text, fmt.Sprintf("- %s %s, %s: %s, expected %s (%s)", c.ID, c.Topic, f.Name, f.Got, f.Want, c.Path))
			}
		}
	}
	return p
}

// proofTopic lays out the checks of one letter.
func proofTopic(letter, name string, checks []proof.Check, full bool) Part {
	t := &Table{Columns: []Column{
		{Head: "Id", Text: true}, {Head: "Check", Text: true, Wide: 22}, {Head: "Figure", Text: true, Wide: 34},
		{Head: "Expected", Text: true}, {Head: "Found", Text: true}, {Head: "Held", Text: true}, {Head: "Power", Text: true},
	}}
	if full { // values are not cut, however long
		t.Columns[3].Wide, t.Columns[4].Wide = 24, 24
	}
	held, of := 0, 0
	for i := range checks {
		c := &checks[i]
		if !strings.HasPrefix(c.ID, letter) {
			continue
		}
		if c.Applies() {
			of++
			if c.Held() {
				held++
			}
		}
		t.check(c, full)
	}
	p := Part{Heading: fmt.Sprintf("%s: %d of %d held", name, held, of), Table: t}
	if of == 0 {
		p.Heading = name + ": none applies"
	}
	if full {
		p.After = sourcesOf(letter, checks)
	}
	return p
}

// check appends a check: its first figure, or all of them.
func (t *Table) check(c *proof.Check, full bool) {
	if !c.Applies() {
		t.add(c.ID, c.Topic, "not applicable: "+c.Reason, "", "", "", "")
		return
	}
	if !full {
		f := first(c)
		t.add(c.ID, c.Topic, firstName(c), brief(f.Want), brief(f.Got), yesNo(c.Held()), c.Power())
		return
	}
	for i, f := range c.Figures {
		id, topic, power := "", "", ""
		if i == 0 {
			id, topic, power = c.ID, c.Topic, c.Power()
		}
		t.add(id, topic, f.Name, f.Want, unbroken(f.Got), yesNo(f.Held), power)
	}
}

// first is the figure that stands for a check: the first that did not hold, or
// the first.
func first(c *proof.Check) proof.Figure {
	for _, f := range c.Figures {
		if !f.Held {
			return f
		}
	}
	return c.Figures[0]
}

// firstName names the figure that stands for a check, and how many more there
// are. A law has said its name already.
func firstName(c *proof.Check) string {
	name := first(c).Name
	if name == c.Topic {
		name = c.Quantity
	}
	if more := len(c.Figures) - 1; more > 0 {
		name += fmt.Sprintf(" (and %d more)", more)
	}
	return name
}

// unbroken keeps a value and its half-width on one line.
func unbroken(text string) string {
	return strings.NewReplacer(" ± ", "\u00a0±\u00a0", " %", "\u00a0%").Replace(text)
}

// briefly is the number of characters of a value that the short table shows.
const briefly = 20

// brief cuts what is long.
func brief(text string) string {
	if runes := []rune(text); len(runes) > briefly {
		return string(runes[:briefly-1]) + "…"
	}
	return text
}

// yesNo is how a table tells what is so.
func yesNo(held bool) string {
	if held {
		return "yes"
	}
	return "NO"
}

// sourcesOf tells where the values of a topic come from, and what was left out.
func sourcesOf(letter string, checks []proof.Check) []string {
	var texts []string
	for i := range checks {
		c := &checks[i]
		if !strings.HasPrefix(c.ID, letter) || !c.Applies() {
			continue
		}
		text := fmt.Sprintf("- %s: %s (%s). Run through: %s.", c.ID, strings.TrimSuffix(c.Source, "."), c.Known, c.Path)
		if c.Note != "" {
			text += " Note: " + c.Note + "."
		}
		texts = append(texts, text)
	}
	return texts
}

// proofReading explains the columns.
func proofReading(full bool) []string {
	texts := []string{
		"Found is the figure and half its interval. A figure of chance holds if the interval covers the expected value and is narrow: at most 1 % to either side, 2 % where the load is 0.9 or more, unless the check says otherwise. A figure without chance is equal to the digits printed.",
		"Power says whether the check would have rejected a value 5 % off: exact (there is no chance in it), yes, or from which error on.",
	}
	if !full {
		texts = append(texts, "Every figure, with sources: potbank proof --figures, for some checks alone with --only; as data: --json.")
	}
	return texts
}
