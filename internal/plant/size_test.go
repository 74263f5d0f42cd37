//go:build !race

package plant_test

// How long the random cases run.
const (
	doorReplications = 20
	doorWeeks        = 26
	doorWidth        = 0.02 // greatest half-width, as a share
)
