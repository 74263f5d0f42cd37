package experiment

import "strings"

// costLines spreads the weekly lines of the direct cost over the good pieces:
// the ratio of the same sums as cost.per_good, so the lines add up to it. Names
// are those of the lines, cost.wages and so on. It is nil for a works without
// the measures.
func (st *study) costLines() []Figure {
	var pieces []float64
	unit := ""
	for i, g := range st.gauges {
		switch g.Name {
		case "packed.total":
			pieces = st.num[i]
		case "cost.per_good":
			unit = g.Unit
		}
	}
	if pieces == nil || unit == "" {
		return nil
	}
	var lines []Figure
	for i, g := range st.gauges {
		if strings.HasPrefix(g.Name, "cost.") && g.Name != "cost.per_good" {
			lines = append(lines, Figure{Name: g.Name, Unit: unit, Definition: g.Definition + ", for one A piece packed", Estimate: st.estimate(st.num[i], pieces)})
		}
	}
	return lines
}
