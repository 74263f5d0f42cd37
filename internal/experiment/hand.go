package experiment

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/plant"
	"potbank/internal/quantity"
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
// than the rounding of a hand calculation (2 %).
const (
	halfWidthsApart = 2
	shareApart      = 0.02
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

// A sign is a kind of trouble that the run saw and an estimate by hand cannot.
type sign int

const (
	ofWindows sign = 1 << iota // ware punched too late or not at all
	ofKilns                    // cars and loads part full or empty
	ofWaits                    // benches and pieces that wait
)

// ignored says what the estimate by hand leaves out, by the first part of the
// measure's name, and which signs bear on it.
var ignored = []struct {
	prefix, what string
	signs        sign
}{
	{"packed.", "takes every department to work whenever it is open and no piece to wait", ofWindows | ofKilns | ofWaits},
	{"seconds.", "takes every department to work whenever it is open and no piece to wait", ofWindows | ofKilns | ofWaits},
	{"yield.", "takes every yield at its mean, and no piece to be lost to time", ofWindows},
	{"cast.", "takes every mould place to be filled as planned", ofWaits},
	{"wip.", "counts working and fixed times only, and no queue", ofWaits},
	{"lead_time.", "adds working and fixed times, and no wait for a crew, a shift, a window or a full load", ofWaits},
	{"energy.", "takes every car and load to be full and no ware to be lost to time", ofWindows | ofKilns},
	{"co2.", "takes every car and load to be full and no ware to be lost to time", ofWindows | ofKilns},
	{"fuel.", "takes every car and load to be full", ofKilns},
	{"firings.", "takes every yield at its mean", ofWindows},
	{"refires.", "takes every yield at its mean", ofWindows},
	{"cost.", "spreads the fixed costs over its own output", ofWindows | ofKilns},
	{"kiln.", "takes ware to be there whenever a car or load is due", ofKilns | ofWaits},
	{"load.", "takes work to arrive evenly and every load to be as planned", 0},
}

// explain says why a figure differs from the estimate by hand: what the
// estimate leaves out, and how much of that the run saw.
func (a *Answer) explain(f Figure, byHand float64) string {
	what, signs := "leaves out queues, shift ends, windows and part loads", ofWindows|ofKilns|ofWaits
	for _, i := range ignored {
		if strings.HasPrefix(f.Name, i.prefix) {
			what, signs = i.what, i.signs
			break
		}
	}
	text := fmt.Sprintf("Simulated is %s: the estimate by hand %s.", offBy(f.Value, byHand), what)
	if evidence := a.evidence(signs, f.Name); len(evidence) > 0 {
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

// Below these a loss of time or ware is not worth a clause.
const (
	shareFrom  = 2.0 // % of the cars, loads, pieces or hours
	piecesFrom = 1.0 // pieces a week
	hoursFrom  = 1.0 // hours of a mean lead time
)

// evidence lists the largest of each kind of trouble that a static estimate
// cannot see, for the ware of a measure if it is of one: windows missed, cars part full or empty, benches that wait for
// their casters, pieces that wait for a shift or a load.
func (a *Answer) evidence(signs sign, of string) []string {
	var found []string
	say := func(kind sign, value, from float64, format string, args ...any) {
		if signs&kind != 0 && value >= from {
			found = append(found, fmt.Sprintf(format, args...))
		}
	}
	_, ware, _ := strings.Cut(of, ".")
	late := a.ofWare("window.late", ware)
	say(ofWindows, late, shareFrom, "%.1f %% of the ware was worked on too late", late)
	dry := a.ofWare("window.too_dry", ware)
	say(ofWindows, dry, piecesFrom, "%s pieces a week were too dry to punch", quantity.Grouped(dry, 0))
	name, share := a.largest("kiln.", ".empty")
	say(ofKilns, share, shareFrom, "%.1f %% of the cars of %s were empty", share, name)
	name, share = a.largest("kiln.", ".part")
	say(ofKilns, share, shareFrom, "%.1f %% of the cars or loads of %s were part full", share, name)
	name, share = a.largest("state.", ".waiting for casters")
	say(ofWaits, share, shareFrom, "%s waited for casters %.1f %% of all hours", name, share)
	hours := a.meanOr0("lead.off_shift")
	say(ofWaits, hours, hoursFrom, "a piece waited %.0f h for people who were off shift", hours)
	hours = a.meanOr0("lead.batch")
	say(ofWaits, hours, hoursFrom, "%.0f h went by until a trolley, car or load was full", hours)
	return found
}

// ofWare returns a measure of one ware or, if there is none, of all.
func (a *Answer) ofWare(name, ware string) float64 {
	if v, ok := a.mean(name + "." + ware); ok {
		return v
	}
	return a.meanOr0(name)
}

// meanOr0 returns the value of a measure, 0 if there is none.
func (a *Answer) meanOr0(name string) float64 {
	v, ok := a.mean(name)
	if !ok {
		return 0
	}
	return v
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
