package random

import (
	"fmt"
	"math"
)

// Dealer makes the gates of one replication. With randomness off its gates deal
// expected values and fixed repeating patterns instead of drawing.
type Dealer struct {
	source Source
	off    bool
	again  func(gate string) bool // which gates draw from anew; nil: none
	anew   Source
}

// NewDealer returns a dealer that draws from the source, or does not draw at all
// if off.
func NewDealer(s Source, off bool) *Dealer { return &Dealer{source: s, off: off} }

// Off reports whether randomness is off.
func (d *Dealer) Off() bool { return d.off }

// Source returns the source the dealer draws from.
func (d *Dealer) Source() Source { return d.source }

// Redeal has the gates of the names that are picked draw from another source, if
// they are made afterwards; all others draw as before. So one cause of chance
// can be dealt anew while the rest of the luck stays.
func (d *Dealer) Redeal(picked func(gate string) bool, from Source) { d.again, d.anew = picked, from }

// Gate returns a new gate with the purpose PurposeOf(name). Make one gate for
// each stream that should have a pattern of its own when randomness is off, such
// as one for each ware, and make it once, at set-up.
//
// Gates of one name draw alike: their values differ by object and ordinal only.
// Their patterns are separate.
func (d *Dealer) Gate(name string) *Gate {
	source := d.source
	if d.again != nil && d.again(name) {
		source = d.anew
	}
	return &Gate{source: source, purpose: PurposeOf(name), off: d.off}
}

// Gate is where one purpose of one stream meets chance. What it draws depends on
// the seed, the replication, its name, the object and the ordinal, and on
// nothing else. With randomness off it deals a pattern in the order it is asked.
type Gate struct {
	source  Source
	purpose Purpose
	off     bool
	credit  int64   // of Trial's pattern, in units of whole
	lag     []int64 // of Choice's pattern: what each outcome is owed, likewise
}

// whole is the number of credits in one event. Probabilities are rounded to this
// billionth before they enter a pattern; after that the patterns are integer
// arithmetic and cannot drift.
const whole = 1_000_000_000

// Value draws from a law. Off: the law's mean.
func (g *Gate) Value(l Law, object uint64, ordinal uint32) float64 {
	if c, ok := l.(constant); ok {
		return c.value // no draw to make: other keys are not disturbed
	}
	if g.off {
		return l.Mean()
	}
	return l.Quantile(g.source.Uniform(g.purpose, object, ordinal))
}

// Time draws a time in milliseconds from a law in milliseconds, rounded once as
// [Time] rounds it. Off: the law's mean, rounded.
func (g *Gate) Time(l Law, object uint64, ordinal uint32) (ms int64) {
	return tick(g.Value(l, object, ordinal))
}

// Share draws a batch's own probability. Off: the mean.
func (g *Gate) Share(o Overdispersed, object uint64, ordinal uint32) float64 {
	if g.off {
		return o.mean
	}
	return o.Share(g.source.Uniform(g.purpose, object, ordinal))
}

// Trial draws a yes with probability p. A p below 0 counts as 0, above 1 as 1;
// neither is drawn for.
//
// Off: the k-th trial is a yes when the sum of all p so far, p rounded to nine
// decimals, plus one half passes a whole number. The running count of yeses is
// thus always the nearest whole number to that sum; with a fixed p the pattern
// repeats.
func (g *Gate) Trial(p float64, object uint64, ordinal uint32) bool {
	if p <= 0 || p >= 1 {
		return p >= 1
	}
	if !g.off {
		return Trial(g.source.Uniform(g.purpose, object, ordinal), p)
	}
	g.credit += credits(p)
	if g.credit < whole/2 {
		return false
	}
	g.credit -= whole
	return true
}

// credits rounds a probability to whole billionths.
func credits(p float64) int64 {
	return int64(math.RoundToEven(min(max(p, 0), 1) * whole))
}

// Choice draws one of several outcomes and returns its index; each is drawn in
// proportion to its weight. Weights are not negative and not all zero; anything
// else is a fault of the program and panics.
//
// Off: outcomes take turns so that the running count of each stays within one of
// its share of the choices made; the shares are rounded to nine decimals. The
// number of weights must then be the same at every call.
func (g *Gate) Choice(weights []float64, object uint64, ordinal uint32) int {
	total := totalWeight(weights)
	if len(weights) == 1 {
		return 0
	}
	if g.off {
		return g.turn(weights, total)
	}
	return pick(weights, g.source.Uniform(g.purpose, object, ordinal)*total)
}

// pick returns the outcome in whose stretch of the weights, laid end to end, the
// target lies. A target that rounding has put at the very end belongs to the
// last outcome that has a weight.
func pick(weights []float64, target float64) int {
	sum, last := 0.0, 0
	for i, w := range weights {
		if w == 0 {
			continue
		}
		if sum += w; target < sum {
			return i
		}
		last = i
	}
	return last
}

// totalWeight adds the weights up.
func totalWeight(weights []float64) float64 {
	total := 0.0
	for _, w := range weights {
		if !(w >= 0) {
			panic(fmt.Sprintf("random: weight %v of a choice is negative or not a number", w))
		}
		total += w
	}
	if !(total > 0) || math.IsInf(total, 1) {
		panic(fmt.Sprintf("random: weights of a choice add up to %v", total))
	}
	return total
}

// turn chooses by the rule for the chairman assignment problem: among the
// outcomes owed at least 1/(2n-2), take the one that must come soonest, lest it
// be owed more than 1 - 1/(2n-2). With fixed weights no count then strays from
// its share by more than that, which the greedy rule (take the one owed most)
// cannot promise.
//
// Source: R. Tijdeman, "The chairman assignment problem", Discrete Mathematics
// 32, 1980.
func (g *Gate) turn(weights []float64, total float64) int {
	if g.lag == nil {
		g.lag = make([]int64, len(weights))
	}
	if len(g.lag) != len(weights) {
		panic(fmt.Sprintf("random: choice among %d outcomes at a gate that began with %d", len(weights), len(g.lag)))
	}
	if len(weights) == 1 {
		return 0
	}
	n := int64(2*len(weights) - 2)
	chosen, soonest := -1, int64(math.MaxInt64)
	mostOwed := -1
	sum, before := 0.0, int64(0)
	for i, w := range weights {
		// Rounding the running sum makes the shares add up to whole exactly.
		sum += w
		upTo := credits(sum / total)
		share := upTo - before
		before = upTo
		g.lag[i] += share
		if share == 0 {
			continue
		}
		if mostOwed < 0 || g.lag[i] > g.lag[mostOwed] {
			mostOwed = i
		}
		if n*g.lag[i] < whole {
			continue
		}
		if wait := floorDiv((n-1)*whole-n*g.lag[i], n*share); wait < soonest {
			chosen, soonest = i, wait
		}
	}
	if chosen < 0 {
		// Only when the weights have changed since the last call: the credit is
		// with an outcome that can no longer happen.
		chosen = mostOwed
	}
	g.lag[chosen] -= whole
	return chosen
}

// floorDiv divides towards minus infinity: an overdue outcome waits less than
// one due now. The divisor is positive.
func floorDiv(a, b int64) int64 {
	if a < 0 {
		a -= b - 1
	}
	return a / b
}
