//go:build !race

package experiment

// selectionStudies is the number of choices whose share of right ones is judged.
const selectionStudies = 100
