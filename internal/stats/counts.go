package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// BinomialAtLeast is the probability of at least k successes in n independent
// trials of probability p, exact by the incomplete beta function: the k-th
// smallest of n uniform values is Beta(k, n-k+1) (David and Nagaraja, Order
// Statistics, section 2.1).
func BinomialAtLeast(k, n int, p float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n || p <= 0:
		return 0
	case p >= 1:
		return 1
	}
	return mathext.RegIncBeta(float64(k), float64(n-k+1), p)
}

// BetaBinomialAtLeast is the probability of at least k successes in n trials
// whose common probability is itself drawn from Beta(a, b): what counts of hits
// and misses leave open of a share (Johnson, Kemp and Kotz, Univariate Discrete
// Distributions, section 6.2.2). It sums from k upwards.
func BetaBinomialAtLeast(k, n int, a, b float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	lg := func(x float64) float64 { v, _ := math.Lgamma(x); return v }
	logBeta := func(x, y float64) float64 { return lg(x) + lg(y) - lg(x+y) }
	all := lg(float64(n) + 1)
	sum := 0.0
	for j := k; j <= n; j++ {
		x := float64(j)
		y := float64(n - j)
		sum += math.Exp(all - lg(x+1) - lg(y+1) + logBeta(x+a, y+b) - logBeta(a, b))
	}
	return min(1, sum)
}

// NormalAtMost is the probability that a standard normal value does not exceed z.
func NormalAtMost(z float64) float64 { return normalCDF(z) }
