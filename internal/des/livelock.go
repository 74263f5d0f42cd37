package des

import (
	"fmt"
	"strings"
)

// instantLimit is how many events one instant may take unless LimitInstant says
// otherwise: far more than any plant needs, reached in a second.
const instantLimit = 1_000_000

// latestKept is how many of the last events a LivelockError names.
const latestKept = 8

// LivelockError tells that the clock stood still over too many events: processes that
// keep waking each other without letting time pass.
type LivelockError struct {
	At     Time
	Events uint64
	Latest []string // the last processes resumed, or types of timers fired
}

// Error tells where and which.
func (e *LivelockError) Error() string {
	return fmt.Sprintf("time stands still at %v: %d events, the latest of %s",
		e.At, e.Events, strings.Join(e.Latest, ", "))
}

// LimitInstant sets how many events one instant may take before Run returns a
// *LivelockError; it is 1,000,000 at first.
func (s *Sim) LimitInstant(events uint64) { s.limit = events }

// livelocked takes note of the last events before the limit is reached, and ends the
// run when it is passed.
func (s *Sim) livelocked(timer Timer) bool {
	if s.atInstant > s.limit {
		s.fail(&LivelockError{At: s.now, Events: s.limit, Latest: s.latest})
		return true
	}
	if s.atInstant == 1 || s.atInstant+latestKept == s.limit+1 {
		s.latest = nil
	}
	s.latest = append(s.latest, nameOf(timer))
	return false
}
