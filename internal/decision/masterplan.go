package decision

import (
	"fmt"
	"strings"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/scenario"
)

// bornAfter is when a fault is born whose date nobody gives: the works starts
// empty and is warm by then.
const bornAfter = 4 * des.Week

// NewMasterPlan turns what a question file says, or flags, into a question about
// a works. What is left out is taken from the kind of fault (see faultKinds),
// from the node, or from the mould shop. The error says what does not go
// together.
func NewMasterPlan(a *scenario.MasterSection, w *plant.Works, clock calendar.Clock) (MasterPlan, error) {
	q := MasterPlan{
		Complaints: rule(a.Complaints), PerYear: a.Yearly, Constraint: strings.TrimPrefix(a.Constraint, "auto"),
		Weeks: a.Weeks, Replications: a.Replications, Most: a.Most, Precision: float64(a.Precision), Redraws: max(1, a.Redraws),
		Seed: uint64(w.Run.Seed), Workers: 1,
	}
	kind := faultKinds[a.Kind]
	q.Fault = plant.MasterFault{
		Ware: a.Ware, Node: a.Node, Number: a.Number, Born: bornAfter, AtOnce: a.AtOnce, Share: float64(a.Share), Shows: float64(a.Shows),
		React: a.React, Trace: a.Trace, Scrap: a.Dispose == "scrap", Finds: float64(a.Finds), Rejects: float64(a.Rejects),
		Store: a.Store, Returns: float64(a.Returns), Complains: a.Complains,
		Tooling: a.Tooling, Proof: a.Proof, Unproven: a.Unproven,
	}
	if a.Shows == 0 {
		q.Fault.Shows = kind.shows
	}
	if a.Tooling == 0 {
		q.Fault.Tooling = map[string]des.Time{"case": 5 * des.Day, "block": 8 * des.Day, "model": 11 * des.Day}[a.Node]
	}
	if a.Date != "" {
		at, err := calendar.ParseStart(a.Date, w.Zone)
		if err != nil {
			return q, err
		}
		q.Fault.Born = clock.Tick(at)
	}
	if q.Fault.Born < 0 {
		return q, fmt.Errorf("the fault is born on %s, before the works starts on %s", a.Date, w.Start)
	}
	if a.Node == "punch" || a.Node == "mould" {
		q.Complaints.By = "ware"
	}
	for _, g := range a.Gates {
		q.Gates = append(q.Gates, watchGate(g, kind))
	}
	q.checks(a)
	return q, q.prices(a, w)
}

// watchGate is one gate of a question.
func watchGate(g scenario.GateSection, kind faultKind) WatchGate {
	w := WatchGate{
		MasterGate: plant.MasterGate{
			Name: g.Name, At: g.At, Fraction: float64(g.Inspects), Finds: float64(g.Finds), Rejects: float64(g.Rejects), Base: float64(g.Base),
			Destroys: g.Destroys, Result: g.Result, Alarm: rule(g.Alarm),
		},
		InUse: g.InUse, Each: inMoney(g.Each), Year: inMoney(g.Upkeep),
	}
	if place := placeOf(g.At); g.Finds == 0 && place >= 0 && place < len(kind.finds) {
		w.Finds = kind.finds[place]
	}
	return w
}

// rule is the rule of an alarm.
func rule(a scenario.AlarmSection) plant.AlarmRule {
	return plant.AlarmRule{By: a.By, Faults: a.Faults, Within: a.Within, Good: float64(a.Good), Bad: float64(a.Bad), Threshold: a.Threshold}
}

// inMoney is money in whole units of the currency.
func inMoney(m quantity.Money) float64 { return float64(m) / 1e6 }

// checks are what might be done before a tool is released.
func (q *MasterPlan) checks(a *scenario.MasterSection) {
	if r := a.Release; r != nil {
		q.Release = ReleaseCheck{Finds: float64(r.Finds), Rework: inMoney(r.Rework), Each: inMoney(r.Each), Year: r.Yearly}
	}
	if p := a.Pilot; p != nil {
		q.Pilot = PilotFire{Pieces: p.Pieces, Finds: float64(p.Finds), Each: inMoney(p.Each), Year: p.Yearly,
			Days: float64(p.Delay) / float64(des.Day), PerDay: inMoney(p.PerDay)}
	}
}

// prices are what things cost, in the file or in the works.
func (q *MasterPlan) prices(a *scenario.MasterSection, w *plant.Works) error {
	m := a.Money
	q.Money = MasterMoney{
		Tool: inMoney(m.Tool), Case: inMoney(m.Case), Mould: inMoney(m.Mould), Sort: inMoney(m.Sort), FalseAlarm: inMoney(m.False),
		Return: inMoney(m.Return), Late: inMoney(m.Late), Margin: map[string]float64{},
	}
	if w.MouldShop != nil {
		if m.Case == 0 {
			q.Money.Case = inMoney(w.MouldShop.CasePrice)
		}
		for _, s := range w.MouldShop.Moulds {
			if s.Name == a.Ware && m.Mould == 0 {
				q.Money.Mould = inMoney(s.Price)
			}
		}
	}
	found := false
	for k := range w.Ware {
		ware := &w.Ware[k]
		found = found || ware.Name == a.Ware
		if given, ok := m.Margin.For(ware.Name); ok {
			q.Money.Margin[ware.Name] = inMoney(given)
		} else if ware.Price > 0 {
			q.Money.Margin[ware.Name] = inMoney(ware.Price) - allStages(&ware.Costs)
		}
	}
	if !found {
		return fmt.Errorf("the works makes no %q", a.Ware)
	}
	return nil
}

// allStages is the stage costs of a piece that is fired once.
func allStages(c *plant.StageCosts) float64 {
	return inMoney(c.Casting + c.Finishing + c.Drying + c.White + c.Glazing + c.Firing + c.Sorting + c.Packing)
}
