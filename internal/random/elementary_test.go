package random

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// between spreads n arguments over a range, ends included.
func between(lo, hi float64, n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = lo + (hi-lo)*float64(i)/float64(n-1)
	}
	return xs
}

// powers spreads n arguments over a range evenly in their logarithm.
func powers(lo, hi float64, n int) []float64 {
	xs := between(math.Log(lo), math.Log(hi), n)
	for i, x := range xs {
		xs[i] = math.Exp(x)
	}
	return xs
}

// Package math and gonum are held to their own accuracy by their own tests; ours
// may differ from them in the last digits only.
func TestElementaryFunctionsAgreeWithTheLibrary(t *testing.T) {
	const n = 20_000
	tests := []struct {
		name      string
		own, know func(float64) float64
		at        []float64
		most      float64 // relative difference
	}{
		{"ln", ln, math.Log, powers(1e-300, 1e300, n), 3e-16},
		{"ln near 1", ln, math.Log, between(0.7, 1.5, n), 4e-16},
		{"ln1p", ln1p, math.Log1p, powers(1e-20, 1e20, n), 1e-15},
		{"exp", exp, math.Exp, between(-700, 700, n), 5e-16},
		{"exp near 0", exp, math.Exp, between(-1, 1, n), 5e-16},
		{"quantile", normalQuantile, mathext.NormalQuantile, between(1e-6, 1-1e-6, n), 1e-15},
		{"quantile of the tail", normalQuantile, mathext.NormalQuantile, powers(1e-300, 0.5, n), 1e-15},
		{"cdf", normalCDF, func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }, between(-36, 8, n), 5e-13},
		{"gamma", gammaFunction, math.Gamma, between(1, 33, n), 2e-15},
	}
	for _, test := range tests {
		worst, where := 0.0, 0.0
		for _, x := range test.at {
			know := test.know(x)
			if d := math.Abs(test.own(x)-know) / math.Abs(know); know != 0 && !(d <= worst) {
				worst, where = d, x
			}
		}
		t.Logf("%s: at most %.2g apart", test.name, worst)
		if !(worst <= test.most) {
			t.Errorf("%s differs by %.3g at %v, want at most %g", test.name, worst, where, test.most)
		}
	}
}

func TestEndsOfElementaryFunctions(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	tests := []struct {
		name      string
		got, want float64
	}{
		{"ln 0", ln(0), -inf}, {"ln 1", ln(1), 0}, {"ln inf", ln(inf), inf}, {"ln -1", ln(-1), nan}, {"ln nan", ln(nan), nan},
		{"ln1p 0", ln1p(0), 0}, {"ln1p tiny", ln1p(1e-300), 1e-300}, {"ln1p inf", ln1p(inf), inf},
		{"exp 0", exp(0), 1}, {"exp inf", exp(inf), inf}, {"exp -inf", exp(-inf), 0}, {"exp nan", exp(nan), nan},
		{"exp 710", exp(710), inf}, {"exp -746", exp(-746), 0},
		{"quantile 0", normalQuantile(0), -inf}, {"quantile half", normalQuantile(0.5), 0}, {"quantile 1", normalQuantile(1), inf},
		{"cdf -inf", normalCDF(-inf), 0}, {"cdf 0", normalCDF(0), 0.5}, {"cdf inf", normalCDF(inf), 1}, {"cdf nan", normalCDF(nan), nan},
		{"gamma 1", gammaFunction(1), 1}, {"gamma 2", gammaFunction(2), 1}, {"gamma 5", gammaFunction(5), 24},
	}
	for _, test := range tests {
		if test.got != test.want && !(math.IsNaN(test.got) && math.IsNaN(test.want)) {
			t.Errorf("%s is %v, want %v", test.name, test.got, test.want)
		}
	}
}

// The bits of draws, on any machine: .ci/samebits runs this test on arm64 too. A
// sum may only change with a law, and then every answer does.
func TestQuantilesHaveTheSameBitsEverywhere(t *testing.T) {
	tests := []struct {
		law  Law
		want string
	}{
		{must(Exponential(3600e3)), "14ee0ca21d731018"},
		{must(Weibull(4, 80)), "87384db4c98cbd13"},
		{must(WeibullMean(22000, 1.3)), "35699084e726d7af"},
		{must(LogNormal(4200e3, 2400e3)), "bb21cfa5fbb795b9"},
		{must(TruncatedNormal(1200e3, 300e3, 600e3, 3600e3)), "85d06c97eb367295"},
		{must(Triangular(10, 20, 45)), "7838659306ee72d4"},
		{must(Uniform(3, 7)), "60093f22d88cc8e9"},
	}
	for _, test := range tests {
		if got := bitsOf(test.law); got != test.want {
			t.Errorf("%s: the sum of its bits is %s, want %s", test.law, got, test.want)
		}
	}
}

// bitsOf sums up the bits of 100,000 quantiles, near both ends more than between.
func bitsOf(l Law) string {
	const n = 100_000
	sum := sha256.New()
	for i := range n {
		u := (float64(i) + 0.5) / n
		if i%3 == 0 {
			u = float64(u*u) * u
		}
		binary.Write(sum, binary.LittleEndian, math.Float64bits(l.Quantile(u)))
	}
	return fmt.Sprintf("%x", sum.Sum(nil)[:8])
}
