package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Wilson estimates a probability from x successes in n independent trials by
// the score interval (Wilson, Journal of the American Statistical Association
// 22, 1927). Its coverage is close to the level on average; for a guarantee
// use ClopperPearson.
func Wilson(x, n int, level float64) Estimate {
	e := proportion(x, n, level)
	if n == 0 {
		return e
	}
	z := NormalQuantile((1 + level) / 2)
	z2, m := float64(z*z), float64(n)
	centre := (float64(x) + float64(z2/2)) / (m + z2)
	half := float64(z / (m + z2) * math.Sqrt(float64(float64(x)*(1-e.Value))+float64(z2/4)))
	e.Low, e.High = max(0, centre-half), min(1, centre+half)
	e.pinEnds(x)
	return e
}

// ClopperPearson estimates a probability from x successes in n independent
// trials by the exact interval (Clopper and Pearson, Biometrika 26, 1934). It
// covers the truth at least as often as stated, at the price of some length.
func ClopperPearson(x, n int, level float64) Estimate {
	e := proportion(x, n, level)
	if n == 0 {
		return e
	}
	tail, successes, failures := float64((1-level)/2), float64(x), float64(n-x)
	if x > 0 {
		e.Low = distuv.Beta{Alpha: successes, Beta: failures + 1}.Quantile(tail)
	}
	if x < n {
		e.High = distuv.Beta{Alpha: successes + 1, Beta: failures}.Quantile(1 - tail)
	}
	e.pinEnds(x)
	return e
}

// proportion starts the estimate of a probability.
func proportion(x, n int, level float64) Estimate {
	if x < 0 || x > n {
		panic(fmt.Sprintf("stats: %d successes in %d trials", x, n))
	}
	e := withoutInterval(float64(x)/float64(n), n, level)
	if n == 0 {
		e.warn("There are no trials: nothing can be said.")
		return e
	}
	e.SD = math.Sqrt(float64(e.Value * (1 - e.Value)))
	switch x {
	case 0:
		e.warn("It never happened in %d trials. That does not make it impossible: read the upper end.", n)
	case n:
		e.warn("It happened in all %d trials. That does not make it certain: read the lower end.", n)
	}
	return e
}

// pinEnds sets the ends that are known exactly, free of rounding: nothing seen
// reaches down to 0, nothing missed reaches up to 1.
func (e *Estimate) pinEnds(x int) {
	if x == 0 {
		e.Low = 0
	}
	if x == e.N {
		e.High = 1
	}
}
