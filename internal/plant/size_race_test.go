//go:build race

package plant_test

// Under the race detector runs are short: they show that the model works, not
// that its figures are known well.
const (
	everyVariant   = false
	plantAWeeks    = 8
	handSlack      = 2
	machineWeeks   = 2
	sameWeeks      = 1
	drawWeeks      = 2
	leastToCompare = 20
	masterRuns     = 20
)
