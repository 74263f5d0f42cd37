package decision

import (
	"potbank/internal/stats"
)

// MasterAnswer is the answer to the question of the bad master. Costs are in the
// currency of the works, for one fault where nothing else is said.
type MasterAnswer struct {
	Title, Works, Currency string
	Ware, Node             string
	Born                   string // civil date of the fault's birth
	Shows                  float64
	PerYear                float64
	Weeks                  int
	Seed                   uint64
	Replications           int // each with and without the fault
	Redraws                int // of the luck of inspection on each history
	Certified              int // fresh replications behind the recommendation
	Partial                string

	Recommendation string
	Flips          []string
	Rows           []GateRow
	Steps          []GateStep // single changes of today's watch, best first
	Traces         []TraceRow
	Release, Pilot *CheckWorth
	Pulled         []PulledRow // under today's watch, by section
	Orders         []LateOrder
	True           float64 // chance that an alarm of today's gates is a true one; NaN: no gate in use
	StopAt         float64 // chance from which it pays to stop casting while an alarm is looked into
	Warnings       []string
	Constraint     string
}

// GateRow is what a fault costs when one gate watches for it, besides the
// complaints.
type GateRow struct {
	Name     string
	InUse    bool
	Cost     stats.Estimate // mean, of paired runs with and without the fault, the luck of inspection averaged out
	P50      stats.Estimate // of histories with the luck of inspection redrawn
	P95      stats.Estimate
	CVaR     stats.Estimate // mean of the worst 5 %
	N        int            // outcomes behind the last three
	Parts    MasterCost     // means
	Times    MasterTimes
	Casts    float64 // bad casts up to the stop, mean
	Moulds   float64
	Shipped  float64 // faulty pieces dispatched
	Returned float64
	Lost     stats.Estimate // good pieces fewer than without the fault
	Escape   float64        // chance that the gate stops nothing before the first faulty piece is dispatched; NaN: not told
	EscapeN  int
	Running  float64 // of the gate, a year: inspection and false alarms
	Year     float64 // Running and the faults of a year
	Even     float64 // faults a year from which the gate is worth more than the customer alone; NaN: never
	Hand     HandGate
	Replayed float64        // mean cost by the replays alone
	Gap      stats.Estimate // mean cost of the runs less that of replays with the same luck of inspection
}

// MasterTimes are medians, in days after the first bad cast; NaN where most runs
// had none.
type MasterTimes struct{ Seen, Alarm, Stop, Released, Refilled float64 }

// HandGate is the estimate by hand of one row.
type HandGate struct {
	Casts, Cost float64 // NaN: no closed form
	Lag         float64 // days from cast to gate, as simulated
	How         string
}

// GateStep is one change of the watch: a gate more, or another fraction at one.
type GateStep struct {
	Gate     string
	From, To float64        // fraction inspected
	Saves    stats.Estimate // on one fault
	Tail     float64        // by which the mean of the worst 5 % is less
	Running  float64        // more a year
	Year     stats.Estimate // gain a year
	Even     float64        // faults a year from which it pays; NaN: never
	Best     bool           // fraction of this gate with the greatest gain
	Formula  float64        // fraction by the closed form
	Floor    float64        // cost of a fault that no fraction of this gate removes
	False    float64        // false alarms a year at this fraction
}

// TraceRow is what it is worth to know more of where a piece comes from.
type TraceRow struct {
	Level   string
	By      string // what faults are best counted by at this level
	Faults  int    // that make the alarm, for the same false alarms
	Days    float64
	Cost    stats.Estimate // of one fault
	Saves   stats.Estimate // against knowing nothing
	Works   float64        // suspects in the works at the stop of the run itself, and so on
	Store   float64
	Shipped float64
	Good    float64
	Moulds  float64
	InUse   bool
	Limit   float64 // false alarms a year that the count is set for
}

// PulledRow is what is taken out in one section because of a fault, means of the
// runs of today's watch.
type PulledRow struct {
	Section       string
	Pieces, Value float64
}

// LateOrder is how much later the fault makes an order.
type LateOrder struct {
	Name string
	Days []float64 // by row, means; an order that is not finished ends with the run
}

// CheckWorth is what an inspection or a trial before the release of a tool is
// worth.
type CheckWorth struct {
	Finds   float64 // chance that it finds a fault
	Running float64 // a year
	Saves   float64 // on one fault
	Year    float64 // gain a year
	Even    float64 // faults a year from which it pays
}
