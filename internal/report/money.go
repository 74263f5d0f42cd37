package report

import (
	"strings"

	"potbank/internal/experiment"
)

// energy shows fuel and carbon.
func (l *layout) energy() Part {
	t := &Table{Columns: []Column{{Head: "Fuel and carbon", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}
	for _, line := range []struct{ name, words string }{
		{"energy.per_good", "fuel per good piece"},
		{"co2.per_good", "CO2 of that fuel per good piece"},
		{"gas.week", "fuel a week"},
	} {
		if f, ok := l.figure(line.name); ok {
			t.add(line.words, estimate(f.Estimate), f.Unit)
		}
	}
	for _, prefix := range []string{"energy.", "co2.", "gas."} {
		for _, f := range l.a.Group(prefix) {
			if !l.shown[f.Name] {
				l.shown[f.Name] = true
				t.add(spoken(f.Name), estimate(f.Estimate), f.Unit)
			}
		}
	}
	return Part{Heading: "Fuel", Table: t}
}

// cost shows the direct cost of a good piece, line by line.
func (l *layout) cost() Part {
	t := &Table{Columns: []Column{{Head: "Direct cost", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}
	var total *experiment.Figure
	for _, f := range l.group("cost.") {
		line := strings.TrimPrefix(f.Name, "cost.")
		if line == "per_good" {
			total = &f
			continue
		}
		t.add(spoken(line), estimate(f.Estimate), f.Unit)
	}
	if total != nil {
		t.add("together, per good piece", estimate(total.Estimate), total.Unit)
	}
	if l.free(total) {
		return Part{Heading: "Cost", Text: []string{"The scenario gives no prices, so there is no cost per good piece."}}
	}
	return Part{Heading: "Cost", Table: t}
}

// free tells whether no price was given at all.
func (l *layout) free(total *experiment.Figure) bool { return total != nil && total.Value == 0 }
