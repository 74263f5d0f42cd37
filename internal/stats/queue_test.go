package stats_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"potbank/internal/stats"
)

// numberInSystem returns the average number of customers in a single-server
// queue with exponential arrivals (rate rho) and services (rate 1) over each of
// the given number of stretches of time, started empty and settled for 200.
func numberInSystem(rng *rand.Rand, rho float64, stretches int, length float64) []float64 {
	const settle = 200
	averages := make([]float64, 0, stretches)
	n, now, area, closes := 0, -float64(settle), 0.0, length
	for len(averages) < stretches {
		rate := rho
		if n > 0 {
			rate++
		}
		next := now + rng.ExpFloat64()/rate
		for next >= closes && len(averages) < stretches {
			area += float64(n) * (closes - max(now, closes-length))
			averages = append(averages, area/length)
			area, closes = 0, closes+length
		}
		area += float64(n) * max(0, next-max(now, closes-length))
		now = next
		if rng.Float64()*rate < rho {
			n++
		} else {
			n--
		}
	}
	return averages
}

// C25. source: Whitt, Management Science 35 (1989) 1341-1366 (from memory): the
// time average L over T satisfies T·Var(L) -> 2 rho (1+rho)/(1-rho)^4, 24 at
// rho .5. One long run in batches must find it, since the batch means interval
// rests on just that variance; and L itself must be rho/(1-rho) = 1.
func TestBatchMeansOfAQueuePublished(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 80))
	const batches, stretches, length = 4000, 10, 200.0
	averages := numberInSystem(rng, 0.5, batches*stretches, length)
	e := stats.BatchMeans(averages, batches, .999)
	if !e.Contains(1) || e.Contains(wrongBy) || e.HalfWidth() > 0.01 {
		t.Errorf("number in system %.4f..%.4f, want 1 and not 1.05", e.Low, e.High)
	}
	means := make([]float64, 0, batches)
	for batch := range slices.Chunk(averages, stretches) {
		means = append(means, gather(batch).Mean())
	}
	v := stats.VarianceInterval(means, .999)
	asymptotic := func(variance float64) float64 { return stretches * length * variance }
	if low, high := asymptotic(v.Low), asymptotic(v.High); low > 24 || high < 24 || high > 24*1.2 || low < 24*0.8 {
		t.Errorf("T·Var(L) = %.2f..%.2f, want 24 and nothing 20 %% off", low, high)
	}
	if !near(v.Value, e.SD*e.SD, 1e-12) {
		t.Errorf("variance of the batches %g, by hand %g", e.SD*e.SD, v.Value)
	}
	// Stretches so short that the queue hardly moves within one are no basis:
	// taken as independent, they make the figure far too small.
	moments := numberInSystem(rng, 0.5, 100_000, 2)
	if naive := 2 * gather(moments).Variance(); naive > 6 {
		t.Errorf("stretches of 2 give T·Var(L) = %.2f as if independent, want about 3.5", naive)
	}
}
