package stats

import "math"

// quadratureNodes suffices for h to 1e-6 and better, from 1 degree of freedom up.
const quadratureNodes = 96

// RinottConstant returns h of Rinott's two-stage selection (Communications in
// Statistics A 7, 1978) for k >= 2 plants, a first stage of n0 >= 2 runs and
// probability p of a right choice: the h for which
//
//	E[ (E[ Phi(h / sqrt((n0-1)(1/X + 1/Y))) | Y ])^(k-1) ] = p
//
// with X and Y independent chi-square of n0-1 degrees of freedom. The plants
// must be run on independent draws, not common ones; for those see KimNelson.
func RinottConstant(k, n0 int, p float64) float64 {
	checkLevel(p)
	df := float64(n0 - 1)
	// Over the root of a chi-square the integrand is smooth down to one degree
	// of freedom, where the chi-square density itself is infinite at 0.
	const beyond = 1e-14
	at, weight := nodes(quadratureNodes,
		math.Sqrt(ChiSquareQuantile(beyond, df)), math.Sqrt(ChiSquareQuantile(1-beyond, df)))
	for i, s := range at {
		weight[i] *= chiDensity(s, df)
	}
	right := func(h float64) float64 {
		var outer float64
		for i, y := range at {
			var inner float64
			for j, x := range at {
				inner += float64(weight[j] * normalCDF(h*x*y/math.Sqrt(df*(float64(x*x)+float64(y*y)))))
			}
			outer += float64(weight[i] * math.Pow(inner, float64(k-1)))
		}
		return outer
	}
	return solveIncreasing(right, p)
}

// RinottRuns returns the total runs a plant needs whose first stage of n0 runs
// had standard deviation sd: max(n0, ceil((h·sd/delta)²)). After that many runs
// of each, the plant with the best mean is the choice.
func RinottRuns(h, sd, delta float64, n0 int) int {
	root := h * sd / delta
	return max(n0, int(math.Ceil(root*root)))
}

// chiDensity is the density at s of the root of a chi-square.
func chiDensity(s, df float64) float64 {
	gamma, _ := math.Lgamma(df / 2)
	return math.Exp(float64((1-float64(df/2))*math.Ln2) - gamma + float64((df-1)*math.Log(s)) - float64(s*s/2))
}
