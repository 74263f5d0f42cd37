package effort

import (
	"fmt"
	"time"
)

// Limits of what a study may take. Each has a flag of its own.
type Limits struct {
	Longest    time.Duration // a study; 0: no limit
	LongestRun time.Duration // one replication; 0: no limit
	Memory     int64         // bytes; 0: not known, no limit
	Free       int64         // bytes free where the ledger lies; negative: there is none, or it is not known
}

// Limits that hold where no flag gives another.
const (
	UsualLongest    = 24 * time.Hour
	UsualLongestRun = 10 * time.Minute
	UsualMemory     = 0.75 // of the memory of the machine
	roomPerByte     = 2    // free bytes wanted for each that the ledger grows by
)

// OverError is a study that would go over a limit.
type OverError struct{ What, Hint string }

func (e *OverError) Error() string { return e.What + "; hint: " + e.Hint }

// Check refuses a study that may go over a limit, by what it takes at most.
func (l Limits) Check(e Estimate) error {
	over := func(hint, format string, args ...any) error {
		return &OverError{What: fmt.Sprintf(format, args...), Hint: hint}
	}
	switch {
	case l.LongestRun > 0 && e.One > l.LongestRun:
		return over("simulate fewer weeks, or raise it with --longest-run", "one replication would take about %s, and the limit is %s", Duration(e.One), Duration(l.LongestRun))
	case l.Longest > 0 && e.Most > l.Longest:
		return over("ask for fewer replications, or raise it with --longest", "the study may take %s on %s (%s, about %s of processor time), and the limit is %s",
			Duration(e.Most), processors(e.Cores), e.Shape, Duration(e.Work), Duration(l.Longest))
	case l.Memory > 0 && e.Memory > l.Memory:
		return over("ask for fewer replications or --workers, or raise it with --most-memory", "the study may take %s of memory (%s), and the limit is %s",
			Bytes(e.Memory), e.Shape, Bytes(l.Memory))
	case l.Free >= 0 && e.Grows > l.Free/roomPerByte:
		return over("make room, or name a ledger on another disk", "the ledger may grow by %s (%s), and %s are free on its disk, less than %d times that",
			Bytes(e.Grows), e.Shape, Bytes(l.Free), roomPerByte)
	}
	return nil
}
