package plant

import (
	"math"

	"potbank/internal/des"
)

// AlarmRule says when faults seen at gates become an alarm: so many of one
// parent within a time, or a cumulative sum for each parent.
type AlarmRule struct {
	By     string   // what faults are counted by: ware, day, bench, mould, case, block
	Faults int      // so many faults of one parent make an alarm
	Within des.Time // faults further back are forgotten; 0: none is

	// With Bad above 0 a cumulative sum is kept instead: each inspected piece
	// adds the logarithm of how much likelier it is at the fault rate Bad than at
	// Good, and the sum does not fall below 0 (Page 1954).
	Good, Bad float64
	Threshold float64 // of the sum, in nats
}

// AlarmLevels are what faults may be counted by, from the least knowledge of
// where a piece comes from to the most.
var AlarmLevels = []string{"ware", "day", "bench", "mould", "case", "block"}

// tally is what is known of one parent.
type tally struct {
	times []des.Time // of the last faults, by a rule that counts
	sum   float64
	real  int // of the faults counted, those of bad ware
}

// Watch counts faults by parent under a rule. It is not safe for concurrent use.
type Watch struct {
	rule    AlarmRule
	hit     float64 // added by a fault
	miss    float64 // added by a piece without
	parents map[uint64]*tally
}

// NewWatch begins to count. A rule that counts needs Faults of at least 1, one
// with a sum rates Good below Bad, both inside (0, 1).
func NewWatch(rule AlarmRule) *Watch {
	w := &Watch{rule: rule, parents: map[uint64]*tally{}}
	if rule.Bad > 0 {
		w.hit = math.Log(rule.Bad / rule.Good)
		w.miss = math.Log((1 - rule.Bad) / (1 - rule.Good))
	}
	return w
}

// See takes one inspected piece of a parent: whether a fault was seen, and
// whether the piece was truly of the bad master, which decides what an
// investigation of the alarm will find. It tells whether the piece makes an
// alarm, and whether that is a true one.
func (w *Watch) See(at des.Time, parent uint64, fault, real bool) (alarm, founded bool) {
	if !fault && w.rule.Bad == 0 {
		return false, false
	}
	t := w.parents[parent]
	if t == nil {
		t = &tally{}
		w.parents[parent] = t
	}
	if fault && real {
		t.real++
	}
	if w.rule.Bad > 0 {
		add := w.miss
		if fault {
			add = w.hit
		}
		if t.sum = max(0, t.sum+add); t.sum == 0 {
			t.real = 0
		}
		return t.sum >= w.rule.Threshold, t.real > 0
	}
	t.times = append(t.times, at)
	if n := len(t.times); n > w.rule.Faults {
		t.times = t.times[n-w.rule.Faults:]
	}
	full := len(t.times) == w.rule.Faults
	return full && (w.rule.Within == 0 || at-t.times[0] <= w.rule.Within), t.real > 0
}

// Forget starts the count of a parent anew, after its alarm was looked into.
func (w *Watch) Forget(parent uint64) { delete(w.parents, parent) }
