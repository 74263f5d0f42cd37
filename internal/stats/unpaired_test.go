package stats_test

import (
	"math/rand/v2"
	"testing"

	"potbank/internal/stats"
)

// source: Student's sleep data (Student, Biometrika 6, 1908) as printed by R's
// t.test with unequal variances: df = 17.776, -3.3654832 to 0.2054832 (from
// memory)
func TestUnpairedIntervalPublished(t *testing.T) {
	a := []float64{.7, -1.6, -.2, -1.2, -.1, 3.4, 3.7, .8, 0, 2}
	b := []float64{1.9, .8, 1.1, .1, -.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	e := stats.UnpairedInterval(a, b, 0.95)
	if !within(e.Value, -1.58, 1e-12) || !within(e.Low, -3.3654832, 5e-8) || !within(e.High, 0.2054832, 5e-8) || e.N != 10 {
		t.Errorf("got %v, %v to %v from %d; want -1.58, -3.3654832 to 0.2054832", e.Value, e.Low, e.High, e.N)
	}
	if swapped := stats.UnpairedInterval(b, a, 0.95); swapped.Low != -e.High || swapped.High != -e.Low {
		t.Errorf("the other way round %v to %v", swapped.Low, swapped.High)
	}
}

// Samples that differ in number and in spread: the interval must hold the true
// difference in 95 of 100 studies. Of 4000 studies the share lies in
// 0.9387..0.9613 with 99.9 % probability (normal approximation).
func TestUnpairedIntervalCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	normals := func(n int, mean, sd float64) []float64 {
		xs := make([]float64, n)
		for i := range xs {
			xs[i] = mean + sd*rng.NormFloat64()
		}
		return xs
	}
	const studies = 4000
	covered := 0
	for range studies {
		if stats.UnpairedInterval(normals(12, 10, 4), normals(40, 7, 1), 0.95).Contains(3) {
			covered++
		}
	}
	if share := float64(covered) / studies; share < 0.9387 || share > 0.9613 {
		t.Errorf("covers in %.4f of the studies, want about 0.95", share)
	}
}

func TestUnpairedIntervalEdges(t *testing.T) {
	if e := stats.UnpairedInterval([]float64{1}, []float64{1, 2, 3}, 0.95); e.HasInterval() || e.Value != -1 || len(e.Warnings) == 0 {
		t.Errorf("one value gives %+v, want no interval and a warning", e)
	}
	if e := stats.UnpairedInterval([]float64{5, 5}, []float64{3, 3, 3}, 0.95); e.Low != 2 || e.High != 2 {
		t.Errorf("without spread %v to %v, want the point 2", e.Low, e.High)
	}
	nine, ten := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9}, []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	for _, c := range []struct{ a, b []float64 }{{nine, ten}, {ten, nine}} {
		if e := stats.UnpairedInterval(c.a, c.b, 0.95); e.N != 9 || len(e.Warnings) != 1 {
			t.Errorf("%d and %d values: warned %q, want one warning of 9", len(c.a), len(c.b), e.Warnings)
		}
	}
	if e := stats.UnpairedInterval(ten, ten, 0.95); len(e.Warnings) != 0 {
		t.Errorf("ten values: warned %q", e.Warnings)
	}
}
