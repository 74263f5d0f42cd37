package random

import (
	"fmt"
	"math"
)

// logNormal is the law of times that are products of many small hindrances:
// most hand work, repairs, drying.
type logNormal struct {
	mean, sd  float64 // of the value
	mu, sigma float64 // of its logarithm
}

// LogNormal returns the law with the given mean, above zero, and standard
// deviation, both of the value itself and not of its logarithm. An sd of zero
// gives a constant.
func LogNormal(mean, sd float64) (Law, error) {
	if err := positive("lognormal", parameter{"mean", mean}); err != nil {
		return nil, err
	}
	if err := deviation("lognormal", sd); err != nil {
		return nil, err
	}
	if sd == 0 {
		return constant{mean}, nil
	}
	// Moments inverted: sigma^2 = ln(1 + cv^2), mu = ln(mean) - sigma^2/2.
	cv := sd / mean
	variance := ln1p(float64(cv * cv))
	if math.IsInf(variance, 1) {
		return nil, fmt.Errorf("lognormal: sd %s is too large for a mean of %s", plain(sd), plain(mean))
	}
	return logNormal{mean, sd, ln(mean) - float64(variance/2), math.Sqrt(variance)}, nil
}

func (l logNormal) Quantile(u float64) float64 {
	return exp(l.mu + float64(l.sigma*normalQuantile(u)))
}

func (l logNormal) Mean() float64 { return l.mean }
func (l logNormal) SD() float64   { return l.sd }
func (l logNormal) Min() float64  { return 0 }
func (l logNormal) Max() float64  { return unbounded }

func (l logNormal) String() string {
	return spell("lognormal", parameter{"mean", l.mean}, parameter{"sd", l.sd})
}
