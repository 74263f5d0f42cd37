package report

import (
	"fmt"
	"strings"
)

// energy shows fuel and carbon: first what a good piece takes, since that is
// what refires and scrap drive up, then the week by kiln and dryer, which ties
// to the gas bill.
func (l *layout) energy() Part {
	t := &Table{Columns: []Column{{Head: "Fuel and carbon", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}
	for _, line := range []struct{ name, words string }{
		{"energy.per_good", "fuel per good piece"},
		{"co2.per_good", "CO2 of that fuel per good piece"},
		{"fuel.week", "fuel a week, kilns and dryers"},
	} {
		if f, ok := l.figure(line.name); ok {
			t.add(line.words, estimate(f.Estimate), f.Unit)
		}
	}
	for _, prefix := range []string{"energy.", "co2.", "fuel."} {
		for _, f := range l.a.Group(prefix) {
			if !l.shown[f.Name] {
				l.shown[f.Name] = true
				t.add(indent+strings.TrimPrefix(f.Name, prefix), estimate(f.Estimate), f.Unit)
			}
		}
	}
	return Part{Heading: "Fuel", Table: t, Charts: l.energyCharts()}
}

// cost shows the direct cost of a good piece, line by line, and what it leaves
// of the sales.
func (l *layout) cost() Part {
	p := Part{Heading: "Direct cost", Table: &Table{Columns: []Column{{Head: "Cost of a good piece", Text: true}, {Head: "Value"}, {Head: "Unit", Text: true}}}}
	// The weekly amounts are the same sums over another divisor. They are left to
	// the JSON document: two columns of money invite adding up the wrong one.
	l.group("cost.")
	whole, ok := l.figure("cost.per_good")
	if ok && whole.Value == 0 {
		return Part{Heading: p.Heading, Text: []string{"The scenario gives no prices, so there is no cost per good piece."}}
	}
	for _, line := range l.a.CostLines {
		if line.Value != 0 {
			p.Table.add(spoken(strings.TrimPrefix(line.Name, "cost.")), estimate(line.Estimate), line.Unit)
		}
	}
	if ok {
		p.Table.add("together", estimate(whole.Estimate), whole.Unit)
	}
	if f, ok := l.figure("contribution"); ok && f.Value == f.Value {
		p.After = []string{fmt.Sprintf("Sales at works prices less direct cost leave %s %s a week.", estimate(f.Estimate), money(f.Unit))}
	}
	return p
}
