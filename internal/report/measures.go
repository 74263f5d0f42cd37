package report

import "potbank/internal/plant"

// MeasuresDocument lays out definitions and formulas of measures, in the order
// in which answers give them. A figure is worth no more than its definition: the
// same word means different things in two works, and in two departments of one.
func MeasuresDocument(measures []*plant.Measure) Document {
	d := Document{Title: "Measures"}
	t := &Table{Columns: []Column{{Head: "Measure, unit", Text: true, Wide: 28}, {Head: "Definition and formula", Text: true, Wide: 68}}}
	for _, m := range measures {
		name := m.Name
		if m.Unit != "" {
			name += ", " + m.Unit
		}
		if m.Headline {
			name += " *"
		}
		t.add(name, m.Definition)
		if m.Formula != "" {
			t.add("", "= "+m.Formula)
		}
	}
	d.add(Part{Table: t, After: []string{"* a headline measure: the precision of a study is judged on it."}})
	return d
}
