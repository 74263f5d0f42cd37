package random

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// A yield counted on 500 pieces, or a time taken 40 times, leaves open what
// the yield or the law of the time is. The functions here draw a value that
// the counts or records allow, as often as they allow it. Each takes its
// uniforms from outside, so that such a draw too is keyed by identity.
//
// The prior is everywhere the one that lets the data speak: Jeffreys' for
// shares (H. Jeffreys, Proc. R. Soc. A 186, 1946), and for the location and
// scale of a law the one under which predictions from a sample cover as often
// as stated (G. J. Hahn and W. Q. Meeker, Statistical Intervals, chapters 4
// and 12).

// Proportion draws the share behind hits in trials: the quantile at u of
// Beta(hits + 1/2, trials - hits + 1/2). It is never 0 nor 1: what did not
// happen in 500 trials may in the next.
func Proportion(u float64, hits, trials int) float64 {
	if hits < 0 || hits > trials {
		panic(fmt.Sprintf("random: %d hits in %d trials", hits, trials))
	}
	share := distuv.Beta{Alpha: float64(hits) + 0.5, Beta: float64(trials-hits) + 0.5}.Quantile(u)
	// The inversion may round an end of the law onto its bound.
	return min(max(share, math.SmallestNonzeroFloat64), 1-0x1p-53)
}

// Mixture draws the shares of several outcomes of one thing, such as the
// grades of a fire, of which each was seen so many times: a Dirichlet law with
// exponents seen + 1/2, by way of gamma variables (L. Devroye, Non-Uniform
// Random Variate Generation, chapter 11, section 4). It takes one uniform an
// outcome; the shares add up to 1.
func Mixture(us []float64, seen []int) []float64 {
	shares, sum := make([]float64, len(seen)), 0.0
	for i, n := range seen {
		shares[i] = distuv.Gamma{Alpha: float64(n) + 0.5, Beta: 1}.Quantile(us[i])
		sum += shares[i]
	}
	for i := range shares {
		shares[i] /= sum
	}
	return shares
}

// LeastRecords is the least number of records that say anything of a law: with
// fewer, the spread that they leave open has no bounds worth the name.
const LeastRecords = 5

// ErrGuess is the error of Refit for laws that are set by their ends: ends are
// guessed and not estimated from records.
var ErrGuess = errors.New("is a guess of its ends, not a fit to records")

// Refit draws a law that records, so many as are given, would have let one fit
// as well as l, if l is the fit. u gives the uniforms, by ordinal.
//
//   - normal and lognormal: sd* = sd sqrt((n-1)/X), mean* = mean + sd* z/sqrt(n),
//     of the logarithms for the latter, X chi-square of n-1 degrees; exact.
//     Bounds of a normal law are taken as known.
//   - exponential and erlang: mean* = mean n k / G, G gamma of shape n k; exact,
//     the number of stages taken as known.
//   - weibull: logarithms have a location and a scale; n of them are drawn, and
//     the fit turned back by how far their mean and sd are off; exact for fits
//     by these two.
//   - gamma: the shape by the normal approximation of its logarithm, with the
//     Fisher information of maximum likelihood, then the mean as of erlang.
//   - empirical: n values drawn from those recorded, as Resample does.
//
// Other laws are refused with ErrGuess; a law that cannot be had, such as one
// spread beyond all bounds, is an error too.
func Refit(l Law, records int, u func(ordinal uint32) float64) (Law, error) {
	if records < LeastRecords {
		return nil, fmt.Errorf("a law needs at least %d records, got %d", LeastRecords, records)
	}
	n := float64(records)
	switch l := l.(type) {
	case scaled:
		inner, err := Refit(l.law, records, u)
		if err != nil {
			return nil, err
		}
		return Scaled(inner, l.factor), nil
	case logNormal:
		mu, sigma := refitNormal(l.mu, l.sigma, n, u)
		mean := math.Exp(mu + float64(float64(sigma*sigma)/2))
		return LogNormal(mean, mean*math.Sqrt(math.Expm1(float64(sigma*sigma))))
	case truncatedNormal:
		mean, sd := refitNormal(l.parentMean, l.parentSD, n, u)
		return TruncatedNormal(mean, sd, l.lo, l.hi)
	case exponential:
		return Exponential(refitScale(l.mean, n, u(0)))
	case weibull:
		return refitWeibull(l, records, u)
	case gamma:
		return refitGamma(l, n, u)
	case empirical:
		return resample(l.Quantile, records, u)
	}
	name, _, _ := strings.Cut(l.String(), "(")
	return nil, fmt.Errorf("%s %w", name, ErrGuess)
}

// refitNormal draws location and scale of a normal law fitted to n values.
func refitNormal(mean, sd, n float64, u func(uint32) float64) (float64, float64) {
	x := distuv.ChiSquared{K: n - 1}.Quantile(u(0))
	sd *= math.Sqrt((n - 1) / x)
	return mean + float64(sd*mathext.NormalQuantile(u(1)))/math.Sqrt(n), sd
}

// refitScale draws the mean of a law made of exponential stages, of which the
// records hold so many.
func refitScale(mean, stages, u float64) float64 {
	return mean * stages / distuv.Gamma{Alpha: stages, Beta: 1}.Quantile(u)
}

// refitWeibull draws shape and scale by way of the logarithms, which follow the
// law of the least of many: location ln(scale), scale 1/shape.
func refitWeibull(l weibull, records int, u func(uint32) float64) (Law, error) {
	const (
		centre = -0.57721566490153286 // of the standard law: minus Euler's constant
		spread = math.Pi / 2.449489742783178
	)
	n := float64(records)
	var sum, squares float64
	logs := make([]float64, records)
	for i := range logs {
		logs[i] = math.Log(-math.Log(1 - u(uint32(i))))
		sum += logs[i]
	}
	mean := sum / n
	for _, x := range logs {
		squares += float64((x - mean) * (x - mean))
	}
	scale := spread / math.Sqrt(squares/(n-1)) / l.shape
	location := math.Log(l.scale) + centre/l.shape - float64(mean*scale)
	return Weibull(1/scale, math.Exp(location))
}

// refitGamma draws mean and shape, which maximum likelihood estimates
// independently; an Erlang law keeps its stages.
func refitGamma(l gamma, n float64, u func(uint32) float64) (Law, error) {
	shape := float64((l.mean / l.sd) * (l.mean / l.sd))
	if !strings.HasPrefix(l.spelling, "erlang") {
		information := float64(float64(shape*shape)*mathext.Zeta(2, shape)) - shape // of ln(shape), for one record
		shape *= math.Exp(mathext.NormalQuantile(u(1)) / math.Sqrt(n*information))
	}
	mean := refitScale(l.mean, n*shape, u(0))
	return Gamma(mean, mean/math.Sqrt(shape))
}

// Resample draws as many values from those recorded as there are, each as
// often as it happens to come (B. Efron, Annals of Statistics 7, 1979), and
// returns their empirical law.
func Resample(recorded []float64, u func(ordinal uint32) float64) (Law, error) {
	n := float64(len(recorded))
	pick := func(u float64) float64 { return recorded[int(u*n)] }
	return resample(pick, len(recorded), u)
}

// resample draws n values by inversion.
func resample(pick func(u float64) float64, n int, u func(uint32) float64) (Law, error) {
	values := make([]float64, n)
	for i := range values {
		values[i] = pick(u(uint32(i)))
	}
	return Empirical(values, nil)
}
