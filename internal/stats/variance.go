package stats

import "math"

// VarianceInterval estimates the variance behind independent values by the
// chi-square law: (n-1)S²/chi2. Unlike the interval of a mean it does not
// become right with many values: it holds for normal values only, so it warns
// when the tails are clearly heavier or lighter than those of a normal law.
// Value, Low and High are squares of the data's unit; SD is the root of Value.
func VarianceInterval(xs []float64, level float64) Estimate {
	t := tallyOf(xs)
	e := withoutInterval(t.Mean(), t.N(), level)
	unusable := e.warnUnusable()
	e.Value = t.Variance()
	if unusable {
		return e
	}
	e.SD = t.SD()
	df := float64(t.N() - 1)
	e.Low = t.m2 / ChiSquareQuantile((1+level)/2, df)
	e.High = t.m2 / ChiSquareQuantile((1-level)/2, df)
	// sqrt(24/n) is the standard error of the excess kurtosis of normal data.
	if k := excessKurtosis(&t, xs); math.Abs(k) > 2*math.Sqrt(24/float64(t.N())) {
		e.warn("The values do not follow a bell curve: the range of their spread is not to be trusted.")
	}
	return e
}

// excessKurtosis is the moment coefficient m4/m2² - 3, 0 for equal values.
func excessKurtosis(t *Tally, xs []float64) float64 {
	if t.m2 == 0 {
		return 0
	}
	var fourth float64
	for _, x := range xs {
		d := t.deviation(x)
		fourth += float64(float64(d*d) * float64(d*d))
	}
	return float64(t.N())*fourth/float64(t.m2*t.m2) - 3
}
