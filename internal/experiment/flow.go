package experiment

import (
	"math"
	"strings"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// FlowStage is what a week brings to one stage and what becomes of it, pieces
// a week. In is what the stages before let through, so that the stream narrows
// by what is lost and not by what stands in between.
type FlowStage struct {
	Name  string
	In    float64
	Lost  float64
	Again float64 // sent through the stage before once more
	Out   float64 // leaves the stream here for the pallet
	What  string  // what leaves: seconds, good
}

// flowOrder is the way of the ware. Losses in the fire are found by the sorters.
var flowOrder = []struct{ name, losses string }{
	{"casting", ""}, {"finishing", "finishing"}, {"white inspection", "white"}, {"glazing", "glazing"},
	{"firing", ""}, {"sorting", "firing"}, {"tests", "test"}, {"quarantine", "quarantine"}, {"packing", "packing"},
}

// flowOf follows the pieces of a week from the moulds to the pallet.
func flowOf(a *Answer) []FlowStage {
	in, ok := a.mean("cast.total")
	packed, packs := a.mean("packed.total")
	if !ok || !packs {
		return nil
	}
	var flow []FlowStage
	for _, stage := range flowOrder {
		losses := a.Group("lost." + stage.losses + ".")
		if stage.losses != "" && len(losses) == 0 && stage.name != "sorting" && stage.name != "packing" {
			continue // the works has no such stage
		}
		s := FlowStage{Name: stage.name, In: in}
		if stage.losses != "" {
			s.Lost = sumOf(losses)
		}
		switch stage.name {
		case "sorting":
			s.Again = a.meanOr0("refires.total")
			if s.Out = sumOf(a.Group("seconds.")); s.Out > 0 {
				s.What = "seconds"
			}
		case "packing":
			s.Out, s.What = packed, "good"
		}
		in -= s.Lost
		if stage.name == "sorting" {
			in -= s.Out
		}
		flow = append(flow, s)
	}
	return flow
}

// sumOf adds up figures that have a value.
func sumOf(figures []Figure) float64 {
	sum := 0.0
	for _, f := range measured(figures) {
		sum += f.Value
	}
	return sum
}

// Curve is output against ware in the works: where the works stands between the
// laws of the best, the practical worst and the worst case (Hopp and Spearman,
// Factory Physics, chapter 7; formulas from memory). With w pieces in the works, the rate Rate of
// the department that limits it and the time Raw of a piece that never waits,
// critical stock Critical = Rate x Raw:
//
//	best             least of w / Raw and Rate
//	practical worst  w / (Critical + w - 1) x Rate
//	worst            1 / Raw
type Curve struct {
	Rate     float64 // pieces a week, by hand
	Raw      float64 // h, as simulated: worked on, dried or fired
	Critical float64 // pieces
	Stock    float64 // pieces in the works, as simulated
	Output   float64 // good pieces a week, as simulated

	Of, Best, PracticalWorst, Worst []float64 // the laws over the stocks Of
}

// curvePoints is the number of stocks for which the laws are given.
const curvePoints = 40

// curveOf sets the works among the laws. The rate of the limit is what the
// estimate by hand would pack with its tightest department loaded in full.
func curveOf(a *Answer) *Curve {
	byHand, tightest := 0.0, 0.0
	for _, h := range a.Hand {
		if h.Name == "packed.total" {
			byHand = h.Value
		}
	}
	for _, d := range a.Loads {
		tightest = max(tightest, d.Load)
	}
	c := &Curve{Raw: a.meanOr0("lead.working"), Stock: a.meanOr0("wip.total"), Output: a.meanOr0("packed.total")}
	if !(byHand > 0) || !(tightest > 0) || math.IsInf(tightest, 0) || !(c.Raw > 0) || !(c.Stock > 0) {
		return nil
	}
	c.Rate = byHand / min(1, tightest)
	weeks := c.Raw / hoursPerWeek
	c.Critical = float64(c.Rate * weeks)
	most := float64(1.25 * max(c.Stock, c.Critical))
	for k := range curvePoints {
		w := 1 + float64(float64((most-1)*float64(k))/(curvePoints-1))
		c.Of = append(c.Of, w)
		c.Best = append(c.Best, min(w/weeks, c.Rate))
		c.PracticalWorst = append(c.PracticalWorst, w/(c.Critical+w-1)*c.Rate)
		c.Worst = append(c.Worst, 1/weeks)
	}
	return c
}

// EnergyUse is the fuel of one kiln or dryer for one good piece, MJ: what it
// burns for being hot, and what it burns for its loads.
type EnergyUse struct {
	Place      string
	Base, Load float64
}

// EnergyCurve is fuel for one good piece if the works packed more or less, with
// the base burnt all the same.
type EnergyCurve struct {
	Output, PerGood []float64 // good pieces a week; MJ
}

// gjPerKJ turns kJ into GJ, mjPerGJ GJ into MJ.
const (
	gjPerKJ = 1e-6
	mjPerGJ = 1e3
)

// energyOf splits the fuel of each place into what is burnt whatever the load and
// the rest. The base is that of the scenario over all hours.
func energyOf(w *plant.Works, a *Answer) ([]EnergyUse, *EnergyCurve) {
	packed := a.meanOr0("packed.total")
	if w == nil || !(packed > 0) {
		return nil, nil
	}
	base := map[string]float64{}
	for i := range w.Kilns {
		base[w.Kilns[i].Name] = float64(w.Kilns[i].Base)
	}
	for i := range w.Dryers {
		base[w.Dryers[i].Name] = float64(w.Dryers[i].Hot)
	}
	var uses []EnergyUse
	all, fixed := 0.0, 0.0
	for _, f := range measured(a.Group("fuel.")) {
		place := strings.TrimPrefix(f.Name, "fuel.")
		if place == "week" || f.Value == 0 {
			continue
		}
		hot := min(f.Value, float64(base[place]*hoursPerWeek*gjPerKJ))
		uses = append(uses, EnergyUse{place, hot * mjPerGJ / packed, (f.Value - hot) * mjPerGJ / packed})
		all, fixed = all+f.Value, fixed+hot
	}
	if uses == nil {
		return nil, nil
	}
	c := &EnergyCurve{}
	for share := 50; share <= 120; share += 5 {
		output := packed * float64(share) / 100
		c.Output = append(c.Output, output)
		c.PerGood = append(c.PerGood, (fixed/output+(all-fixed)/packed)*mjPerGJ)
	}
	return uses, c
}

// hours gives a span in hours.
func hours(t des.Time) float64 { return float64(t) / float64(des.Hour) }
