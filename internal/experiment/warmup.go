package experiment

import (
	"fmt"
	"math"
	"slices"

	"potbank/internal/plant"
	"potbank/internal/stats"
)

// WarmUp is the start-up left out of every measure.
type WarmUp struct {
	Weeks  int    // whole weeks left out
	Method string // how that number was come by, one sentence
	Series []Series
	Found  bool // by the data; false when it was given
	// Warnings say what is doubtful about the cut.
	Warnings []string
}

// Series is one measure week by week, averaged over replications: the picture
// in which a reader sees the start-up end (Welch's plot).
type Series struct {
	Name, Unit string
	Weeks      []float64
}

// cutOn are the measures on which the start-up is judged: what leaves the
// works and what stands in it. The later of the two cuts holds.
var cutOn = []string{"packed.total", "wip.total"}

// pilot is the number of replications whose average the cut is judged on, and
// the least first stage of a sequential study (Law, Simulation Modeling and
// Analysis, section 9.4.1).
const pilot = 10

// hoursPerWeek turns a lead time into weeks.
const hoursPerWeek = 168

// findWarmUp judges the start-up of a study from its first replications.
//
// The rule sees only what shows in the series, so two flow times of the slow
// pieces (the 95 % point) are left out in any case, as pieces that entered an
// empty works travelled too fast. Where that would leave less than half the
// run, the cut of the series stands and a warning says so.
func findWarmUp(gauges []gauge, results []*plant.Result, weeks int) WarmUp {
	w := WarmUp{Found: true}
	deciding := ""
	for _, name := range cutOn {
		g, ok := find(gauges, name)
		if !ok {
			continue
		}
		cut, warnings := stats.WeekCut(averageWeeks(g, results, weeks))
		for _, text := range warnings {
			if text = nameIn(text, name); !slices.Contains(w.Warnings, text) {
				w.Warnings = append(w.Warnings, text)
			}
		}
		if cut > w.Weeks || deciding == "" {
			w.Weeks, deciding = cut, name
		}
	}
	w.Method = fmt.Sprintf("MSER on week averages of %s over %d replications", deciding, len(results))
	w.clearFlowTimes(slowFlow(gauges, results, weeks), weeks)
	return w
}

// clearFlowTimes lengthens the cut to two flow times of flow weeks each.
func (w *WarmUp) clearFlowTimes(flow float64, weeks int) {
	least := int(math.Ceil(2 * flow))
	switch {
	case least <= w.Weeks:
	case 2*least > weeks:
		w.Warnings = append(w.Warnings, fmt.Sprintf(
			"Slow pieces take %.1f weeks through the works: a run of %d weeks is too short to leave two such times out. Make it at least %d weeks.", flow, weeks, 2*least))
	default:
		w.Weeks = least
		w.Method = fmt.Sprintf("twice the 95 %% lead time of %.1f weeks", flow)
	}
}

// slowFlow is the 95 % point of the lead time in weeks, 0 when nothing was
// packed.
func slowFlow(gauges []gauge, results []*plant.Result, weeks int) float64 {
	g, ok := find(gauges, "lead_time.p95")
	if !ok {
		return 0
	}
	var num, den float64
	for _, r := range results {
		a, b := g.of(r, 0, weeks)
		num, den = num+a, den+b
	}
	if den == 0 {
		return 0
	}
	return num / den / hoursPerWeek
}

// averageWeeks averages a measure week by week over replications.
func averageWeeks(g gauge, results []*plant.Result, weeks int) []float64 {
	runs := make([][]float64, len(results))
	for i, r := range results {
		runs[i] = g.weekly(r, weeks)
	}
	return stats.AverageSeries(runs)
}

// nameIn puts the measure before a warning of package stats, except where the
// warning speaks of the length of the run, which is the same for every measure.
func nameIn(warning, measure string) string {
	const growing = "The level is"
	if len(warning) < len(growing) || warning[:len(growing)] != growing {
		return warning
	}
	return measure + ": " + warning
}

// find returns the gauge of a name.
func find(gauges []gauge, name string) (gauge, bool) {
	i := slices.IndexFunc(gauges, func(g gauge) bool { return g.Name == name })
	if i < 0 {
		return gauge{}, false
	}
	return gauges[i], true
}
