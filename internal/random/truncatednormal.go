package random

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// truncatedNormal is the part of a normal law between two bounds.
type truncatedNormal struct {
	parentMean, parentSD float64
	lo, hi               float64
	mean, sd             float64
	// The parent's probability below lo, between the bounds, and above hi.
	below, inside, above float64
}

// insideMin is the least probability the parent must have between the bounds.
// With less, the description is a mistake: nobody means a normal law of which
// not one value in a million is used.
const insideMin = 1e-6

// TruncatedNormal returns the normal law of the given mean and sd with
// everything outside lo to hi cut away. Mean and sd describe the law before the
// cut; [Law.Mean] and [Law.SD] of the result describe what is left. A bound may
// be infinite. An sd of zero gives a constant, if the mean lies between the
// bounds.
func TruncatedNormal(mean, sd, lo, hi float64) (Law, error) {
	if err := finite("normal", parameter{"mean", mean}); err != nil {
		return nil, err
	}
	if err := deviation("normal", sd); err != nil {
		return nil, err
	}
	if !(lo < hi) {
		return nil, fmt.Errorf("normal: min must be below max, got %s and %s", plain(lo), plain(hi))
	}
	if sd == 0 && lo <= mean && mean <= hi {
		return constant{mean}, nil
	}
	l := truncatedNormal{parentMean: mean, parentSD: sd, lo: lo, hi: hi}
	a, b := (lo-mean)/sd, (hi-mean)/sd
	l.below, l.above = normalCDF(a), normalCDF(-b)
	// Ten digits survive this subtraction even where insideMin is just met.
	l.inside = normalCDF(b) - l.below
	if !(l.inside >= insideMin) {
		return nil, fmt.Errorf("normal: with mean %s and sd %s almost nothing lies between %s and %s",
			plain(mean), plain(sd), plain(lo), plain(hi))
	}
	l.mean, l.sd = l.moments()
	return l, nil
}

// moments integrates the density between the bounds, the tails beyond nine
// standard deviations left out. The closed formula subtracts nearly equal
// numbers when the bounds are close together; the integral does not.
func (l truncatedNormal) moments() (mean, sd float64) {
	const nodes, tail = 96, 9
	from := math.Max((l.lo-l.parentMean)/l.parentSD, -tail)
	to := math.Min((l.hi-l.parentMean)/l.parentSD, tail)
	weigh := func(f func(z float64) float64) float64 {
		density := func(z float64) float64 { return f(z) * exp(-z*z/2) }
		return quad.Fixed(density, from, to, nodes, quad.Legendre{}, 1)
	}
	total := weigh(func(float64) float64 { return 1 })
	centre := weigh(func(z float64) float64 { return z }) / total
	variance := weigh(func(z float64) float64 { return (z - centre) * (z - centre) }) / total
	return l.parentMean + float64(l.parentSD*centre), l.parentSD * math.Sqrt(variance)
}

// Quantile maps u into the share of the parent's probability between the bounds,
// counted from whichever end of the parent is nearer: small probabilities keep
// their digits.
func (l truncatedNormal) Quantile(u float64) float64 {
	var z float64
	if fromBelow := l.below + float64(l.inside*u); fromBelow < 0.5 {
		z = normalQuantile(fromBelow)
	} else {
		z = -normalQuantile(l.above + float64(l.inside*(1-u)))
	}
	x := l.parentMean + float64(l.parentSD*z)
	return min(max(x, l.lo), l.hi)
}

func (l truncatedNormal) Mean() float64 { return l.mean }
func (l truncatedNormal) SD() float64   { return l.sd }
func (l truncatedNormal) Min() float64  { return l.lo }
func (l truncatedNormal) Max() float64  { return l.hi }

func (l truncatedNormal) String() string {
	given := []parameter{{"mean", l.parentMean}, {"sd", l.parentSD}}
	if !math.IsInf(l.lo, 0) {
		given = append(given, parameter{"min", l.lo})
	}
	if !math.IsInf(l.hi, 0) {
		given = append(given, parameter{"max", l.hi})
	}
	return spell("normal", given...)
}
