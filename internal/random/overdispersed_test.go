package random

import (
	"math"
	"strings"
	"testing"
)

// overdispersedCases are scrap figures as plants report them.
var overdispersedCases = []struct{ mean, correlation float64 }{
	{0.04, 0.1}, {0.02, 0.02}, {0.12, 0.3}, {0.5, 0.5}, {0.9, 0.05},
}

func TestBatchSharesHaveTheirMoments(t *testing.T) {
	for _, c := range overdispersedCases {
		o, err := NewOverdispersed(c.mean, c.correlation)
		if err != nil {
			t.Fatal(err)
		}
		mean, sd := integrate(o.share)
		// The share's variance is rho p (1-p): what two pieces have in common.
		want := c.correlation * c.mean * (1 - c.mean)
		if !near(mean, c.mean, 1e-6) || !near(sd*sd, want, 1e-6*want) {
			t.Errorf("p %v, rho %v: mean %v, variance %v, want variance %v", c.mean, c.correlation, mean, sd*sd, want)
		}
	}
}

// TestScrapOfABatchIsInflated counts losses of whole batches. Their variance
// must be the binomial one times 1 + (m-1) rho, which a separate draw for each
// piece without a batch would miss by far.
//
// source: Skellam 1948; the design effect of L. Kish, Survey Sampling, 1965.
func TestScrapOfABatchIsInflated(t *testing.T) {
	const batches, pieces = 20_000, 40
	source := New(3, 1)
	batch, piece := PurposeOf("kiln.car"), PurposeOf("kiln.reject")
	for _, c := range overdispersedCases {
		o, err := NewOverdispersed(c.mean, c.correlation)
		if err != nil {
			t.Fatal(err)
		}
		var sum, squares, fourths float64
		for car := range uint64(batches) {
			share := o.Share(source.Uniform(batch, car, 0))
			lost := 0.0
			for place := range uint32(pieces) {
				if Trial(source.Uniform(piece, car, place), share) {
					lost++
				}
			}
			d := lost - pieces*c.mean
			sum += d
			squares += d * d
			fourths += d * d * d * d
		}
		want := pieces * c.mean * (1 - c.mean) * (1 + (pieces-1)*c.correlation)
		variance := squares / batches
		doubt := math.Sqrt((fourths/batches - variance*variance) / batches)
		if !near(variance, want, 4*doubt) || doubt > want/20 {
			t.Errorf("p %v, rho %v: variance %.4g, want %.4g, doubt %.2g", c.mean, c.correlation, variance, want, doubt)
		}
		if mean := sum / batches; !near(mean, 0, 4*math.Sqrt(want/batches)) {
			t.Errorf("p %v, rho %v: mean loss off by %.3g", c.mean, c.correlation, mean)
		}
	}
}

func TestOverdispersedAtItsEnds(t *testing.T) {
	tests := []struct{ mean, correlation, u, want float64 }{
		{0.04, 0, 0.999, 0.04},
		{0, 0.3, 0.999, 0},
		{1, 0.3, 0.001, 1},
		{0.04, 1, 0.95, 0},
		{0.04, 1, 0.97, 1},
		{0, 1, 1 - 0x1p-53, 0},
		{1, 1, 0x1p-53, 1},
	}
	for _, test := range tests {
		o, err := NewOverdispersed(test.mean, test.correlation)
		if err != nil {
			t.Fatal(err)
		}
		if got := o.Share(test.u); got != test.want {
			t.Errorf("p %v, rho %v: Share(%v) = %v, want %v", test.mean, test.correlation, test.u, got, test.want)
		}
		if o.Mean() != test.mean || o.Correlation() != test.correlation {
			t.Errorf("p %v, rho %v came back as %v, %v", test.mean, test.correlation, o.Mean(), o.Correlation())
		}
	}
}

func TestOverdispersedRefusals(t *testing.T) {
	tests := []struct {
		mean, correlation float64
		want              string
	}{
		{-0.1, 0.1, "overdispersed: mean must lie between 0 and 1, got -0.1"},
		{math.NaN(), 0.1, "overdispersed: mean must lie between 0 and 1, got NaN"},
		{0.1, 1.1, "overdispersed: correlation must lie between 0 and 1, got 1.1"},
		{1e-6, 0.5, "overdispersed: mean 0.000001 with correlation 0.5: beta: alpha"},
	}
	for _, test := range tests {
		_, err := NewOverdispersed(test.mean, test.correlation)
		if err == nil || !strings.HasPrefix(err.Error(), test.want) {
			t.Errorf("got %v, want %q", err, test.want)
		}
	}
}
