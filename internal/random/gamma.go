package random

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// The spread a gamma law may have, as sd over mean. Above the upper bound half
// of all draws are below a thousandth of the mean and the inversion is no
// longer accurate; below the lower one the law is a constant to any purpose.
const (
	gammaSpreadMin = 1e-4
	gammaSpreadMax = 5
)

// gamma is the law of a time made of several like stages.
type gamma struct {
	mean, sd float64
	spelling string
	inverse  inverse
}

// Gamma returns the law with the given mean, above zero, and standard
// deviation, from 1/10,000 of the mean to 5 times the mean. Its shape is
// (mean/sd)^2. An sd of zero gives a constant.
func Gamma(mean, sd float64) (Law, error) {
	if err := positive("gamma", parameter{"mean", mean}); err != nil {
		return nil, err
	}
	if err := deviation("gamma", sd); err != nil {
		return nil, err
	}
	if sd == 0 {
		return constant{mean}, nil
	}
	if spread := sd / mean; spread < gammaSpreadMin || spread > gammaSpreadMax {
		return nil, fmt.Errorf("gamma: sd must lie between %v and %v times the mean (or be 0), got %s for a mean of %s",
			gammaSpreadMin, gammaSpreadMax, plain(sd), plain(mean))
	}
	spelling := spell("gamma", parameter{"mean", mean}, parameter{"sd", sd})
	return newGamma(mean, sd, spelling), nil
}

// Erlang returns the law of the sum of k exponential stages, k from 1 to 10,000,
// with the given mean of the whole, above zero.
func Erlang(k int, mean float64) (Law, error) {
	if k < 1 || k > 10_000 {
		return nil, fmt.Errorf("erlang: k counts stages, 1 to 10000, got %d", k)
	}
	if err := positive("erlang", parameter{"mean", mean}); err != nil {
		return nil, err
	}
	spelling := spell("erlang", parameter{"k", float64(k)}, parameter{"mean", mean})
	return newGamma(mean, mean/math.Sqrt(float64(k)), spelling), nil
}

// newGamma tabulates the law of checked parameters.
func newGamma(mean, sd float64, spelling string) Law {
	shape := (mean / sd) * (mean / sd)
	// distuv names the rate Beta. It is left at 1, so that the mean scales the
	// result once instead of entering every iteration.
	unit := distuv.Gamma{Alpha: shape, Beta: 1}
	stage := mean / shape
	exact := func(u float64) float64 { return stage * unit.Quantile(u) }
	density := func(x float64) float64 { return unit.Prob(x/stage) / stage }
	return gamma{mean, sd, spelling, newInverse(exact, density, sd)}
}

func (l gamma) Quantile(u float64) float64 { return l.inverse.quantile(u) }
func (l gamma) Mean() float64              { return l.mean }
func (l gamma) SD() float64                { return l.sd }
func (l gamma) Min() float64               { return 0 }
func (l gamma) Max() float64               { return unbounded }
func (l gamma) String() string             { return l.spelling }
