//go:build race

package experiment

// selectionStudies is small here: the race detector slows arithmetic tenfold.
const selectionStudies = 10
