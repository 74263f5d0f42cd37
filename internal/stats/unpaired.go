package stats

import "math"

// UnpairedInterval estimates the difference of the means of a and b from runs
// made on independent draws, of which there may be more of one than of the
// other: Welch's interval (Biometrika 34, 1947), which does not take the two to
// vary alike, with the degrees of freedom of Satterthwaite (Biometrics Bulletin
// 2, 1946). N is the smaller number of runs, and SD such that SD/sqrt(N) is the
// standard error. Runs that share their draws are for PairedInterval, which is
// as a rule far sharper.
func UnpairedInterval(a, b []float64, level float64) Estimate {
	ta, tb := tallyOf(a), tallyOf(b)
	e := withoutInterval(ta.Mean()-tb.Mean(), min(ta.N(), tb.N()), level)
	if e.warnUnusable() {
		return e
	}
	va, vb := ta.Variance()/float64(ta.N()), tb.Variance()/float64(tb.N())
	e.SD = math.Sqrt((va + vb) * float64(e.N))
	half := 0.0
	if va+vb > 0 {
		df := (va + vb) * (va + vb) / (float64(va*va)/float64(ta.N()-1) + float64(vb*vb)/float64(tb.N()-1))
		half = StudentQuantile((1+level)/2, df) * math.Sqrt(va+vb)
	}
	e.Low, e.High = e.Value-half, e.Value+half
	if e.N < fewValues {
		e.warn("There are only %d values: the range is rough. %d or more are better.", e.N, fewValues)
	}
	return e
}
