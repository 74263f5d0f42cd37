package stats_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"potbank/internal/stats"
)

// normalMeasures draws measures of 400 runs each.
func normalMeasures(seed uint64, measures ...[2]float64) [][]float64 {
	rng := rand.New(rand.NewPCG(honestyStreams, seed))
	samples := make([][]float64, len(measures))
	for m, law := range measures {
		samples[m] = normals(rng, 400, law[0], law[1])
	}
	return samples
}

// first returns the first n runs of every measure.
func first(samples [][]float64, n int) [][]float64 {
	cut := make([][]float64, len(samples))
	for m := range samples {
		cut[m] = samples[m][:n]
	}
	return cut
}

// However many runs are there, and in whatever gulps they came, the study uses
// the same first N: so one worker or sixty-four give the same answer.
func TestStoppingIsIndependentOfWorkers(t *testing.T) {
	samples := normalMeasures(50, [2]float64{100, 20}, [2]float64{7, 2})
	s := stats.Stopping{Relative: 0.05}
	want := s.Check(samples)
	if !want.Done || want.N < 11 || want.N > 300 {
		t.Fatalf("the study must stop on the way: %+v", want)
	}
	numbers := []int{0, 1, 2, 9, 10, 11, want.N - 1, want.N, want.N + 1, 399, 400}
	for n := 17; n < 399; n += 23 {
		numbers = append(numbers, n)
	}
	for _, n := range numbers {
		got := s.Check(first(samples, n))
		if got.Done != (n >= want.N) {
			t.Fatalf("%d runs: done %v, want it from %d on", n, got.Done, want.N)
		}
		if got.Done && (got.N != want.N || !slices.Equal(got.HalfWidths, want.HalfWidths)) {
			t.Fatalf("%d runs: %+v, want %+v", n, got, want)
		}
	}
}

// At N the precision must hold by the formula, and at N-1 it must not.
func TestStoppingStopsAtTheFirstChance(t *testing.T) {
	samples := normalMeasures(51, [2]float64{100, 20}, [2]float64{7, 2})
	p := stats.Stopping{Relative: 0.05, Level: 0.9}.Check(samples)
	precise := func(n int) bool {
		for m := range samples {
			e := stats.MeanInterval(samples[m][:n], 1-0.1/2) // Bonferroni over two
			if n == p.N && !near(e.HalfWidth(), p.HalfWidths[m], 1e-12) {
				t.Errorf("measure %d: half-width %g, want %g", m, p.HalfWidths[m], e.HalfWidth())
			}
			if e.HalfWidth() > 0.05/1.05*e.Value {
				return false
			}
		}
		return true
	}
	if !precise(p.N) || precise(p.N-1) {
		t.Errorf("N = %d: precise %v, one before %v", p.N, precise(p.N), precise(p.N-1))
	}
	if p.Driver != 1 || !p.Reached[0] || !p.Reached[1] {
		t.Errorf("the second measure varies most and must drive: %+v", p)
	}
}

func TestStoppingLimits(t *testing.T) {
	calm, wild := [2]float64{100, 1}, [2]float64{100, 90}
	tests := []struct {
		name    string
		rule    stats.Stopping
		samples [][]float64
		n       int
		done    bool
		warns   bool
	}{
		{"ten runs unless told otherwise", stats.Stopping{Relative: .1}, normalMeasures(52, calm), 10, true, false},
		{"a least number", stats.Stopping{Relative: .1, Min: 25}, normalMeasures(52, calm), 25, true, false},
		{"never fewer than two", stats.Stopping{Relative: .1, Min: 1}, normalMeasures(52, calm), 2, true, false},
		{"a limit", stats.Stopping{Relative: .01, Max: 30}, normalMeasures(53, wild), 30, true, true},
		{"a limit below the least number", stats.Stopping{Relative: .01, Max: 5}, normalMeasures(53, wild), 5, true, true},
		{"not yet", stats.Stopping{Relative: .01}, normalMeasures(53, wild), 400, false, false},
		{"absolute", stats.Stopping{Absolute: 5}, normalMeasures(52, calm), 10, true, false},
		{"absolute rescues a mean near zero", stats.Stopping{Relative: .05, Absolute: 2}, normalMeasures(54, [2]float64{0, 1}), 10, true, false},
		{"no spread", stats.Stopping{Relative: .05}, [][]float64{make([]float64, 12)}, 10, true, false},
		{"a gap", stats.Stopping{Relative: .05}, [][]float64{append(make([]float64, 10), math.NaN(), 1)}, 10, true, false},
		{"a gap at once", stats.Stopping{Relative: .05}, [][]float64{append([]float64{math.NaN()}, make([]float64, 11)...)}, 12, false, false},
		{"precise, but too few runs yet", stats.Stopping{Relative: .05}, [][]float64{make([]float64, 5)}, 5, false, false},
		{"nothing asked", stats.Stopping{}, normalMeasures(52, calm), 400, false, false},
		{"no measures", stats.Stopping{Relative: .05}, nil, 0, false, false},
		{"no runs", stats.Stopping{Relative: .05}, [][]float64{{}}, 0, false, false},
		{"uneven", stats.Stopping{Relative: 1e-9}, [][]float64{{1, 2, 3}, {1, 2}}, 2, false, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := tt.rule.Check(tt.samples)
			if p.N != tt.n || p.Done != tt.done || (len(p.Warnings) > 0) != tt.warns {
				t.Errorf("%+v, want N %d, done %v, warning %v", p, tt.n, tt.done, tt.warns)
			}
			if done, halves := tt.rule.Done(tt.samples); done != tt.done || len(halves) != len(tt.samples) {
				t.Errorf("Done says %v, %v", done, halves)
			}
		})
	}
}

// Stopping by the half-width must not cost much of the joint coverage.
func TestStoppingKeepsCoverage(t *testing.T) {
	both := 0
	for seed := range uint64(experiments) {
		samples := normalMeasures(1000+seed, [2]float64{100, 25}, [2]float64{50, 10})
		p := stats.Stopping{Relative: 0.08}.Check(samples)
		a, b := gather(samples[0][:p.N]).Mean(), gather(samples[1][:p.N]).Mean()
		if math.Abs(a-100) <= p.HalfWidths[0] && math.Abs(b-50) <= p.HalfWidths[1] {
			both++
		}
	}
	// A sequential rule may lose a few points; with Bonferroni 92 % is the floor set here.
	if both < experiments*92/100 {
		t.Errorf("both measures are covered in %d of %d studies", both, experiments)
	}
}
