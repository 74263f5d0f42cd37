package report

import (
	"cmp"
	"slices"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// resources shows the time of each resource by state, one table for those that
// have the same states. The states exclude one another and add up to all hours
// of the week, printed so that they do.
func (l *layout) resources() []Part {
	var parts []Part
	var states [][]string
	for _, r := range l.a.Resources {
		i := slices.IndexFunc(states, func(s []string) bool { return slices.Equal(s, r.States) })
		if i < 0 {
			i = len(states)
			states = append(states, r.States)
			parts = append(parts, Part{Heading: kindOf(r), Table: stateTable(r.States)})
		}
		l.stateRow(parts[i].Table, r)
	}
	for i := range parts {
		parts[i].Table.drop(l.never(states[i]))
		parts[i].Charts = append(parts[i].Charts, l.stateChart(parts[i].Heading, states[i]))
	}
	parts = together(parts)
	if len(parts) > 0 {
		parts[0].Text = l.loadMeans()
	}
	return parts
}

// never tells, by column, in which states none of the resources with one list of
// states ever was. They are left out, so that the others have room; if all are, as
// before a run, none is.
func (l *layout) never(states []string) map[int]bool {
	out := map[int]bool{}
	for k, s := range states {
		was := false
		for _, r := range l.a.Resources {
			if f, ok := l.a.Figure("state." + r.Name + "." + s); ok && slices.Equal(r.States, states) {
				was = was || f.Value != 0
			}
		}
		if !was {
			out[k+stateColumn] = true
		}
	}
	if len(out) == len(states) {
		return nil
	}
	return out
}

// together puts tables under one heading next to each other, in the order in
// which the headings first appear.
func together(parts []Part) []Part {
	first := map[string]int{}
	for i, p := range parts {
		if _, seen := first[p.Heading]; !seen {
			first[p.Heading] = i
		}
	}
	slices.SortStableFunc(parts, func(a, b Part) int { return cmp.Compare(first[a.Heading], first[b.Heading]) })
	for i := len(parts) - 1; i > 0; i-- {
		if parts[i].Heading == parts[i-1].Heading {
			parts[i].Heading = ""
		}
	}
	return parts
}

// loadMeans says what the load of a resource is, in the plant's own words.
func (l *layout) loadMeans() []string {
	text := "The states are shares of all hours, in %, and add up to 100."
	if loads := l.a.Group("load."); len(loads) > 0 && loads[0].Formula != "" {
		formula, _, _ := strings.Cut(loads[0].Formula, "; UTILISATION") // the name in the standard is for potbank measures
		text = "Load, in %: " + formula + ". " + text
	}
	return []string{text}
}

// kinds are the headings of the tables of resources.
var kinds = map[string]string{"crew": "crews", "bench": "benches", "press": "presses", "dryer": "dryers", "kiln": "kilns"}

// kindOf gives the heading of a table of resources.
func kindOf(r plant.Resource) string {
	if many, ok := kinds[r.Kind]; ok {
		return "Time by state: " + many
	}
	return "Time by state: " + r.Kind
}

// stateColumn is the column of the first state.
const stateColumn = 2

// stateTable is the empty table for one list of states.
func stateTable(states []string) *Table {
	t := &Table{Columns: []Column{{Head: "Resource", Text: true}, {Head: "Load"}}}
	for _, s := range states {
		t.Columns = append(t.Columns, Column{Head: spoken(s)})
	}
	return t
}

// stateRow adds one resource. Intervals are left out: a row is read across, as
// shares of one whole, and thirty half-widths would bury it.
func (l *layout) stateRow(t *Table, r plant.Resource) {
	values := make([]float64, len(r.States))
	for i, s := range r.States {
		f, ok := l.figure("state." + r.Name + "." + s)
		if !ok || f.Value != f.Value {
			return
		}
		values[i] = f.Value
	}
	printed, _ := addUp(values, 1)
	cells := []string{r.Name, ""}
	if f, ok := l.figure("load." + r.Name); ok {
		cells[1] = oneDecimal(f)
	}
	t.add(append(cells, printed...)...)
}

// oneDecimal prints a percentage as the states beside it are.
func oneDecimal(f experiment.Figure) string {
	if f.Value != f.Value {
		return missing
	}
	return fixed(f.Value, 1)
}

// kilnStates are the columns of the kiln table; the last is in loads a week,
// the others in % of all cars or loads.
var kilnStates = []string{"full", "part", "empty", "firings"}

// kilns shows how full the cars and loads went in. Fuel is burnt for an empty
// car as for a full one, so this is where a kiln earns or loses its money.
func (l *layout) kilns() Part {
	t := &Table{Columns: []Column{{Head: "Cars or loads", Text: true}, {Head: "full, %"}, {Head: "part full, %"}, {Head: "empty, %"}, {Head: "fired a week"}}}
	var kilns []string
	for _, f := range l.group("kiln.") {
		rest := strings.TrimPrefix(f.Name, "kiln.")
		at := strings.LastIndex(rest, ".")
		if at < 0 || !slices.Contains(kilnStates, rest[at+1:]) {
			continue
		}
		if !slices.Contains(kilns, rest[:at]) {
			kilns = append(kilns, rest[:at])
		}
	}
	for _, k := range kilns {
		cells := []string{k}
		for _, s := range kilnStates {
			cells = append(cells, l.cell("kiln."+k+"."+s))
		}
		t.add(cells...)
	}
	return Part{Heading: "Kiln cars and loads", Table: t}
}

// kilnStores shows what stands before the kilns that push without end when the
// glazers go home for their longest rest: what they live on until fresh ware
// comes, and the cars that it takes.
func (l *layout) kilnStores() Part {
	t := &Table{Columns: []Column{{Head: "Kiln", Text: true}, {Head: "held, loads"}, {Head: "held, pieces"}, {Head: "least in the week, loads"}, {Head: "cars in use"}}}
	for _, f := range l.a.Group("kiln.") {
		if k, ok := strings.CutSuffix(f.Name, ".weekend.held"); ok {
			t.add(strings.TrimPrefix(k, "kiln."), estimate(f.Estimate), l.cell(k+".weekend.pieces"), l.cell(k+".weekend.least"), l.cell(k+".cars"))
		}
	}
	return Part{Heading: "Store before the kiln at the weekly rest of glazing", Table: t}
}
