//go:build !race

package eventlog_test

// How much is written.
const (
	everyWorks = true
	smallWeeks = 5
	manyPieces = 100_000
)
