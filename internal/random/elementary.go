package random

import "math"

// The functions that draws go through, in plain Go with every product rounded.
//
// Package math computes exp and log by other means on each kind of processor, on
// amd64 even by one of two, depending on whether it has a fused multiply-add; and
// what gonum computes is fused wherever the compiler can. The last bits differ,
// about one draw in 10^9 is then rounded to another millisecond, and a long study
// would now and then have two answers on two machines. Here are the same methods
// without that freedom. Square roots, math.Frexp and math.Ldexp are exact (IEEE
// 754) and taken as they are.

// ln returns the natural logarithm of x, above 0, to within one unit in the last
// place.
//
// Source: e_log.c of FreeBSD's msun (Sun Microsystems, 1993): x = 2^k (1+f), and
// log(1+f) by a polynomial in s = f/(2+f). Its notice: "Copyright (C) 1993 by Sun
// Microsystems, Inc. All rights reserved. Developed at SunPro, a Sun Microsystems,
// Inc. business. Permission to use, copy, modify, and distribute this software is
// freely granted, provided that this notice is preserved."
func ln(x float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	}
	fraction, exponent := math.Frexp(x)
	if fraction < math.Sqrt2/2 {
		fraction *= 2
		exponent--
	}
	f, k := fraction-1, float64(exponent)
	s := f / (2 + f)
	s2 := float64(s * s)
	s4 := float64(s2 * s2)
	odd := 3.999999999940941908e-01 + float64(s4*(2.222219843214978396e-01+float64(s4*1.531383769920937332e-01)))
	even := 6.666666666666735130e-01 + float64(s4*(2.857142874366239149e-01+float64(s4*(1.818357216161805012e-01+float64(s4*1.479819860511658591e-01)))))
	rest := float64(s2*even) + float64(s4*odd)
	half := float64(0.5 * f * f)
	return float64(k*ln2High) - ((half - (float64(s*(half+rest)) + float64(k*ln2Low))) - f)
}

// The logarithm of 2 as a sum; the first part has zeros at its end, so that its
// products with exponents are exact.
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// ln1p returns ln(1+x) for x from 0, to a few units in the last place.
//
// Source: W. Kahan's correction of ln(w) for what w = 1+x lost, as in D. Goldberg,
// ACM Computing Surveys 23, 1991, theorem 4.
func ln1p(x float64) float64 {
	w := 1 + x
	switch {
	case w == 1:
		return x
	case math.IsInf(w, 1):
		return w
	}
	return ln(w) * (x / (w - 1))
}

// exp returns e to the power of x, to within one unit in the last place.
//
// Source: e_exp.c of FreeBSD's msun, under the notice at ln: x = k ln 2 + r, and
// e^r by a rational function of r.
func exp(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > 7.09782712893383973096e+02:
		return math.Inf(1)
	case x < -7.45133219101941108420e+02:
		return 0
	}
	k := math.RoundToEven(x / math.Ln2)
	high, low := x-float64(k*ln2High), float64(k*ln2Low)
	r := high - low
	t := float64(r * r)
	p := 6.61375632143793436117e-05 + float64(t*(-1.65339022054652515390e-06+float64(t*4.13813679705723846039e-08)))
	p = 1.66666666666666657415e-01 + float64(t*(-2.77777777770155933842e-03+float64(t*p)))
	c := r - float64(t*p)
	y := 1 - ((low - float64(r*c)/(2-c)) - high)
	return math.Ldexp(y, int(k))
}

// normalQuantile returns the p-quantile of the standard normal law, p from 0 to
// 1, to about 16 digits.
//
// Source: M. J. Wichura, Applied Statistics 37, 1988, algorithm AS 241, PPND16.
func normalQuantile(p float64) float64 {
	if centre := p - 0.5; math.Abs(centre) <= 0.425 {
		z := 0.180625 - float64(centre*centre)
		return centre * horner(&quantileCentre.above, z) / horner(&quantileCentre.below, z)
	}
	r := math.Sqrt(-ln(min(p, 1-p)))
	var z float64
	switch {
	case math.IsInf(r, 1):
		z = r
	case r <= 5:
		z = quantileFlank.at(r - 1.6)
	default:
		z = quantileTail.at(r - 5)
	}
	if p < 0.5 {
		return -z
	}
	return z
}

// ratio is a polynomial over another, coefficients from the highest power down.
type ratio struct{ above, below [8]float64 }

func (r *ratio) at(z float64) float64 { return horner(&r.above, z) / horner(&r.below, z) }

// horner evaluates a polynomial.
func horner(c *[8]float64, z float64) float64 {
	sum := c[0]
	for _, next := range c[1:] {
		sum = float64(sum*z) + next
	}
	return sum
}

var (
	quantileCentre = ratio{
		[8]float64{2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457, 13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608},
		[8]float64{5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867, 5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1},
	}
	quantileFlank = ratio{
		[8]float64{7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177, 1.27045825245236838258, 3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734},
		[8]float64{1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966, 0.14810397642748007459, 0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1},
	}
	quantileTail = ratio{
		[8]float64{2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386, 0.026532189526576123093, 0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699, 6.6579046435011037772},
		[8]float64{2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5, 7.868691311456132591e-4, 0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769, 1},
	}
)

// normalCDF is the distribution function of the standard normal law, to 12
// digits, below the mean and above. The small tail is worked out, never as a
// difference from 1.
//
// Source: G. Marsaglia, Journal of Statistical Software 11(4), 2004: near the mean
// the series z + z^3/3 + z^5/(3 5) + ..., far out Laplace's continued fraction.
func normalCDF(z float64) float64 {
	const far, terms = 3, 60 // the fraction is good to 1e-16 there
	switch {
	case math.IsNaN(z):
		return z
	case z > 0:
		return 1 - normalCDF(-z)
	case z < -40:
		return 0
	}
	x := -z
	density := exp(-float64(x*x)/2) / math.Sqrt(2*math.Pi)
	if x >= far {
		below := x
		for i := terms; i >= 1; i-- {
			below = x + float64(i)/below
		}
		return density / below
	}
	sum, term := x, x
	for n := 3.0; sum+term != sum; n += 2 {
		term *= float64(x*x) / n
		sum += float64(term)
	}
	return 0.5 - float64(density*sum)
}

// gammaFunction returns the gamma function of x from 1 to 33, to about 16 digits.
//
// Source: S. L. Moshier, Cephes Mathematical Library, gamma.c, release 2.2 (1992):
// x is brought between 2 and 3 by the recurrence, and there a rational function
// is good to 1e-16.
func gammaFunction(x float64) float64 {
	product := 1.0
	for x >= 3 {
		x--
		product *= x
	}
	for x < 2 {
		product /= x
		x++
	}
	x -= 2
	return product * horner(&gammaTwoToThree.above, x) / horner(&gammaTwoToThree.below, x)
}

var gammaTwoToThree = ratio{
	[8]float64{0, 1.60119522476751861407e-04, 1.19135147006586384913e-03, 1.04213797561761569935e-02, 4.76367800457137231464e-02, 2.07448227648435975150e-01, 4.94214826801497100753e-01, 9.99999999999999996796e-01},
	[8]float64{-2.31581873324120129819e-05, 5.39605580493303397842e-04, -4.45641913851797240494e-03, 1.18139785222060435552e-02, 3.58236398605498653373e-02, -2.34591795718243348568e-01, 7.14304917030273074085e-02, 1},
}
