package stats_test

import (
	"testing"

	"potbank/internal/stats"
)

// TestScreeningIsOrthogonal holds what a folded-over design of Plackett and
// Burman is for: balanced columns, orthogonal to one another and to every
// product of two.
func TestScreeningIsOrthogonal(t *testing.T) {
	for _, k := range []int{1, 2, 7, 11, 16, 19, 23, 30, 47} {
		design := stats.Screening(k)
		dot := func(of func(row []int) int) (sum int) {
			for _, row := range design {
				sum += of(row)
			}
			return sum
		}
		for a := range k {
			if s := dot(func(r []int) int { return r[a] }); s != 0 {
				t.Fatalf("%d factors: column %d sums to %d", k, a, s)
			}
			for b := range a {
				if s := dot(func(r []int) int { return r[a] * r[b] }); s != 0 {
					t.Fatalf("%d factors: columns %d and %d have product %d", k, a, b, s)
				}
				for c := range b {
					if s := dot(func(r []int) int { return r[a] * r[b] * r[c] }); s != 0 {
						t.Fatalf("%d factors: %d is aliased with %d and %d: %d", k, a, b, c, s)
					}
				}
			}
		}
	}
}

// TestScreeningHalf: the first half alone is Plackett and Burman's, whose columns
// are balanced too.
func TestScreeningHalf(t *testing.T) {
	for _, k := range []int{2, 7, 11, 19} {
		design := stats.Screening(k)
		for f := range k {
			sum := 0
			for _, row := range design[:len(design)/2] {
				sum += row[f]
			}
			if sum != 0 {
				t.Errorf("%d factors: column %d of the first half sums to %d", k, f, sum)
			}
		}
	}
}

// TestScreeningRuns holds the number of runs against the published sizes of the
// saturated designs: 12 runs for up to 11 factors, 20 for up to 19, 24 for up
// to 23. source: R. L. Plackett and J. P. Burman, Biometrika 33 (1946), 305-325,
// from memory; here each is doubled by folding over.
func TestScreeningRuns(t *testing.T) {
	for factors, runs := range map[int]int{8: 12, 11: 12, 12: 20, 19: 20, 20: 24, 23: 24} {
		if got := len(stats.Screening(factors)); got != 2*runs {
			t.Errorf("%d factors take %d runs, want 2 x %d", factors, got, runs)
		}
	}
}
