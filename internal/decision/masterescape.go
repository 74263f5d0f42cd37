package decision

import (
	"math"
	"slices"

	"potbank/internal/des"
)

// escape is the chance that no gate of a policy stops the fault before its first
// faulty piece is dispatched, given a history. It is computed, not counted: on
// a history it is known which bad pieces come by which gate in time, so that
// the chance that too few of them raise a fault follows from the binomial
// chances of each. That is how an outcome of one in a million is told from a few
// dozen runs. A rule that forgets faults after a time escapes a little more
// often than told; of cumulative sums nothing is told.
func (h *history) escape(w watchPolicy) float64 {
	first := h.firstDispatch()
	if first == des.Never {
		return math.NaN()
	}
	chance := 1.0
	for k := range w.gates {
		g := &w.gates[k]
		if g.Alarm.Bad > 0 {
			return math.NaN()
		}
		place := placeOf(g.At)
		if place < 0 || place >= len(h.byTime) {
			continue
		}
		counts := map[uint64][]float64{} // chance of 0, 1, ... faults of a parent
		var parents []uint64
		for _, i := range h.bad {
			x := &h.all[i]
			at := x.Passed[place]
			if !x.Shows || at == 0 || at+g.Result+h.q.Fault.React > first || place == 0 && !x.First {
				continue
			}
			parent := parentOf(g.Alarm.By, x)
			if counts[parent] == nil {
				counts[parent] = append(make([]float64, 0, g.Alarm.Faults), 1)
				parents = append(parents, parent)
			}
			counts[parent] = oneMore(counts[parent], float64(g.Fraction*g.Finds), g.Alarm.Faults)
		}
		slices.Sort(parents)
		for _, parent := range parents {
			sum := 0.0
			for _, c := range counts[parent] {
				sum += c
			}
			chance *= sum
		}
	}
	return chance
}

// oneMore adds a trial to the chances of 0, 1, ... successes below most.
func oneMore(chances []float64, p float64, most int) []float64 {
	if len(chances) < most {
		chances = append(chances, 0)
	}
	for k := len(chances) - 1; k >= 0; k-- {
		chances[k] = float64(chances[k] * (1 - p))
		if k > 0 {
			chances[k] += float64(chances[k-1] * p)
		}
	}
	return chances
}

// firstDispatch is when the first piece with the fault leaves the store, if
// nobody stops it.
func (h *history) firstDispatch() des.Time {
	first := des.Time(des.Never)
	for _, i := range h.bad {
		if x := &h.all[i]; x.Shows && x.Packed {
			first = min(first, x.Gone+h.q.Fault.Store)
		}
	}
	return first
}
