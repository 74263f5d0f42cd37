package stats

import "math"

// MeanInterval estimates the mean behind independent values, one a run, by
// Student's t: mean ± t(n-1) · SD/sqrt(n). It warns when the values are few or
// lean far to one side. It is not for values that depend on one another, such
// as the weeks of one run: see BatchMeans.
func MeanInterval(xs []float64, level float64) Estimate {
	t := tallyOf(xs)
	e := t.interval(level)
	if e.HasInterval() {
		e.warnShape(xs)
	}
	return e
}

// Interval is MeanInterval from a Tally, without the warning on skewness,
// which a Tally cannot know.
func (t *Tally) Interval(level float64) Estimate {
	e := t.interval(level)
	if e.HasInterval() && t.n < fewValues {
		e.warn("There are only %d values: the range is rough. %d or more are better.", t.n, fewValues)
	}
	return e
}

// interval computes the t interval; it warns only where there is none.
func (t *Tally) interval(level float64) Estimate {
	e := withoutInterval(t.Mean(), t.n, level)
	if e.warnUnusable() {
		return e
	}
	e.SD = t.SD()
	half := studentFactor(t.n, level) * e.SD / math.Sqrt(float64(t.n))
	e.Low, e.High = e.Value-half, e.Value+half
	return e
}
