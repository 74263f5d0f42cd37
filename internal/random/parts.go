package random

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
)

// Parts takes a law apart into a word and the numbers that make just that law
// again, so that it can be sent to another machine. Laws made outside this
// package have no parts; their word is empty.
func Parts(l Law) (word string, numbers []float64) {
	switch l := l.(type) {
	case constant:
		return "constant", []float64{l.value}
	case uniform:
		return "uniform", []float64{l.min, l.max}
	case triangular:
		return "triangular", []float64{l.least, l.likely, l.greatest}
	case exponential:
		return "exponential", []float64{l.mean}
	case logNormal:
		return "lognormal", []float64{l.mean, l.sd}
	case weibull:
		return "weibull", []float64{l.shape, l.scale, l.mean, l.sd}
	case truncatedNormal:
		return "normal", []float64{l.parentMean, l.parentSD, l.lo, l.hi}
	case gamma:
		return l.spelling, []float64{l.mean, l.sd}
	case beta:
		return l.spelling, []float64{l.alpha, l.beta, l.lo, l.hi}
	case empirical:
		return "empirical", slices.Concat([]float64{l.mean, l.sd}, l.values, l.upTo)
	case scaled:
		word, numbers = Parts(l.law)
		return "scaled " + word, append([]float64{l.factor}, numbers...)
	}
	return "", nil
}

// OfParts makes the law again that Parts took apart. Parts of another origin are
// refused, or give a law that can be drawn from.
func OfParts(word string, numbers []float64) (Law, error) {
	if inner, ok := strings.CutPrefix(word, "scaled "); ok && len(numbers) > 0 {
		l, err := OfParts(inner, numbers[1:])
		if factor := numbers[0]; err != nil || !(factor > 0) || math.IsInf(factor, 1) {
			return nil, fmt.Errorf("no law %q with a factor %v", inner, numbers[0])
		}
		return scaled{law: l, factor: numbers[0]}, nil
	}
	kind, _, _ := strings.Cut(word, "(")
	if n, known := partCount[kind]; !known || n > 0 && len(numbers) != n {
		return nil, fmt.Errorf("no law %q of %d numbers", word, len(numbers))
	}
	x := numbers
	switch kind {
	case "constant":
		return Constant(x[0])
	case "uniform":
		return Uniform(x[0], x[1])
	case "triangular":
		return Triangular(x[0], x[1], x[2])
	case "exponential":
		return Exponential(x[0])
	case "lognormal":
		return LogNormal(x[0], x[1])
	case "weibull": // made of its mean it has another last digit than made of its scale
		l, err := Weibull(x[0], x[1])
		if w, ok := l.(weibull); ok {
			w.mean, w.sd = x[2], x[3]
			return w, nil
		}
		return l, err
	case "normal":
		return TruncatedNormal(x[0], x[1], x[2], x[3])
	case "gamma", "erlang":
		if l, err := Gamma(x[0], x[1]); err != nil || x[1] == 0 {
			return l, err
		}
		return newGamma(x[0], x[1], word), nil
	case "beta", "pert":
		if _, err := Beta(x[0], x[1], x[2], x[3]); err != nil {
			return nil, err
		}
		return newBeta(x[0], x[1], x[2], x[3], word), nil
	}
	return empiricalOf(x)
}

// partCount is how many numbers a law has; 0: as many as it likes.
var partCount = map[string]int{"constant": 1, "uniform": 2, "triangular": 3, "exponential": 1, "lognormal": 2, "weibull": 4, "normal": 4,
	"gamma": 2, "erlang": 2, "beta": 4, "pert": 4, "empirical": 0}

// empiricalOf makes a table of records again from its mean, its standard
// deviation, its values and the shares up to them.
func empiricalOf(x []float64) (Law, error) {
	n := (len(x) - 2) / 2
	if n < 1 || len(x) != 2+2*n || x[1+2*n] != 1 || !slices.IsSorted(x[2:2+n]) || !slices.IsSorted(x[2+n:]) {
		return nil, fmt.Errorf("no table of records in %d numbers", len(x))
	}
	return empirical{mean: x[0], sd: x[1], values: slices.Clone(x[2 : 2+n]), upTo: slices.Clone(x[2+n:])}, nil
}

// Arithmetic tells processors apart by what their arithmetic makes of laws that
// rest on it: two with the same text give the same draws, to the bit, of all that
// was tried. Gamma and beta laws are computed by functions that take another
// path where multiplication and addition are fused.
func Arithmetic() string {
	key := uint64(0)
	for shape := 0.7; shape < 40; shape *= 1.7 {
		g, b := newGamma(1, 1/math.Sqrt(shape), ""), newBeta(shape, 2.5, 0, 1, "")
		for u := 0.0137; u < 1; u += 0.0731 {
			key = Object(key, math.Float64bits(g.Quantile(u)), math.Float64bits(b.Quantile(u)))
		}
	}
	return fmt.Sprintf("%s-%08x", runtime.GOARCH, uint32(key))
}
