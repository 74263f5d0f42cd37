//go:build race

package eventlog_test

// Under the race detector runs are short.
const (
	plantAWeeks   = 2
	pressureWeeks = 1
)
