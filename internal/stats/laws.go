package stats

import (
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// StudentQuantile returns the p-quantile of Student's t law with df degrees of
// freedom, df > 0 (a fraction is allowed). Good to about 1e-12 relative.
func StudentQuantile(p, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}

// ChiSquareQuantile returns the p-quantile of the chi-square law with df > 0
// degrees of freedom.
func ChiSquareQuantile(p, df float64) float64 {
	return distuv.ChiSquared{K: df}.Quantile(p)
}

// FQuantile returns the p-quantile of Fisher's F law with d1 and d2 degrees of
// freedom, both > 0.
func FQuantile(p, d1, d2 float64) float64 {
	return distuv.F{D1: d1, D2: d2}.Quantile(p)
}

// NormalQuantile returns the p-quantile of the standard normal law.
func NormalQuantile(p float64) float64 { return mathext.NormalQuantile(p) }

// studentFactor is the t quantile of a two-sided interval from n values.
func studentFactor(n int, level float64) float64 {
	return StudentQuantile((1+level)/2, float64(n-1))
}
