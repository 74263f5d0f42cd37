package random

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// The exponents a beta law may have. Outside them the inversion of the
// incomplete beta integral is no longer accurate.
const (
	betaExponentMin = 1e-3
	betaExponentMax = 1e6
)

// beta is the beta law stretched over [lo, hi].
type beta struct {
	alpha, beta float64
	lo, hi      float64
	mean, sd    float64
	spelling    string
	inverse     inverse
}

// Beta returns the law between lo and hi whose place in that range follows the
// beta law with exponents alpha and beta, each from 0.001 to 1,000,000. Its mean
// lies at alpha/(alpha+beta) of the way from lo to hi.
func Beta(alpha, beta, lo, hi float64) (Law, error) {
	err := positive("beta", parameter{"alpha", alpha}, parameter{"beta", beta})
	if err != nil {
		return nil, err
	}
	if err := finite("beta", parameter{"min", lo}, parameter{"max", hi}, parameter{"range", hi - lo}); err != nil {
		return nil, err
	}
	if lo >= hi {
		return nil, fmt.Errorf("beta: min must be below max, got %s and %s", plain(lo), plain(hi))
	}
	if min(alpha, beta) < betaExponentMin || max(alpha, beta) > betaExponentMax {
		return nil, fmt.Errorf("beta: alpha and beta must lie between %v and %v, got %s and %s",
			betaExponentMin, plain(betaExponentMax), plain(alpha), plain(beta))
	}
	spelling := spell("beta", parameter{"alpha", alpha}, parameter{"beta", beta},
		parameter{"min", lo}, parameter{"max", hi})
	return newBeta(alpha, beta, lo, hi, spelling), nil
}

// newBeta tabulates the law of checked parameters.
func newBeta(a, b, lo, hi float64, spelling string) Law {
	width, sum := hi-lo, a+b
	l := beta{alpha: a, beta: b, lo: lo, hi: hi, spelling: spelling}
	l.mean = lo + float64(width*(a/sum))
	l.sd = width * math.Sqrt(a/sum*(b/sum)/(sum+1))
	exact := func(u float64) float64 { return lo + float64(width*betaQuantile(a, b, u)) }
	unit := distuv.Beta{Alpha: a, Beta: b}
	density := func(x float64) float64 { return unit.Prob((x-lo)/width) / width }
	l.inverse = newInverse(exact, density, l.sd)
	return l
}

// betaQuantile inverts the incomplete beta integral on [0, 1]. Above the median
// it inverts the mirrored law: near 1 the integral is too flat for doubles to
// tell values apart, while 1-u is exact.
func betaQuantile(a, b, u float64) float64 {
	if u > 0.5 {
		return 1 - mathext.InvRegIncBeta(b, a, 1-u)
	}
	return mathext.InvRegIncBeta(a, b, u)
}

func (l beta) Quantile(u float64) float64 { return l.inverse.quantile(u) }
func (l beta) Mean() float64              { return l.mean }
func (l beta) SD() float64                { return l.sd }
func (l beta) Min() float64               { return l.lo }
func (l beta) Max() float64               { return l.hi }
func (l beta) String() string             { return l.spelling }
