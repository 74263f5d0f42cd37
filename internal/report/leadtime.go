package report

import (
	"strings"

	"potbank/internal/experiment"
)

// leadWords are the lines of the lead time as a planner would say them.
var leadWords = map[string]string{
	"mean":         "mean",
	"p50":          "half of the pieces take at most",
	"p80":          "80 of 100 pieces take at most",
	"p95":          "95 of 100 pieces take at most",
	"working_days": "mean, in working days of 24 h",
	"working":      "being worked on, dried or fired",
	"place":        "waiting for a place, a trolley or a car",
	"crew":         "waiting for hands that are on shift",
	"window":       "waiting for the punching window to open",
	"batch":        "waiting for a trolley, car or load to fill up",
	"off_shift":    "waiting while the hands it needs are off shift",
	"refire":       "sent back for another fire, until sorted again",
}

// leadTime shows how long a single piece takes and where that time goes. It is
// said that a single piece is meant: a whole order takes longer. The
// parts are printed so that they add up to the mean as printed.
func (l *layout) leadTime() Part {
	t := &Table{Columns: []Column{{Head: "A single piece, filling to packing", Text: true}, {Head: "Lead time"}, {Head: "Unit", Text: true}}}
	for _, f := range l.group("lead_time.") {
		t.add(lead(f.Name), estimate(f.Estimate), f.Unit)
	}
	parts := measured(l.group("lead."))
	if len(parts) > 0 {
		t.group("where the mean goes")
		values := make([]float64, len(parts))
		for i, f := range parts {
			values[i] = f.Value
		}
		printed, total := addUp(values, l.leadDecimals())
		for i, f := range parts {
			t.add(indent+lead(f.Name), printed[i], f.Unit)
		}
		t.add(indent+"together", total, parts[0].Unit)
	}
	return Part{Heading: "Lead time", Table: t, Charts: append(l.leadHistogram(), l.leadCharts(parts)...)}
}

// leadDecimals is the precision of the mean lead time, so that its parts claim
// no more than the whole. One decimal of an hour is as fine as anyone plans.
func (l *layout) leadDecimals() int {
	f, _ := l.a.Figure("lead_time.mean")
	if f.HasInterval() {
		return min(1, decimalsFor(f.HalfWidth()))
	}
	return 1
}

// lead gives the words of a lead-time measure.
func lead(name string) string {
	_, part, _ := strings.Cut(name, ".")
	if words, ok := leadWords[part]; ok {
		return words
	}
	return spoken(part)
}

// measured leaves out what there was nothing to measure of.
func measured(figures []experiment.Figure) []experiment.Figure {
	var some []experiment.Figure
	for _, f := range figures {
		if f.Value == f.Value {
			some = append(some, f)
		}
	}
	return some
}
