//go:build race

package eventlog_test

// Under the race detector logs are short: they show that nothing races, the
// figures are held to without it.
const (
	everyWorks = false
	smallWeeks = 3
	manyPieces = 10_000
)
