package random

import (
	"fmt"
	"math"
)

// weibull is the law of a life: shape below 1 for early failures, 1 for chance
// failures, above 1 for wear, as of a plaster mould.
type weibull struct {
	shape, scale float64
	mean, sd     float64
}

// The shapes a Weibull law may have. Below, its standard deviation is over 400
// times its mean; above, it is a constant to within 0.2 %, and its variance can
// no longer be worked out from the moments.
const (
	weibullShapeMin = 0.1
	weibullShapeMax = 1000
)

// Weibull returns the law with the given shape, a pure number from 0.1 to 1000,
// and scale, above zero: the value that 63.2 % of lives do not exceed.
func Weibull(shape, scale float64) (Law, error) {
	if err := positive("weibull", parameter{"shape", shape}, parameter{"scale", scale}); err != nil {
		return nil, err
	}
	if err := checkWeibullShape(shape); err != nil {
		return nil, err
	}
	// E[X^r] = scale^r Gamma(1 + r/shape).
	first, second := gammaFunction(1+1/shape), gammaFunction(1+2/shape)
	l := weibull{shape: shape, scale: scale, mean: scale * first}
	l.sd = scale * math.Sqrt(second-float64(first*first))
	if err := finite("weibull", parameter{"mean", l.mean}, parameter{"sd", l.sd}); err != nil {
		return nil, err
	}
	return l, nil
}

// WeibullMean returns the Weibull law with the given mean, above zero, and shape.
func WeibullMean(mean, shape float64) (Law, error) {
	if err := positive("weibull", parameter{"mean", mean}, parameter{"shape", shape}); err != nil {
		return nil, err
	}
	if err := checkWeibullShape(shape); err != nil {
		return nil, err
	}
	return Weibull(shape, mean/gammaFunction(1+1/shape))
}

func checkWeibullShape(shape float64) error {
	if shape < weibullShapeMin || shape > weibullShapeMax {
		return fmt.Errorf("weibull: shape must lie between %v and %v, got %s",
			weibullShapeMin, weibullShapeMax, plain(shape))
	}
	return nil
}

// Quantile takes the root through exp and log: half the time of math.Pow, which
// guards against signs and zeros that cannot occur here.
func (l weibull) Quantile(u float64) float64 {
	return float64(l.scale * exp(ln(-ln(1-u))/l.shape))
}

func (l weibull) Mean() float64 { return l.mean }
func (l weibull) SD() float64   { return l.sd }
func (l weibull) Min() float64  { return 0 }
func (l weibull) Max() float64  { return unbounded }

func (l weibull) String() string {
	return spell("weibull", parameter{"shape", l.shape}, parameter{"scale", l.scale})
}
