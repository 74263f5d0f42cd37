package decision

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// stepPolicy is today's watch with one gate at another fraction, or added.
type stepPolicy struct {
	gate   int
	from   float64
	policy watchPolicy
}

// fractions are those tried at every gate, besides its own.
var fractions = []float64{.01, .02, .05, .10, .20, .50, 1}

// steps lists the single changes of today's watch.
func (q *MasterPlan) steps() []stepPolicy {
	var all []stepPolicy
	for k, g := range q.Gates {
		tried := append([]float64{g.Fraction}, fractions...)
		slices.Sort(tried)
		for _, f := range slices.Compact(tried) {
			from := 0.0
			if g.InUse {
				if from = g.Fraction; f == from {
					continue
				}
			}
			w := watchPolicy{name: g.Name}
			for j, other := range q.Gates {
				switch {
				case j == k:
					other.Fraction = f
					w.gates = append(w.gates, other)
				case other.InUse:
					w.gates = append(w.gates, other)
				}
			}
			all = append(all, stepPolicy{k, from, w})
		}
		if g.InUse {
			w := watchPolicy{name: g.Name}
			for j, other := range q.Gates {
				if j != k && other.InUse {
					w.gates = append(w.gates, other)
				}
			}
			all = append(all, stepPolicy{k, g.Fraction, w})
		}
	}
	return all
}

// to is the fraction at the gate that is changed; 0: it is given up.
func (s stepPolicy) to(q *MasterPlan) float64 {
	for _, g := range s.policy.gates {
		if g.Name == q.Gates[s.gate].Name {
			return g.Fraction
		}
	}
	return 0
}

// tracePolicy is today's watch, or that of the first gate if none is in use, with
// faults counted by what a level of marks allows.
type tracePolicy struct {
	level  string
	by     string
	faults int
	policy watchPolicy
}

// countedBy are the parents that each trace level lets faults be counted by: its
// own, and whatever takes less knowledge.
var countedBy = map[string][]string{
	"none": {"ware"}, "day": {"ware"}, "bench": {"ware", "bench"}, "mould": {"ware", "bench", "mould"},
	"case": {"ware", "bench", "mould", "case"}, "piece": {"ware", "bench", "mould", "case"},
}

// watched is the gate at which the worth of marks is told: the first in use, or
// the first at all.
func (q *MasterPlan) watched() WatchGate {
	for _, g := range q.Gates {
		if g.InUse {
			return g
		}
	}
	return q.Gates[0]
}

// layTraces lists the policies of every trace level. The number of faults that
// make an alarm is set so that no way of counting raises more false alarms.
func (s *masterStudy) layTraces() {
	g := s.q.watched()
	if g.Alarm.Bad > 0 {
		return // the sum's threshold is of one parent; the closed forms tell the rest
	}
	limit := s.falseLimit(g)
	for _, level := range plant.TraceLevels {
		for _, by := range countedBy[level] {
			gate := g
			gate.Alarm.By = by
			gate.Alarm.Faults = s.leastFaults(g, by, limit)
			s.traces = append(s.traces, tracePolicy{level, by, gate.Alarm.Faults,
				watchPolicy{name: level + " by " + by, gates: []WatchGate{gate}, trace: level}})
		}
	}
}

// usualLimit is the false alarms a year that a way of counting may raise if the
// gate's own rule raises fewer.
const usualLimit = 0.5

// falseLimit is the false alarms a year allowed: those of the gate's own rule, or
// the usual.
func (s *masterStudy) falseLimit(g WatchGate) float64 {
	return max(usualLimit, s.falseAlarms(g, g.Alarm.By, g.Alarm.Faults))
}

// leastFaults is the fewest faults that may make an alarm by a way of counting.
func (s *masterStudy) leastFaults(g WatchGate, by string, limit float64) int {
	for k := 1; ; k++ {
		if s.falseAlarms(g, by, k) <= limit || k == mostFaults {
			return k
		}
	}
}

// mostFaults bounds the search of a rule.
const mostFaults = 1000

// falseAlarms is the false alarms a year of so many faults within the gate's
// time, from good ware alone: the faults of each parent in each time are
// Poisson. A rule without a time is taken over four weeks.
func (s *masterStudy) falseAlarms(g WatchGate, by string, faults int) float64 {
	like := g.Rejects + float64((1-g.Rejects)*g.Base)
	within := g.Alarm.Within
	if within == 0 {
		within = 4 * des.Week
	}
	parents := s.parents(by)
	weeks := float64(within) / float64(des.Week)
	mean := s.flow() * weeks * g.Fraction * like / parents
	return parents * weeksPerYear / weeks * poissonAtLeast(mean, faults)
}

// weeksPerYear is taken as 52.
const weeksPerYear = 52

// poissonAtLeast is the chance of at least k when the mean is given.
func poissonAtLeast(mean float64, k int) float64 {
	term, below := math.Exp(-mean), 0.0
	for j := range k {
		below += term
		term *= mean / float64(j+1)
	}
	return max(0, 1-below)
}

// flow is the planned or hand-estimated pieces of the ware a week.
func (s *masterStudy) flow() float64 {
	if v, ok := s.p.Hand().Value("cast." + s.q.Fault.Ware); ok {
		return v
	}
	return 0
}

// parents is how many parents of a kind the works has for the ware.
func (s *masterStudy) parents(by string) float64 {
	w, n := s.p.Works(), 0
	for k := range w.Benches {
		if b := &w.Benches[k]; b.Ware == s.q.Fault.Ware {
			switch by {
			case "bench":
				n += b.Count
			case "mould":
				n += b.Count * b.Moulds
			}
		}
	}
	if by == "case" && w.MouldShop != nil {
		for _, m := range w.MouldShop.Moulds {
			if m.Name == s.q.Fault.Ware {
				n = m.Cases
			}
		}
	}
	return float64(max(1, n))
}
