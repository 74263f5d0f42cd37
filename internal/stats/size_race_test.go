//go:build race

package stats_test

// The race detector slows arithmetic tenfold, so the experiments are fewer here:
// of 200, 179 to 198 must cover, 99.9 % of binomial(200, .95) (computed).
const (
	experiments  = 200
	leastCovered = 179
	mostCovered  = 198
)
