//go:build !race

package scenario_test

// slower divides the size of long tests: by 1 where nothing slows them.
const slower = 1
