package stats

import "math"

// Skewness returns the moment coefficient m3/m2^1.5 of the values, 0 when they
// are all equal and NaN when there are none. The uncorrected coefficient is
// used on purpose: it is bounded by sqrt(n), so that one wild value in a small
// sample does not send a warning's "values needed" to absurd heights.
func Skewness(xs []float64) float64 {
	t := tallyOf(xs)
	mean, n := t.Mean(), float64(t.N())
	var m2, m3 float64
	for _, x := range xs {
		d := x - mean
		m2 += float64(d * d)
		m3 += float64(float64(d*d) * d)
	}
	if m2 == 0 && t.N() > 0 {
		return 0
	}
	return (m3 / n) / math.Pow(m2/n, 1.5)
}

// Autocorrelation returns the correlation of the series with itself lag steps
// later: the sum of products of deviations over the sum of their squares, both
// about the mean of the whole series (the definition of the NIST reference
// data sets). It is NaN for a constant series or a lag outside 0..len-1.
func Autocorrelation(series []float64, lag int) float64 {
	if lag < 0 || lag >= len(series) {
		return math.NaN()
	}
	t := tallyOf(series)
	var products, squares float64
	for i, x := range series {
		d := t.deviation(x)
		squares += float64(d * d)
		if i+lag < len(series) {
			products += float64(d * t.deviation(series[i+lag]))
		}
	}
	if squares == 0 {
		return math.NaN()
	}
	return products / squares
}

// Correlation returns the product-moment correlation of two paired samples,
// NaN when either is constant or shorter than 2. Between two plants run on the
// same random draws it says what the pairing bought: the variance of their
// difference falls to 1-correlation times that of independent runs when both
// vary alike. A negative value means the pairing did harm.
func Correlation(a, b []float64) float64 {
	checkPaired(len(a), len(b))
	ta, tb := tallyOf(a), tallyOf(b)
	var products float64
	for i := range a {
		products += float64(ta.deviation(a[i]) * tb.deviation(b[i]))
	}
	scale := math.Sqrt(ta.m2) * math.Sqrt(tb.m2)
	if len(a) < 2 || scale == 0 {
		return math.NaN()
	}
	// Rounding may carry a perfect correlation a hair beyond 1.
	return max(-1, min(1, products/scale))
}

// checkPaired panics when paired samples differ in length.
func checkPaired(a, b int) {
	if a != b {
		panic("stats: paired samples differ in length")
	}
}
