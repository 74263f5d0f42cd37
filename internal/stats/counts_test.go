package stats_test

import (
	"math"
	"testing"

	"potbank/internal/stats"
)

// TestCountsByHand holds the tails of counts against sums by hand.
func TestCountsByHand(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		// source: computed by hand, 1 - 0.2^3 and so on.
		{"one of three at .8", stats.BinomialAtLeast(1, 3, .8), 1 - .008},
		{"three of three at .8", stats.BinomialAtLeast(3, 3, .8), .512},
		{"none is sure", stats.BinomialAtLeast(0, 3, .1), 1},
		{"four of three", stats.BinomialAtLeast(4, 3, .9), 0},
		{"never", stats.BinomialAtLeast(1, 3, 0), 0},
		{"always", stats.BinomialAtLeast(3, 3, 1), 1},
		// source: definition, under Beta(1, 1) every count from 0 to n is as likely.
		{"eight or more of ten, anything possible", stats.BetaBinomialAtLeast(8, 10, 1, 1), 3. / 11},
		{"all of any", stats.BetaBinomialAtLeast(0, 10, 2, 3), 1},
		{"more than any", stats.BetaBinomialAtLeast(11, 10, 2, 3), 0},
		// source: computed by hand, E[p^2] of Beta(2, 1) is 1/2.
		{"both of two", stats.BetaBinomialAtLeast(2, 2, 2, 1), .5},
		{"median", stats.NormalAtMost(0), .5},
	} {
		if !(math.Abs(c.got-c.want) < 1e-12) {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}

// TestSureCountsAgree holds that a share known from very many is as good as
// known: the two tails become one.
func TestSureCountsAgree(t *testing.T) {
	known, counted := stats.BinomialAtLeast(790, 1000, .8), stats.BetaBinomialAtLeast(790, 1000, .8e9, .2e9)
	if math.Abs(known-counted) > 1e-4 {
		t.Errorf("known %v, counted on a thousand million %v", known, counted)
	}
}
