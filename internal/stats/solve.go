package stats

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// solveIncreasing returns the x >= 0 at which the increasing function f passes
// target, by doubling and halving; f(0) must not exceed it. The answer is good
// to about 1e-13 relative. Halving needs no derivative and cannot run away.
func solveIncreasing(f func(float64) float64, target float64) float64 {
	high := 1.0
	for f(high) < target {
		high *= 2
	}
	low := 0.0
	for range 60 {
		middle := (low + high) / 2
		if f(middle) < target {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// nodes returns the places and weights of Gauss-Legendre quadrature on low..high.
func nodes(n int, low, high float64) (at, weight []float64) {
	at, weight = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(at, weight, low, high)
	return at, weight
}

// normalCDF is the standard normal distribution function.
func normalCDF(x float64) float64 { return float64(math.Erfc(-x/math.Sqrt2) / 2) }
