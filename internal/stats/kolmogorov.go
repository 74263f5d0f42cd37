package stats

import "math"

// exactKolmogorov is the sample size up to which the exact law is used; beyond
// it the matrices grow, and Stephens' approximation is within 0.3 %.
const exactKolmogorov = 100

// KolmogorovDistance returns D, the greatest vertical distance between the
// distribution function of a sample and a continuous law, NaN without values.
func KolmogorovDistance(xs []float64, cdf func(float64) float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	sorted, n := ascending(xs), float64(len(xs))
	var d float64
	for i, x := range sorted {
		f := cdf(x)
		d = max(d, float64(i+1)/n-f, f-float64(i)/n)
	}
	return d
}

// KolmogorovCritical returns the D that n values drawn from the law itself
// exceed with probability alpha (two-sided). It holds for a law fixed
// beforehand: one fitted to the same values lies closer, and the test then
// almost never rejects. Exact up to n = 100 (Marsaglia, Tsang and Wang, Journal
// of Statistical Software 8, 2003), by Stephens' factor above (Journal of the
// American Statistical Association 69, 1974).
func KolmogorovCritical(n int, alpha float64) float64 {
	checkLevel(1 - alpha)
	if n < 1 {
		panic("stats: Kolmogorov test without values")
	}
	if n > exactKolmogorov {
		root := math.Sqrt(float64(n))
		return solveIncreasing(kolmogorovLimit, 1-alpha) / (root + 0.12 + 0.11/root)
	}
	return solveIncreasing(func(d float64) float64 { return kolmogorovExact(n, d) }, 1-alpha)
}

// kolmogorovLimit is Kolmogorov's limiting law of sqrt(n)·D for x > 0, in the
// one of its two series that converges at once.
func kolmogorovLimit(x float64) float64 {
	var sum float64
	if x < 1 {
		for j := 1.0; j < 20; j += 2 {
			sum += math.Exp(-float64(j*j) * math.Pi * math.Pi / float64(8*x*x))
		}
		return math.Sqrt(2*math.Pi) / x * sum
	}
	sign := 1.0
	for j := 1.0; j < 10; j++ {
		sum += float64(sign * math.Exp(-2*j*j*x*x))
		sign = -sign
	}
	return 1 - float64(2*sum)
}

// kolmogorovExact is P(D < d) for n values: n!/nⁿ times the middle element of
// the n-th power of a matrix built from d.
func kolmogorovExact(n int, d float64) float64 {
	switch {
	case d >= 1:
		return 1
	case 2*float64(n)*d <= 1:
		return 0 // no sample comes closer than 1/(2n)
	}
	k := int(float64(n)*d) + 1
	p := matrixPower(kolmogorovMatrix(k, float64(k)-float64(float64(n)*d)), n)[k-1][k-1]
	for i := 1; i <= n; i++ {
		p *= float64(i) / float64(n)
	}
	return p
}

// kolmogorovMatrix is H of Marsaglia, Tsang and Wang, of size 2k-1; h is the
// part of k that n·d falls short by.
func kolmogorovMatrix(k int, h float64) [][]float64 {
	m := 2*k - 1
	matrix := make([][]float64, m)
	for i := range matrix {
		matrix[i] = make([]float64, m)
		for j := range min(m, i+2) {
			matrix[i][j] = 1
		}
	}
	for i := range m {
		matrix[i][0] -= math.Pow(h, float64(i+1))
		matrix[m-1][i] -= math.Pow(h, float64(m-i))
	}
	matrix[m-1][0] += math.Pow(max(0, float64(2*h)-1), float64(m))
	for i := range m {
		for j := range min(m, i+1) {
			matrix[i][j] /= math.Gamma(float64(i - j + 2)) // (i-j+1)!
		}
	}
	return matrix
}

// matrixPower raises a square matrix to the power n >= 1 by repeated squaring.
func matrixPower(a [][]float64, n int) [][]float64 {
	if n == 1 {
		return a
	}
	half := matrixPower(a, n/2)
	power := matrixProduct(half, half)
	if n%2 == 1 {
		power = matrixProduct(power, a)
	}
	return power
}

// matrixProduct multiplies square matrices.
func matrixProduct(a, b [][]float64) [][]float64 {
	product := make([][]float64, len(a))
	for i := range product {
		product[i] = make([]float64, len(a))
		for l, factor := range a[i] {
			for j := range product[i] {
				product[i][j] += float64(factor * b[l][j])
			}
		}
	}
	return product
}
