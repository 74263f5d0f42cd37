package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// QuantileInterval estimates the p-quantile behind independent values, such as
// the date met in 95 of 100 cases, without assuming any law. Value is the
// smallest value that at least a share p of the sample does not exceed: always
// a value that was seen. The interval runs between two of the sorted values,
// see QuantileRanks; coverage is the probability, at least level, with which
// it covers the true quantile.
//
// With too few values no interval exists; a warning then names the number
// needed, and coverage is what the smallest and largest value would give.
func QuantileInterval(xs []float64, p, level float64) (e Estimate, coverage float64) {
	checkProbability(p)
	t := tallyOf(xs)
	e = withoutInterval(t.Mean(), t.N(), level)
	if e.N == 0 || math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
		e.warnUnusable()
		return e, 0
	}
	sorted := ascending(xs)
	e.Value, e.SD = sorted[QuantileRank(e.N, p)-1], t.SD()
	low, high, coverage, ok := QuantileRanks(e.N, p, level)
	if !ok {
		e.warn("No range for the %g %% point: need >= %d values at %g %% confidence, there are %d.",
			percent(p), QuantileSampleSize(p, level), percent(level), e.N)
		return e, coverage
	}
	e.Low, e.High = sorted[low-1], sorted[high-1]
	return e, coverage
}

// QuantileRanks returns the ranks low < high, counted from 1, of the sorted
// values that bound the p-quantile of a continuous law: the narrowest pair
// with P(low <= B <= high-1) >= level for B binomial(n, p), and of several as
// narrow the lowest (David and Nagaraja, Order Statistics, section 7.1). Where
// even the extremes fall short it returns them with ok false.
func QuantileRanks(n int, p, level float64) (low, high int, coverage float64, ok bool) {
	checkProbability(p)
	checkLevel(level)
	below := binomialCDF(n, p)
	covered := func(low, high int) float64 { return below(high-1) - below(low-1) }
	if n < 2 || covered(1, n) < level {
		return 1, n, max(0, covered(1, n)), false
	}
	low, high = 1, n
	// Raising the lower rank never lets the upper one fall, so both only climb.
	for r, s := 1, 2; r < n; r++ {
		s = max(s, r+1)
		for s <= n && covered(r, s) < level {
			s++
		}
		if s > n {
			break
		}
		if s-r < high-low {
			low, high = r, s
		}
	}
	return low, high, covered(low, high), true
}

// QuantileSampleSize returns the least number of independent values from which
// a two-sided interval for the p-quantile can be had at the level.
func QuantileSampleSize(p, level float64) int {
	checkProbability(p)
	checkLevel(level)
	return leastCount(func(n float64) bool {
		return 1-math.Pow(p, n)-math.Pow(1-p, n) >= level
	})
}

// ToleranceSampleSize returns the least number of independent values whose
// largest is, with the confidence of level, no less than the p-quantile (Wilks,
// Annals of Mathematical Statistics 12, 1941): 59 for p = level = 0.95. The
// two-sided size is that from which smallest and largest together enclose a
// share p of all values.
func ToleranceSampleSize(p, level float64, twoSided bool) int {
	checkProbability(p)
	checkLevel(level)
	return leastCount(func(n float64) bool {
		miss := math.Pow(p, n)
		if twoSided {
			miss = float64(n*math.Pow(p, n-1)) - float64((n-1)*math.Pow(p, n))
		}
		return 1-miss >= level
	})
}

// leastCount returns the smallest n >= 1 for which enough holds, given that it
// keeps holding above; it doubles to bracket n, then halves.
func leastCount(enough func(n float64) bool) int {
	high := 1
	for !enough(float64(high)) {
		high *= 2
	}
	low := high / 2
	for high-low > 1 {
		middle := low + (high-low)/2
		if enough(float64(middle)) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// QuantileRank is the rank, from 1, of the sample p-quantile of n values: n·p
// rounded up, with a guard against products such as 100·0.07 = 7.000000000000001.
func QuantileRank(n int, p float64) int {
	return min(n, max(1, int(math.Ceil(float64(float64(n)*p)-1e-9))))
}

// binomialCDF returns the distribution function of binomial(n, p), tabled by
// summing, as the search over ranks asks for nearly every value several times.
func binomialCDF(n int, p float64) func(k int) float64 {
	law := distuv.Binomial{N: float64(n), P: p}
	table, sum := make([]float64, n+1), 0.0
	for k := range table {
		sum += law.Prob(float64(k))
		table[k] = sum
	}
	return func(k int) float64 { return table[k] }
}

// ascending returns the values in order, leaving the sample as it is.
func ascending(xs []float64) []float64 {
	sorted := slices.Clone(xs)
	slices.Sort(sorted)
	return sorted
}

// percent turns a share into percent without digits born of rounding.
func percent(share float64) float64 { return math.Round(share*1e8) / 1e6 }

// checkProbability panics unless 0 < p < 1.
func checkProbability(p float64) {
	if !(p > 0 && p < 1) {
		panic("stats: probability of a quantile is not between 0 and 1")
	}
}

// SampleQuantile is the sample p-quantile of sorted values: the smallest that at
// least a share p of them does not exceed; NaN when there is none.
func SampleQuantile(sorted []float64, p float64) float64 {
	checkProbability(p)
	if len(sorted) == 0 {
		return math.NaN()
	}
	return sorted[QuantileRank(len(sorted), p)-1]
}
