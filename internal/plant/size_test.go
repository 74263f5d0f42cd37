//go:build !race

package plant_test

// How long the random cases run.
const (
	everyVariant   = true // of Plant A
	plantAWeeks    = 20   // of which 4 are not measured
	handSlack      = 1    // on the tolerances of the hand calculation
	machineWeeks   = 20
	sameWeeks      = 4 // long enough for refires, worn moulds and weekends
	drawWeeks      = 3 // some hundred pieces are then through their second fire
	leastToCompare = 100
	masterRuns     = 60 // of a fault in the tooling
)
