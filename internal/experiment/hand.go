package experiment

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/plant"
)

// HandFigure is a measure estimated by hand from rates alone, before any run.
type HandFigure struct {
	Name, Unit string
	Value      float64
	How        string // the calculation in words
	// Explained says why the simulation differs, one or two sentences; empty
	// where it does not differ enough to matter.
	Explained string
}

// A difference matters when it is larger than chance (two half-widths) and
// than a planner would care about (5 %).
const (
	halfWidthsApart = 2
	shareApart      = 0.05
)

// compareByHand sets the static estimate beside the simulation.
func compareByHand(a *Answer, hand *plant.Hand) []HandFigure {
	var all []HandFigure
	for _, v := range hand.Values {
		h := HandFigure{Name: v.Name, Unit: v.Unit, Value: v.Value, How: v.How}
		if f, ok := a.Figure(v.Name); ok && apart(f, v.Value) {
			h.Explained = a.explain(f, v.Value)
		}
		all = append(all, h)
	}
	return all
}

// apart tells whether a difference matters.
func apart(f Figure, byHand float64) bool {
	gap := math.Abs(f.Value - byHand)
	if math.IsNaN(gap) || gap <= shareApart*math.Abs(byHand) {
		return false
	}
	return !f.HasInterval() || gap > halfWidthsApart*f.HalfWidth()
}

// ignored says what the estimate by hand leaves out, by the first part of the
// measure's name.
var ignored = []struct{ prefix, what string }{
	{"packed.", "The estimate by hand takes every department to work whenever it is open and no piece to wait"},
	{"seconds.", "The estimate by hand takes every department to work whenever it is open and no piece to wait"},
	{"cast.", "The estimate by hand takes every mould place to be filled as planned"},
	{"wip.", "The estimate by hand counts working and fixed times only, and no queue"},
	{"lead_time.", "The estimate by hand adds working and fixed times, and no wait for a crew, a shift, a window or a full load"},
	{"energy.", "The estimate by hand takes every car and load to be full"},
	{"co2.", "The estimate by hand takes every car and load to be full"},
	{"gas.", "The estimate by hand takes every car and load to be full"},
	{"cost.", "The estimate by hand spreads the fixed costs over its own output"},
	{"kiln.", "The estimate by hand takes ware to be at the kiln whenever a car or load is due"},
	{"load.", "The estimate by hand takes work to arrive evenly"},
}

// explain says why a figure differs from the estimate by hand: what the
// estimate leaves out, and how much of that the run saw.
func (a *Answer) explain(f Figure, byHand float64) string {
	what := "The estimate by hand leaves out queues, shift ends, windows and part loads"
	for _, i := range ignored {
		if strings.HasPrefix(f.Name, i.prefix) {
			what = i.what
			break
		}
	}
	text := fmt.Sprintf("Simulated is %s: %s.", offBy(f.Value, byHand), lowerFirst(what))
	if evidence := a.evidence(); len(evidence) > 0 {
		text += " In the run " + join(evidence) + "."
	}
	return text
}

// offBy says by how much a value lies above or below another, in per cent.
func offBy(value, reference float64) string {
	if reference == 0 {
		return fmt.Sprintf("%.4g where 0 was reckoned", value)
	}
	share := 100 * (value - reference) / math.Abs(reference)
	if share < 0 {
		return fmt.Sprintf("%.0f %% lower", -share)
	}
	return fmt.Sprintf("%.0f %% higher", share)
}

// evidenceFrom is the share, in per cent, above which a loss of time or ware
// is worth a clause.
const evidenceFrom = 2

// evidence lists the largest of each kind of trouble that a static estimate
// cannot see: windows missed, cars part-filled or empty, places blocked or
// starved.
func (a *Answer) evidence() []string {
	var found []string
	if late := a.shareSum("window.late", "window.too_dry"); late >= evidenceFrom {
		found = append(found, fmt.Sprintf("%.1f %% of the ware was punched too late or not at all", late))
	}
	if name, share := a.largest("kiln.", ".empty"); share >= evidenceFrom {
		found = append(found, fmt.Sprintf("%.1f %% of the pushes of %s were empty", share, name))
	}
	if name, share := a.largest("kiln.", ".part"); share >= evidenceFrom {
		found = append(found, fmt.Sprintf("%.1f %% of the cars or loads of %s were part-filled", share, name))
	}
	if name, share := a.largest("state.", ".blocked"); share >= evidenceFrom {
		found = append(found, fmt.Sprintf("%s stood blocked %.1f %% of the time", name, share))
	}
	if name, share := a.largest("state.", ".starved"); share >= evidenceFrom {
		found = append(found, fmt.Sprintf("%s waited for ware %.1f %% of the time", name, share))
	}
	if hours, ok := a.mean("lead.off_shift"); ok && hours >= 1 {
		found = append(found, fmt.Sprintf("a piece waited %.0f h outside working hours", hours))
	}
	return found
}

// shareSum adds measures in per cent; one that is missing counts as 0.
func (a *Answer) shareSum(names ...string) float64 {
	var sum float64
	for _, name := range names {
		if v, ok := a.mean(name); ok {
			sum += v
		}
	}
	return sum
}

// largest returns the thing whose measure prefix<thing>suffix is largest.
func (a *Answer) largest(prefix, suffix string) (thing string, value float64) {
	for _, f := range a.Measures {
		name, ok := strings.CutPrefix(f.Name, prefix)
		if !ok {
			continue
		}
		if name, ok = strings.CutSuffix(name, suffix); ok && f.Value > value {
			thing, value = name, f.Value
		}
	}
	return thing, value
}

// join makes a clause of several.
func join(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// lowerFirst lets a sentence go on after a colon.
func lowerFirst(s string) string {
	return strings.ToLower(s[:1]) + s[1:]
}
