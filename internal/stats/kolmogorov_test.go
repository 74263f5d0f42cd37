package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"potbank/internal/stats"
)

// C08. source: tables of Massey 1951 and Miller 1956 (from memory; .409 at n 10,
// .294 at 20), digits computed.
func TestKolmogorovCriticalPublished(t *testing.T) {
	tests := []struct {
		n         int
		alpha     float64
		want      float64
		tolerance float64
	}{
		{5, .05, 0.56328, 5.001e-6}, {10, .05, 0.40925, 5.001e-6},
		{20, .05, 0.29408, 5.001e-6}, {50, .05, 0.18841, 5.001e-6},
		{1, .05, 0.975, 1e-9}, // source: by hand, P(D < d) = 2d-1
		{2, .32, 0.6, 1e-9},   // source: by hand, P(D < d) = 1-2(1-d)^2 from d = 1/2 on
		// source: limit 1.3581/sqrt(n), 1.6276/sqrt(n) less 1/(6n) (Pelz & Good 1976)
		{10_000, .05, 0.013564, 2e-6}, {1_000_000, .01, 0.0016274, 1e-7},
		// source: Smirnov 1948, limiting law .5 at .82757 (from memory), less 1/(6n)
		{10_000, .5, 0.0082757 - 1./60_000, 2e-5},
	}
	for _, tt := range tests {
		if got := stats.KolmogorovCritical(tt.n, tt.alpha); !within(got, tt.want, tt.tolerance) {
			t.Errorf("n=%d alpha=%g: D = %.6f, want %.5f", tt.n, tt.alpha, got, tt.want)
		}
	}
}

// The exact law hands over to the approximation without a visible step: D of
// neighbouring n falls by half a percent, and by no more than 1.
func TestKolmogorovHandOver(t *testing.T) {
	for _, alpha := range []float64{.1, .05, .01} {
		exact, approximate := stats.KolmogorovCritical(100, alpha), stats.KolmogorovCritical(101, alpha)
		if fall := 1 - approximate/exact; fall < 0 || fall > 0.01 {
			t.Errorf("alpha %g: D falls from %.5f to %.5f", alpha, exact, approximate)
		}
	}
}

// Of 1,000 samples of the law itself about 50 are rejected (27 to 73 is the
// 99.9 % band); of a law 5 % off most are, given enough values.
func TestKolmogorovRejects(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 70))
	law := distuv.Exponential{Rate: 1}
	rejected := func(n, samples int, scale float64) (count int) {
		critical := stats.KolmogorovCritical(n, .05)
		for range samples {
			values := make([]float64, n)
			for i := range values {
				values[i] = scale * rng.ExpFloat64()
			}
			if stats.KolmogorovDistance(values, law.CDF) > critical {
				count++
			}
		}
		return count
	}
	for _, n := range []int{8, 60, 300} {
		if got := rejected(n, experiments, 1); got < experiments-mostCovered || got > experiments-leastCovered {
			t.Errorf("n=%d: %d of %d rejected, want %d to %d", n, got, experiments, experiments-mostCovered, experiments-leastCovered)
		}
	}
	if got := rejected(20_000, 40, wrongBy); got < 38 {
		t.Errorf("a law 5 %% off is rejected %d times of 40", got)
	}
	if !math.IsNaN(stats.KolmogorovDistance(nil, law.CDF)) {
		t.Error("a distance without values")
	}
}
