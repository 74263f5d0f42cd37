//go:build race

package scenario_test

// slower divides the size of long tests under the race detector.
const slower = 10
