//go:build !race

package eventlog_test

// Weeks of the larger works.
const (
	plantAWeeks   = 2
	pressureWeeks = 2
)
