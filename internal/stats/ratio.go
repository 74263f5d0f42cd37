package stats

import "math"

// RatioInterval estimates a ratio of two means, such as cost per good piece,
// from pairs (num[i], den[i]), one pair a run. The value is mean(num) over
// mean(den), never the mean of the single ratios, which is biased: a run with
// little output would count as much as one with a lot.
//
// The interval is Fieller's (Journal of the Royal Statistical Society B 16,
// 1954): all ratios R for which a t test does not reject mean(num - R·den) = 0.
// It exists as a bounded interval only while the mean of den is itself
// significantly away from 0. Otherwise the delta method gives an interval for
// orientation, with a warning.
//
// SD is that of (num - Value·den)/mean(den), so that SD/sqrt(N) is the standard
// error of the delta method.
func RatioInterval(num, den []float64, level float64) Estimate {
	checkPaired(len(num), len(den))
	tn, td := tallyOf(num), tallyOf(den)
	e := withoutInterval(tn.Mean()/td.Mean(), len(num), level)
	if e.N > 0 && td.Mean() == 0 {
		e.Value = math.NaN()
		e.warn("The divisor is zero on average: there is no ratio.")
		return e
	}
	if e.warnUnusable() {
		return e
	}
	residuals := make([]float64, len(num))
	for i := range num {
		residuals[i] = (num[i] - float64(e.Value*den[i])) / td.Mean()
	}
	tr := tallyOf(residuals)
	e.SD = tr.SD()
	t := studentFactor(e.N, level)
	if low, high, ok := fieller(&tn, &td, covariance(num, den), t); ok {
		e.Low, e.High = low, high
	} else {
		half := t * e.SD / math.Sqrt(float64(e.N))
		e.Low, e.High = e.Value-half, e.Value+half
		e.warn("The divisor may be close to zero: the ratio can be almost anything, the range is for orientation only.")
	}
	e.warnShape(residuals)
	return e
}

// fieller solves (a - R·b)² = t²(vaa - 2R·vab + R²·vbb) for R, where a and b
// are the means and v.. the variances and covariance of those means. ok is
// false when b is not significantly away from 0: the solutions then bound an
// outside, not an inside.
func fieller(num, den *Tally, cov, t float64) (low, high float64, ok bool) {
	n, t2 := float64(num.N()), float64(t*t)
	a, b := num.Mean(), den.Mean()
	vaa, vbb, vab := num.Variance()/n, den.Variance()/n, cov/n
	square := float64(b*b) - float64(t2*vbb)
	if square <= 0 {
		return 0, 0, false
	}
	middle := float64(a*b) - float64(t2*vab)
	last := float64(a*a) - float64(t2*vaa)
	// Where square > 0 the root is real; rounding may make a zero negative.
	root := math.Sqrt(max(0, float64(middle*middle)-float64(square*last)))
	return (middle - root) / square, (middle + root) / square, true
}

// covariance returns the sample covariance (divisor n-1) of paired samples.
func covariance(a, b []float64) float64 {
	ta, tb := tallyOf(a), tallyOf(b)
	var sum float64
	for i := range a {
		sum += float64(ta.deviation(a[i]) * tb.deviation(b[i]))
	}
	return sum / float64(len(a)-1)
}
