package stats

import "math"

// PredictionRange gives the range in which the next single value lies with
// probability level: the outcome of one month or one order, not the long-run
// average. It stays wide however many runs are made, whereas MeanInterval
// shrinks to a point; to show one for the other is the commonest way to
// promise too much. Value is the mean.
//
// With enough values (39 for 95 %) the ends are the sorted values of ranks
// floor((n+1)(1-level)/2) and its mirror, which holds for any continuous law
// (Wilks, 1941; David and Nagaraja, Order Statistics, section 7.3). With fewer
// they come from mean ± t·SD·sqrt(1+1/n), which holds for a bell curve only,
// and a warning says so.
func PredictionRange(xs []float64, level float64) Estimate {
	t := tallyOf(xs)
	e := withoutInterval(t.Mean(), t.N(), level)
	if e.warnUnusable() {
		return e
	}
	e.SD = t.SD()
	n := float64(e.N)
	if rank := int(math.Floor(float64((n+1)*(1-level)/2) + 1e-9)); rank >= 1 {
		sorted := ascending(xs)
		e.Low, e.High = sorted[rank-1], sorted[e.N-rank]
		return e
	}
	half := float64(studentFactor(e.N, level) * e.SD * math.Sqrt(1+1/n))
	e.Low, e.High = e.Value-half, e.Value+half
	need := int(math.Ceil(2/(1-level) - 1 - 1e-9))
	e.warn("The range of a single case takes the values to follow a bell curve; with %d or more runs it would not have to (there are %d).", need, e.N)
	return e
}
