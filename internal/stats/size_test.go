//go:build !race

package stats_test

// Interval honesty: of 1,000 experiments whose truth is known, a nominal 95 %
// interval must cover in 927 to 973, which holds 99.9 % of binomial(1000, .95)
// (computed).
const (
	experiments  = 1000
	leastCovered = 927
	mostCovered  = 973
)
