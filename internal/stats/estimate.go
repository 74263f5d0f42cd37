package stats

import (
	"fmt"
	"math"
)

// An Estimate is a figure with its doubt: what was found, the range in which
// the true value lies with the stated confidence, and what to beware of.
//
// Value, Low, High and SD share the unit of the data (for a variance, its
// square).
type Estimate struct {
	Value float64 // best single figure; NaN when there is none
	// Low and High bound the interval. Both are NaN when there is no interval,
	// for instance from a single value.
	Low, High float64
	// SD is the spread of the single values behind the estimate, so that
	// SD/sqrt(N) is the standard error of a mean; NaN when N < 2.
	SD       float64
	N        int      // number of values, runs or trials
	Level    float64  // confidence asked for, 0.95 for 95 %
	Warnings []string // plain sentences for the reader, none when all is well
}

// HasInterval tells whether Low and High are numbers.
func (e Estimate) HasInterval() bool {
	return !math.IsNaN(e.Low) && !math.IsNaN(e.High)
}

// HalfWidth returns half the length of the interval, NaN when there is none.
// Of an interval that is not symmetric (a ratio, a proportion, a quantile) it
// is the average of the two arms.
func (e Estimate) HalfWidth() float64 { return float64((e.High - e.Low) / 2) }

// Contains tells whether v lies in the interval, ends included. Without an
// interval nothing is excluded and nothing is contained: false.
func (e Estimate) Contains(v float64) bool { return e.Low <= v && v <= e.High }

// Excludes tells whether the interval exists and leaves v out. The usual
// question is Excludes(0) of a difference: is there a difference at all?
func (e Estimate) Excludes(v float64) bool {
	return e.HasInterval() && !e.Contains(v)
}

// fewValues is the number of values below which an interval is called rough.
// Ten is also the usual least first stage of a sequential study (Law,
// Simulation Modeling and Analysis).
const fewValues = 10

// withoutInterval starts an Estimate whose ends are not known (yet).
func withoutInterval(value float64, n int, level float64) Estimate {
	checkLevel(level)
	nan := math.NaN()
	return Estimate{Value: value, Low: nan, High: nan, SD: nan, N: n, Level: level}
}

// warn adds a sentence.
func (e *Estimate) warn(format string, args ...any) {
	e.Warnings = append(e.Warnings, fmt.Sprintf(format, args...))
}

// warnUnusable explains why there is no interval and reports whether that is
// the case: too few values, or values that are no numbers.
func (e *Estimate) warnUnusable() bool {
	switch {
	case e.N == 0:
		e.warn("There are no values: nothing can be said.")
	case math.IsNaN(e.Value) || math.IsInf(e.Value, 0):
		e.warn("At least one value is missing or infinite: no range can be given.")
	case e.N == 1:
		e.warn("There is one value only: it says nothing about the spread. Make at least 2 runs, better %d.", fewValues)
	default:
		return false
	}
	return true
}

// warnShape adds the warnings of an interval that leans on the average of xs
// being nearly normal: too few values to trust it, or a long tail to one side.
//
// The limit skewness/sqrt(n) <= 0.2 is potbank's own. The error of a two-sided
// t interval's one-sided coverage is of the order skewness/(6 sqrt(n)) at its
// ends, so the limit keeps each tail within a few points of its nominal share.
// Below fewValues skewness cannot be judged, and the first warning is enough.
func (e *Estimate) warnShape(xs []float64) {
	n := len(xs)
	if n < fewValues {
		e.warn("There are only %d values: the range is rough. %d or more are better.", n, fewValues)
		return
	}
	const limit = 0.2
	skew := math.Abs(Skewness(xs))
	if skew/math.Sqrt(float64(n)) > limit {
		need := math.Ceil(float64(skew*skew) / (limit * limit))
		e.warn("A few values lie far out to one side: the range may miss the truth more often than stated. About %.0f values would be enough; there are %d.", need, n)
	}
}

// checkLevel panics unless 0 < level < 1.
func checkLevel(level float64) {
	if !(level > 0 && level < 1) {
		panic(fmt.Sprintf("stats: confidence level %v is not between 0 and 1", level))
	}
}
