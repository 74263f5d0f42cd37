package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// Fault is one thing that makes a works impossible or doubtful. Path names
// the culprit in the keys of the scenario file, e.g. "kilns.tunnel.push";
// whoever read the file turns it into line and column.
type Fault struct {
	Path    string
	What    string
	Hint    string
	Offset  int  // character within the value's text at which the fault lies
	Warning bool // doubtful, but it can run
	Limit   bool // possible, but larger than this program will handle
}

// Options say how one replication is run.
type Options struct {
	Source   random.Source
	Fixed    bool                // randomness off: every draw at its mean, yields as a fixed repeating pattern
	Weeks    int                 // weeks to simulate; 0: the works' run length
	Observer func(o Observation) // nil: nothing is observed; observing never changes a run
	Lookout  *Lookout            // nil: nobody watches stocks and kilns; watching never changes a run
	Master   *MasterFault        // a fault in the tooling; nil: none, and nothing of a run changes
	Stopped  func() bool         // asked again and again, and at the end of each week; true ends the run with a *StoppedError
	Redeal   *Redeal             // some of the luck dealt anew; nil: none
	Daily    bool                // counts by day are kept, of wares and of orders
	Until    []string            // orders: the run ends with the week in which the last of them is done; none: it runs its weeks
}

// Result is what one replication leaves behind: integer counters by week, from
// which every measure is a ratio of sums. Nothing in it depends on the clock
// of the machine.
type Result struct {
	Week   [][]int64    // Week[w][c]: counter c grew by this much in week w
	Leads  []*LeadTimes // lead times of A pieces packed in each week
	Orders []OrderResult
	Days   [][]DayCount // by day of 24 h from the start and by ware, if they were asked for
	Audit  []Law
	Master *MasterResult // what became of a fault in the tooling; nil if none was asked for
	Notes  []string      // what the run found doubtful: nothing moved, ware unfinished
	Events uint64        // events handled by the kernel
}

// OrderResult is the end of one order.
type OrderResult struct {
	Name string
	Ware string
	Good int      // good pieces counted towards it
	Want int      // good pieces ordered
	Done des.Time // when the last one was packed; des.Never if it was not
	// WorkDays is the working time of the casting shop between the order's
	// start and Done in days of 24 h, weekends of the plan's hours removed;
	// negative when the order was not finished.
	WorkDays float64
	Lots     []LotResult // its part deliveries, in the order of their dates
	Days     []int32     // good pieces counted on each day of 24 h from the start of the run, if asked for
}

// LotResult is the end of one part delivery.
type LotResult struct {
	Name string
	Want int      // good pieces, those of the lots before it included
	Done des.Time // when the last of them was packed; des.Never if it was not
}

// DayCount is what happened to one ware on one day.
type DayCount struct {
	Cast, Good   int32 // pieces filled; A pieces packed
	Worn, Poured int32 // working moulds
}

// Law is one exact law checked at the end of a replication.
type Law struct {
	Name    string // e.g. "pieces: cast = packed + lost + in the works"
	Checked int64  // equalities checked
	Broken  int64  // equalities that did not hold
	First   string // the first that did not hold, in figures
}

// Measure is one figure of the answer: a ratio of two sums of counters over
// the weeks after the warm-up, or a quantile of lead times.
type Measure struct {
	Name       string // dotted, e.g. packed.total
	Unit       string
	Definition string // one sentence
	Formula    string // with the ISO 22400-2 name where it has one
	Headline   bool   // precision is judged on these

	num, den []term
	scale    float64 // value = scale x num / den
	quantile float64 // > 0: this quantile of lead times instead
}

// term is one counter in a sum, with its sign.
type term struct {
	counter int
	times   int64
}

// Of returns numerator and denominator of the measure over weeks [from, to) of
// one replication; its value is their ratio. A quantile has denominator 1.
// The denominator is 0 where there is nothing to measure.
func (m *Measure) Of(r *Result, from, to int) (num, den float64) {
	if m.quantile > 0 {
		q, ok := mergeLeads(r.Leads[from:to]).Quantile(m.quantile)
		if !ok {
			return 0, 0
		}
		return float64(m.scale * q), 1
	}
	return float64(m.scale * float64(sumTerms(r, m.num, from, to))), float64(sumTerms(r, m.den, from, to))
}

// sumTerms adds signed counters over weeks [from, to).
func sumTerms(r *Result, terms []term, from, to int) int64 {
	var sum int64
	for _, week := range r.Week[from:to] {
		for _, t := range terms {
			sum += t.times * week[t.counter]
		}
	}
	return sum
}
