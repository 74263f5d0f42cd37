//go:build race

package decision_test

// sizeWeeks is smaller here: the race detector slows a run tenfold.
const sizeWeeks = 6
