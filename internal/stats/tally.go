package stats

import "math"

// A Tally gathers values one at a time and keeps their count, mean, variance
// and extremes in constant memory. The zero value is empty and ready.
//
// The update is Welford's (Technometrics 4, 1962), which stays exact where the
// sum of squares minus the squared sum loses every digit. The mean is held as
// an unevaluated sum of two floats, so that its own rounding does not leak
// into the variance of values that lie close together far from zero.
type Tally struct {
	n        int
	mean     float64 // leading part of the mean
	carry    float64 // what the leading part could not hold
	m2       float64 // sum of squared deviations from the mean
	min, max float64
}

// Add takes in one value.
func (t *Tally) Add(x float64) {
	if t.n == 0 {
		t.min, t.max = x, x
	}
	t.min, t.max = min(t.min, x), max(t.max, x)
	t.n++
	before := t.deviation(x)
	t.shift(before / float64(t.n))
	t.m2 += float64(before * t.deviation(x))
}

// Merge takes in all values of o at once (Chan, Golub and LeVeque, American
// Statistician 37, 1983). The result is that of adding them one by one up to
// rounding: to get the same last digits each time, merge in the same order.
func (t *Tally) Merge(o Tally) {
	if o.n == 0 {
		return
	}
	if t.n == 0 {
		*t = o
		return
	}
	n, m := float64(t.n), float64(o.n)
	delta := (o.mean - t.mean) + (o.carry - t.carry)
	t.shift(float64(delta*m) / (n + m))
	t.m2 += o.m2 + float64(float64(delta*delta)*(n*m/(n+m)))
	t.n += o.n
	t.min, t.max = min(t.min, o.min), max(t.max, o.max)
}

// N returns the number of values.
func (t *Tally) N() int { return t.n }

// Mean returns the arithmetic mean, NaN when there are no values.
func (t *Tally) Mean() float64 {
	if t.n == 0 {
		return math.NaN()
	}
	return t.mean + t.carry
}

// Variance returns the sample variance (divisor n-1), NaN for n < 2.
func (t *Tally) Variance() float64 {
	if t.n < 2 {
		return math.NaN()
	}
	return t.m2 / float64(t.n-1)
}

// SD returns the sample standard deviation, NaN for n < 2.
func (t *Tally) SD() float64 { return math.Sqrt(t.Variance()) }

// Min returns the smallest value, NaN when there are none.
func (t *Tally) Min() float64 {
	if t.n == 0 {
		return math.NaN()
	}
	return t.min
}

// Max returns the largest value, NaN when there are none.
func (t *Tally) Max() float64 {
	if t.n == 0 {
		return math.NaN()
	}
	return t.max
}

// deviation is x minus the two-part mean.
func (t *Tally) deviation(x float64) float64 { return (x - t.mean) - t.carry }

// shift moves the mean by d without losing the low digits of the sum
// (Knuth's two-sum: good whichever of the two is the larger).
func (t *Tally) shift(d float64) {
	d += t.carry
	sum := t.mean + d
	part := sum - t.mean
	t.carry = (t.mean - (sum - part)) + (d - part)
	t.mean = sum
}

// tallyOf gathers a slice.
func tallyOf(xs []float64) Tally {
	var t Tally
	for _, x := range xs {
		t.Add(x)
	}
	return t
}
