package plant

import (
	"fmt"
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// MasterFault is the plan of a fault that is born in the tooling of one ware,
// spreads to all that descends from it, and is found at gates, late. Where the
// fault is never born (Born: des.Never) the gates inspect all the same, so that
// the two runs are the same history but for the fault.
type MasterFault struct {
	Ware   string
	Node   string   // model, block, case, mould, punch
	Number int      // which block, case set or working mould; 0: of blocks and cases the first in use, of moulds one that is drawn
	Born   des.Time // all that is made from it from then on is bad
	AtOnce bool     // model, block, case: so are the moulds made before, as when a new model is released on all benches
	Share  float64  // punch: share of the pieces that go through it
	Shows  float64  // share of the bad pieces that show the fault; the others are good

	Gates []MasterGate
	React des.Time // from an alarm to the stop, or to finding that it was a false one
	Trace string   // what is known of a piece when suspects are told from the rest: see TraceLevels

	Scrap   bool    // suspects are scrapped, not sorted
	Finds   float64 // sorting: share of the pieces with the fault that is found
	Rejects float64 // sorting: share of the good suspects that is thrown away

	Store     des.Time   // from packing to dispatch
	Returns   float64    // share of the dispatched pieces with the fault that comes back
	Complains random.Law // time in ms from dispatch to the complaint; nil: at once

	Tooling  des.Time // from the stop until new cases are there
	Proof    des.Time // from the first cast in a new mould to its fired proof
	Unproven bool     // moulds for the benches are poured before that proof

	Passages bool // leave the history of every piece of the ware in the result
}

// MasterGate is a place where the fault may be seen.
type MasterGate struct {
	Name     string
	At       string  // see GatePlaces
	Fraction float64 // share of the pieces inspected
	Finds    float64 // share of the faults seen, of those that are there to be seen
	Rejects  float64 // share of the good pieces inspected that is thrown away as faulty
	Base     float64 // share of the good pieces inspected that shows the like, and is counted, but lost or kept as ever
	Destroys bool    // what is inspected is lost
	Result   des.Time
	Alarm    AlarmRule
}

// GatePlaces are where gates may stand, in the order of the flow. First-off is
// the first cast of each mould, at the end of finishing, as leather-hard; test
// takes A pieces before the works' own tests; customer is the complaints.
var GatePlaces = []string{"first-off", "leather-hard", "white", "fired", "test", "customer"}

const (
	placeFirstOff = iota
	placeLeatherHard
	placeWhite
	placeFired
	placeTest
	placeCustomer
)

// TraceLevels are what may be known of a piece, from nothing to its own record.
var TraceLevels = []string{"none", "day", "bench", "mould", "case", "piece"}

const (
	traceNone = iota
	traceDay
	traceBench
	traceMould
	traceCase
	tracePiece
)

// MasterNodes are where a fault may be born.
var MasterNodes = []string{"model", "block", "case", "mould", "punch"}

// Check refuses a plan that a works cannot have.
func (in *MasterFault) Check(w *Works) error {
	known := slices.ContainsFunc(w.Ware, func(x Ware) bool { return x.Name == in.Ware })
	bench := false
	for k := range w.Benches {
		bench = bench || w.Benches[k].Ware == in.Ware
	}
	switch {
	case !known:
		return fmt.Errorf("plant: a fault of %q, which is no ware of the works", in.Ware)
	case !slices.Contains(MasterNodes, in.Node):
		return fmt.Errorf("plant: a fault born at %q; it is one of %v", in.Node, MasterNodes)
	case in.Node != "punch" && !bench:
		return fmt.Errorf("plant: a fault born at the %s of %s, which is cast on no bench: moulds of presses have no cases; hint: ask about a punch, or a ware that is cast on benches", in.Node, in.Ware)
	case in.Node == "punch" && w.Finishing == nil:
		return fmt.Errorf("plant: a fault born at the punch of %s, in a works without finishing", in.Ware)
	case !slices.Contains(TraceLevels, in.Trace):
		return fmt.Errorf("plant: trace level %q; it is one of %v", in.Trace, TraceLevels)
	}
	for _, g := range in.Gates {
		if !slices.Contains(GatePlaces, g.At) {
			return fmt.Errorf("plant: gate %s at %q; it is one of %v", g.Name, g.At, GatePlaces)
		}
		if !slices.Contains(AlarmLevels, g.Alarm.By) || g.Alarm.Bad == 0 && g.Alarm.Faults < 1 {
			return fmt.Errorf("plant: gate %s has no rule for an alarm", g.Name)
		}
	}
	return nil
}
