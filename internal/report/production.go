package report

import (
	"fmt"
	"strings"
	"time"

	"potbank/internal/experiment"
)

// perWare are, from the mould to the pallet, the columns of the production table that have a measure by ware.
var perWare = []struct{ prefix, head string }{
	{"cast.", "Cast"},
	{"packed.", "Good"},
	{"seconds.", "Seconds"},
	{"yield.", "Yield, %"},
}

// production shows good pieces by product.
func (l *layout) production() Part {
	t := &Table{Columns: []Column{{Head: "Pieces a week", Text: true}}}
	var prefixes []string
	for _, c := range perWare {
		if len(l.group(c.prefix)) > 0 {
			t.Columns = append(t.Columns, Column{Head: c.head})
			prefixes = append(prefixes, c.prefix)
		}
	}
	for _, ware := range l.wares() {
		cells := []string{ware}
		for _, prefix := range prefixes {
			cells = append(cells, l.cell(prefix+ware))
		}
		t.add(cells...)
	}
	return Part{Heading: "Good pieces by product", Table: t, Charts: l.outputCharts()}
}

// wares returns the wares that are packed or cast, the total last.
func (l *layout) wares() []string {
	var wares []string
	total := ""
	for _, f := range l.a.Group("packed.") {
		ware := strings.TrimPrefix(f.Name, "packed.")
		if ware == "total" {
			total = ware
			continue
		}
		wares = append(wares, ware)
	}
	if total != "" {
		wares = append(wares, total)
	}
	return wares
}

// orders shows when each order is finished: dates, as a planner promises them,
// each with the doubt that comes from the number of replications.
func (l *layout) orders() Part {
	t := &Table{Columns: []Column{{Head: "Finished by", Text: true}, {Head: "Date", Text: true}, {Head: "95 % interval of that date", Text: true}}}
	p := Part{Heading: "Orders", Table: t}
	note := ""
	for _, o := range l.a.Orders {
		t.group(fmt.Sprintf("%s: %s %s", o.Name, count(int64(o.Want)), o.Ware))
		for _, d := range o.Dates {
			t.add(fmt.Sprintf("%g of 100 cases", 100*d.P), when(d.At), between(d))
			if d.Note != "" {
				note = d.Note // the latest date needs the most replications
			}
		}
		p.After = append(p.After, promise(o, l.a.Weeks)...)
	}
	p.After = append(p.After, sentences(note)...)
	if d := l.a.Doubt; d != nil && len(t.Rows) > 0 {
		p.After = append(p.After, fmt.Sprintf("These dates allow for luck and for what is not known of the inputs: %d works drawn, %d runs of each.", d.Draws, d.Runs))
	}
	return p
}

// promise says in words how likely an order is to be in time, and how it ended.
func promise(o experiment.Order, weeks int) []string {
	var s []string
	if !o.Due.IsZero() {
		chance := fmt.Sprintf("%.0f %%", 100*o.InTime.Value)
		if o.InTime.HasInterval() {
			chance += fmt.Sprintf(" (95 %% interval %.0f to %.0f %%)", 100*o.InTime.Low, 100*o.InTime.High)
		}
		s = append(s, fmt.Sprintf("%s is finished by %s with a probability of %s.", o.Name, o.Due.Format("Mon 2 January 2006"), chance))
	}
	if o.Finished < o.Of {
		s = append(s, fmt.Sprintf("It was not finished within the run of %d weeks in %d of %d replications; on average %s good pieces were ready at the end.", weeks, o.Of-o.Finished, o.Of, plain(o.Good)))
	}
	if o.Finished > 0 && o.WorkDays >= 0 {
		s = append(s, fmt.Sprintf("It takes %.1f working days on average.", o.WorkDays))
	}
	if len(s) == 0 {
		return nil
	}
	return []string{strings.Join(s, " ")}
}

// when prints a date as a planner says it.
func when(w experiment.When) string {
	if w.Beyond {
		return "not within the run"
	}
	return w.Civil.Format("Mon 2 Jan 2006 15:04")
}

// between prints the interval of a date.
func between(d experiment.OrderDate) string {
	if !d.HasInterval {
		return missing
	}
	return day(d.Low) + " to " + day(d.High)
}

// day prints the date of an instant. The ends of an interval need no time of
// day.
func day(w experiment.When) string {
	if w.Beyond {
		return "beyond the run"
	}
	return w.Civil.Format(time.DateOnly)
}

