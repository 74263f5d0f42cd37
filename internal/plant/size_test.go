//go:build !race

package plant_test

// How long the random cases run.
const (
	doorReplications = 20
	doorWeeks        = 26
	doorWidth        = 0.02 // greatest half-width, as a share

	everyVariant   = true // of Plant A
	plantAWeeks    = 20   // of which 4 are not measured
	handSlack      = 1    // on the tolerances of the hand calculation
	machineWeeks   = 20
	sameWeeks      = 4 // long enough for refires, worn moulds and weekends
	drawWeeks      = 3 // some hundred pieces are then through their second fire
	leastToCompare = 100
)
