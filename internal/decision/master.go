package decision

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// MasterPlan is the question of the bad master: what a fault in the tooling of a
// ware costs, by where it is caught, and which watch is worth its price.
type MasterPlan struct {
	Title string
	Fault plant.MasterFault // without gates; its birth some weeks into the run, when the works is warm
	Gates []WatchGate       // that there are or might be, in the order of the flow

	// Complaints make the alarm of last resort, which every row of the answer has
	// besides its gate.
	Complaints plant.AlarmRule

	Release    ReleaseCheck // on the model, before any mould is made; no Finds: none
	Pilot      PilotFire    // trial of a new tool before its release; no Pieces: none
	Money      MasterMoney
	PerYear    float64 // faults a year: it multiplies the cost of one, and nothing else
	Constraint string  // casting, kiln; empty: whichever the estimate by hand finds fuller

	Weeks        int // simulated, birth of the fault included
	Replications int // fewest, each with and without the fault
	Most         int
	Precision    float64 // half-width of the mean cost of the gates in use, relative
	Redraws      int     // of the luck of inspection on each history
	Seed         uint64
	Workers      int
	Progress     func(experiment.Progress)
}

// WatchGate is a gate with its price.
type WatchGate struct {
	plant.MasterGate
	InUse bool
	Each  float64 // of inspecting one piece
	Year  float64 // of keeping the gate, besides
}

// ReleaseCheck is the inspection of the model or case before it is used.
type ReleaseCheck struct {
	Finds  float64 // chance that it finds the fault
	Rework float64 // cost if it does
	Each   float64 // cost of one inspection
	Year   float64 // releases inspected a year
}

// PilotFire is a trial of a few pieces, fired and measured before a new tool is
// released.
type PilotFire struct {
	Pieces int
	Finds  float64 // chance that a piece with the fault is found out
	Each   float64 // cost of one trial
	Year   float64 // releases a year
	Days   float64 // by which the release is later
	PerDay float64 // margin lost by a day's delay; 0 with a spare tool
}

// MasterMoney is what things cost, in the currency of the works.
type MasterMoney struct {
	Tool       float64            // mending or making anew the model, block, mould or punch, once
	Case       float64            // one case set
	Mould      float64            // one working mould
	Sort       float64            // inspecting one suspect
	FalseAlarm float64            // looking into an alarm that was none
	Return     float64            // one piece that comes back
	Late       float64            // an order, for a day that the fault makes it later
	Margin     map[string]float64 // of a good piece, by ware
}

// placeOf is the number of a place among plant.GatePlaces.
func placeOf(at string) int {
	for k, name := range plant.GatePlaces {
		if name == at {
			return k
		}
	}
	return -1
}

// without is the fault that is never born: the works as it would have been, with
// all gates watching, to count what they see and how often they are wrong.
func (q *MasterPlan) without() *plant.MasterFault {
	f := q.Fault
	f.Born, f.Passages = des.Never, false
	for _, g := range q.Gates {
		f.Gates = append(f.Gates, g.countedOnly())
	}
	return &f
}

// countedOnly is the gate as it is simulated: good ware that it would throw away
// is counted and goes its way. What that costs, year in, year out, belongs to
// the gate and not to the fault.
func (g *WatchGate) countedOnly() plant.MasterGate {
	gate := g.MasterGate
	gate.Base = g.Base + float64((1-g.Base)*g.Rejects)
	gate.Rejects, gate.Destroys = 0, false
	return gate
}

// with is the fault watched by some gates and, last, by the complaints.
func (q *MasterPlan) with(gates ...WatchGate) *plant.MasterFault {
	f := q.Fault
	f.Gates = nil
	for _, g := range gates {
		f.Gates = append(f.Gates, g.countedOnly())
	}
	f.Gates = append(f.Gates, plant.MasterGate{Name: "customer", At: "customer", Fraction: 1, Finds: 1, Alarm: q.Complaints})
	f.Passages = len(gates) == 0
	return &f
}

// watches are the rows of the answer: each gate by itself, the gates in use
// together if there are several, and the customer alone.
func (q *MasterPlan) watches() []watchPolicy {
	var all []watchPolicy
	var used []WatchGate
	for _, g := range q.Gates {
		all = append(all, watchPolicy{name: g.Name, gates: []WatchGate{g}})
		if g.InUse {
			used = append(used, g)
		}
	}
	if len(used) > 1 {
		all = append(all, watchPolicy{name: "all in use", gates: used})
	}
	return append(all, watchPolicy{name: "customer"})
}

// watchPolicy is the gates that watch, besides the complaints.
type watchPolicy struct {
	name  string
	gates []WatchGate
	trace string // other than the plan's; empty: the plan's
}

// used is the gates in use.
func (q *MasterPlan) used() watchPolicy {
	p := watchPolicy{name: "today"}
	for _, g := range q.Gates {
		if g.InUse {
			p.gates = append(p.gates, g)
		}
	}
	return p
}

// simulateMaster runs one replication with a fault, or without.
func simulateMaster(p experiment.Runner, q *MasterPlan, f *plant.MasterFault, number int, stopped func() bool) (*plant.Result, error) {
	r, err := p.Simulate(plant.Options{Source: random.New(q.Seed, uint32(number)), Weeks: q.Weeks, Master: f, Stopped: stopped})
	if err != nil {
		return nil, err
	}
	return r, lawful(r)
}

// lawful is an error where a run broke an exact law: no decision rests on it.
func lawful(r *plant.Result) error {
	for _, l := range r.Audit {
		if l.Broken > 0 {
			return fmt.Errorf("law broken: %s: %s", l.Name, l.First)
		}
	}
	return nil
}
