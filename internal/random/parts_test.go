package random

import (
	"strings"
	"testing"
)

// TestPartsMakeTheSameLaw takes a law of every kind apart and puts it together:
// the same draws, moments and spelling, to the bit.
func TestPartsMakeTheSameLaw(t *testing.T) {
	made := func(l Law, err error) Law {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	kinds := map[string]bool{}
	for _, l := range []Law{
		made(Constant(3.1)), made(Uniform(1, 4)), made(Triangular(1, 2, 9)), made(Exponential(7.3)), made(LogNormal(75, 8)),
		made(Weibull(1.7, 3)), made(WeibullMean(20, 0.9)), made(TruncatedNormal(5, 2, 1, 8)), made(Gamma(12, 5)), made(Erlang(3, 0.1)),
		made(Beta(2, 3.3, 0.1, 4)), made(PERT(1, 2, 7)), made(Empirical([]float64{4, 1, 9, 1}, []float64{1, 2, 0.3, 0})),
		Scaled(made(Gamma(12, 5)), 60_000), Scaled(made(Empirical([]float64{4, 1, 9}, nil)), 3),
	} {
		word, numbers := Parts(l)
		kind, _, _ := strings.Cut(strings.TrimPrefix(word, "scaled "), "(")
		kinds[kind] = true
		same, err := OfParts(word, numbers)
		if err != nil {
			t.Errorf("%v: %v", l, err)
			continue
		}
		if same.String() != l.String() || same.Mean() != l.Mean() || same.SD() != l.SD() || same.Min() != l.Min() || same.Max() != l.Max() {
			t.Errorf("%v comes back as %v", l, same)
		}
		for u := 0.0005; u < 1; u += 0.001 {
			if same.Quantile(u) != l.Quantile(u) {
				t.Fatalf("%v: the quantile of %v is %v and was %v", l, u, same.Quantile(u), l.Quantile(u))
			}
		}
		for n := range numbers { // cut short it is refused, or is a law
			if cut, err := OfParts(word, numbers[:n]); err == nil && cut == nil {
				t.Errorf("%v: %d of its numbers give neither a law nor an error", l, n)
			}
		}
	}
	for kind := range partCount {
		if !kinds[kind] {
			t.Errorf("no law of the kind %q was tried", kind)
		}
	}
}
