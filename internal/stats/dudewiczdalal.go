package stats

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// DudewiczDalalConstant returns h1 of the two-stage selection of Dudewicz and
// Dalal (Sankhya B 37, 1975), as tabled by Law: the h for which
//
//	integral F(t+h)^(k-1) f(t) dt = p
//
// with F and f Student's law of n0-1 degrees of freedom, for k >= 2 plants run
// on independent draws and a first stage of n0 >= 2 runs.
func DudewiczDalalConstant(k, n0 int, p float64) float64 {
	checkLevel(p)
	law := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n0 - 1)}
	// With t = sinh(s) even the tails of one degree of freedom fall off
	// exponentially, and equal steps converge faster than any power of the step.
	const beyond, step = 1e-13, 1.0 / 32
	end := math.Asinh(law.Quantile(1 - beyond))
	var at, weight []float64
	for s := -end; s <= end; s += step {
		at = append(at, math.Sinh(s))
		weight = append(weight, step*law.Prob(math.Sinh(s))*math.Cosh(s))
	}
	right := func(h float64) float64 {
		var sum float64
		for i, t := range at {
			sum += float64(weight[i] * math.Pow(law.CDF(t+h), float64(k-1)))
		}
		return sum
	}
	return solveIncreasing(right, p)
}

// DudewiczDalalRuns returns the total runs of a plant whose first stage of n0
// runs had standard deviation sd: max(n0+1, ceil((h1·sd/delta)²)).
func DudewiczDalalRuns(h1, sd, delta float64, n0 int) int {
	root := h1 * sd / delta
	return max(n0+1, int(math.Ceil(root*root)))
}

// DudewiczDalalMean returns the weighted mean by which plants are compared: the
// first n0 runs and the rest get weights such that its spread is delta/h1,
// whatever sd was. A sample without spread is simply averaged.
func DudewiczDalalMean(sample []float64, n0 int, h1, delta float64) float64 {
	first, rest := tallyOf(sample[:n0]), tallyOf(sample[n0:])
	sd, n := first.SD(), float64(len(sample))
	if sd == 0 || rest.N() == 0 {
		all := tallyOf(sample)
		return all.Mean()
	}
	q := delta / (h1 * sd)
	m := float64(n0)
	w := float64(m / n * (1 + math.Sqrt(max(0, 1-float64(n/m*(1-float64((n-m)*q*q)))))))
	return float64(w*first.Mean()) + float64((1-w)*rest.Mean())
}
