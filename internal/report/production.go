package report

import (
	"fmt"
	"strings"
	"time"

	"potbank/internal/experiment"
)

// perWare are the columns of the production table that have a measure by ware.
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
	return Part{Heading: "Good pieces by product", Table: t}
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

// orders shows when each order is finished.
func (l *layout) orders() Part {
	t := &Table{Columns: []Column{{Head: "Finished by", Text: true}, {Head: "Date", Text: true}, {Head: "95 % interval of that date", Text: true}}}
	p := Part{Heading: "Orders", Table: t}
	notes := map[string]bool{}
	for _, o := range l.a.Orders {
		t.group(fmt.Sprintf("%s: %s %s", o.Name, count(int64(o.Want)), o.Ware))
		for _, d := range o.Dates {
			t.add(fmt.Sprintf("%g of 100 cases", 100*d.P), when(d.At), between(d))
			if d.Note != "" && !notes[d.Note] {
				notes[d.Note] = true
				p.After = append(p.After, d.Note)
			}
		}
		p.After = append(p.After, promise(o, l.a.Weeks)...)
	}
	return p
}

// promise says how likely an order is to be in time, and how it ended.
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
		s = append(s, fmt.Sprintf("It was not finished within the %d weeks in %d of %d replications; on average %s good pieces were ready at the end.", weeks, o.Of-o.Finished, o.Of, plain(o.Good)))
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

// day prints the date of an instant.
func day(w experiment.When) string {
	if w.Beyond {
		return "beyond the run"
	}
	return w.Civil.Format(time.DateOnly)
}

// stock shows the pieces in the works by section.
func (l *layout) stock() Part {
	t := &Table{Columns: []Column{{Head: "Section", Text: true}, {Head: "Pieces, mean of all hours"}}}
	l.rows(t, "wip.")
	return Part{Heading: "Ware in the works", Table: t}
}

// rows adds the measures under a prefix, one a row, the total last.
func (l *layout) rows(t *Table, prefix string) {
	var total *experiment.Figure
	for _, f := range l.group(prefix) {
		name := strings.TrimPrefix(f.Name, prefix)
		if name == "total" {
			total = &f
			continue
		}
		t.add(spoken(name), estimate(f.Estimate))
	}
	if total != nil {
		t.add("total", estimate(total.Estimate))
	}
}

// spoken turns a name made for programs into words.
func spoken(name string) string {
	return strings.NewReplacer("_", " ", ".", ", ").Replace(name)
}

// losses shows what is lost, by stage and cause.
func (l *layout) losses() Part {
	t := &Table{Columns: []Column{{Head: "Stage and cause", Text: true}, {Head: "Lost"}, {Head: "Unit", Text: true}}}
	stage := ""
	for _, f := range l.group("lost.") {
		if f.Value != f.Value {
			continue
		}
		s, cause, _ := strings.Cut(strings.TrimPrefix(f.Name, "lost."), ".")
		if cause == "" {
			t.add(spoken(s), estimate(f.Estimate), f.Unit)
			continue
		}
		if s != stage {
			stage = s
			t.group(spoken(s))
		}
		t.add(indent+spoken(cause), estimate(f.Estimate), f.Unit)
	}
	return Part{Heading: "Losses by stage and cause", Table: t}
}

// indent sets a row under its group.
const indent = "  "

// windows shows how much ware missed its punching window.
func (l *layout) windows() Part {
	words := map[string]string{
		"early":   "punched before it was stiff enough",
		"late":    "punched too dry, at a higher loss",
		"too_dry": "too dry to be punched at all",
	}
	t := &Table{Columns: []Column{{Head: "Ware that missed its punching window", Text: true}, {Head: "Share"}, {Head: "Unit", Text: true}}}
	for _, f := range l.group("window.") {
		name := strings.TrimPrefix(f.Name, "window.")
		if w, ok := words[name]; ok {
			name = w
		}
		t.add(spoken(name), estimate(f.Estimate), f.Unit)
	}
	return Part{Heading: "Missed windows", Table: t}
}