// stock shows the pieces in the works by section, over all hours and, where
// the works names its working time, over that: at night and on Sundays ware
// stands where the day left it.
func (l *layout) stock() Part {
	t := &Table{Columns: []Column{{Head: "Section", Text: true}, {Head: "Pieces, all hours"}}}
	working := len(l.group("wip_working.")) > 0
	if working {
		t.Columns = append(t.Columns, Column{Head: "Working time"})
	}
	sections := l.group("wip.")
	for _, f := range totalLast(sections, "wip.total") {
		section := strings.TrimPrefix(f.Name, "wip.")
		cells := []string{spoken(section), estimate(f.Estimate)}
		if working {
			cells = append(cells, l.cell("wip_working."+section))
		}
		t.add(cells...)
	}
	return Part{Heading: "Ware in the works, mean", Table: t, Charts: l.stockCharts()}
}

// totalLast moves the total to the end.
func totalLast(figures []experiment.Figure, total string) []experiment.Figure {
	var parts, whole []experiment.Figure
	for _, f := range figures {
		if f.Name == total {
			whole = append(whole, f)
		} else {
			parts = append(parts, f)
		}
	}
	return append(parts, whole...)
}

// spoken turns a name made for programs into words.
func spoken(name string) string {
	return strings.NewReplacer("_", " ", ".", ", ").Replace(name)
}

// losses shows what is lost, by stage and cause. What never occurred is left
// out.
func (l *layout) losses() Part {
	t := &Table{Columns: []Column{{Head: "Stage and cause", Text: true}, {Head: "Lost"}, {Head: "Unit", Text: true}}}
	var stages []string
	causes := map[string][]experiment.Figure{}
	for _, f := range measured(l.group("lost.")) {
		stage, _, _ := strings.Cut(strings.TrimPrefix(f.Name, "lost."), ".")
		if _, seen := causes[stage]; !seen {
			stages = append(stages, stage)
		}
		causes[stage] = append(causes[stage], f)
	}
	for _, stage := range stages {
		named := false
		for _, f := range causes[stage] {
			if f.Value == 0 {
				continue
			}
			if !named {
				t.group(spoken(stage))
				named = true
			}
			t.add(indent+spoken(strings.TrimPrefix(f.Name, "lost."+stage+".")), estimate(f.Estimate), f.Unit)
		}
	}
	return Part{Heading: "Losses by stage and cause", Table: t, Charts: l.lossCharts()}
}

// again shows what is fired again, what slips through and what wears out.
func (l *layout) again() Part {
	t := &Table{Columns: []Column{{Head: "Refires, tests, moulds", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}
	for _, line := range []struct{ name, words string }{
		{"refires.total", "pieces sent to be fired again"},
		{"firings.per_good", "firings for one good piece"},
		{"escaped", "faults of function that no test found"},
	} {
		if f, ok := l.figure(line.name); ok {
			t.add(line.words, estimate(f.Estimate), f.Unit)
		}
	}
	for _, f := range l.group("moulds.worn.") {
		t.add("moulds worn out, "+strings.TrimPrefix(f.Name, "moulds.worn."), estimate(f.Estimate), f.Unit)
	}
	return Part{Heading: "Refires and moulds", Table: t}
}

// indent sets a row under its group.
const indent = "  "

// misses are the ways of missing the punching window.
var misses = []struct{ name, head string }{
	{"early", "too early"},
	{"late", "too late"},
	{"too_dry", "too dry to punch"},
}

// windows shows how much ware missed its punching window, by ware.
func (l *layout) windows() Part {
	t := &Table{Columns: []Column{{Head: "Ware", Text: true}}}
	var kinds []string
	for _, m := range misses {
		if f, ok := l.a.Figure("window." + m.name); ok {
			t.Columns = append(t.Columns, Column{Head: m.head + ", " + f.Unit})
			kinds = append(kinds, m.name)
		}
	}
	if kinds == nil {
		return Part{}
	}
	for _, ware := range l.wares() {
		suffix := "." + ware
		if ware == "total" {
			suffix = ""
		}
		cells, any := []string{ware}, false
		for _, k := range kinds {
			cell := l.cell("window." + k + suffix)
			any = any || cell != ""
			cells = append(cells, cell)
		}
		if any {
			t.add(cells...)
		}
	}
	return Part{Heading: "Missed punching windows", Table: t}
}
