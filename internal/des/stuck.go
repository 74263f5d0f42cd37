package des

import (
	"fmt"
	"strings"
)

// PanicError tells of a panic in a process or timer.
type PanicError struct {
	Process string // name of the process; "" if a timer panicked
	At      Time
	Value   any    // given to panic
	Stack   []byte // of the process or timer
}

// Error tells all but the stack.
func (e *PanicError) Error() string {
	who := "a timer"
	if e.Process != "" {
		who = "process " + e.Process
	}
	return fmt.Sprintf("%s panicked at %v: %v", who, e.At, e.Value)
}

// Unwrap gives the value of the panic if that is an error.
func (e *PanicError) Unwrap() error {
	err, _ := e.Value.(error)
	return err
}

// Waiter is a process that waits for something other than time.
type Waiter struct {
	Process string
	For     string // what it waits for
	Holder  string // who holds that, if it is places
	Since   Time
}

// String tells it in a line.
func (w Waiter) String() string {
	text := fmt.Sprintf("%s waits for %s since %v", w.Process, w.For, w.Since)
	if w.Holder != "" {
		text += ", held by " + w.Holder
	}
	return text
}

// StuckError tells that nothing is left to happen although processes wait.
type StuckError struct {
	At      Time
	Waiters []Waiter
}

// Error tells who waits for what, one a line.
func (e *StuckError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "stuck at %v: nothing is left to happen, but", e.At)
	for _, w := range e.Waiters {
		b.WriteString("\n\t" + w.String())
	}
	return b.String()
}

// Waiters tells which processes wait for something other than time, in the order in
// which they were started.
func (s *Sim) Waiters() []Waiter { return s.waiters(true) }

// waiters lists the waiting processes, with or without those on standby.
func (s *Sim) waiters(standby bool) []Waiter {
	var list []Waiter
	for p := s.first; p != nil; p = p.next {
		if p.standby && !standby {
			continue
		}
		switch {
		case p.state == queuing:
			what, holder := p.waitsFor()
			list = append(list, Waiter{p.name, what, holder, p.since})
		case p.state == passing && p.due == Never:
			list = append(list, Waiter{p.name, "an instant that never comes", "", p.since})
		}
	}
	return list
}

// waitsFor says for what p waits and who holds it.
func (p *Process) waitsFor() (what, holder string) {
	var things, holders []string
	for i := range p.queued {
		w := p.nth(i)
		pl := w.in.places
		if pl == nil {
			things = append(things, w.in.what)
			continue
		}
		things = append(things, fmt.Sprintf("%d of %s (%d of %d free)", w.n, pl.name, pl.Free(), pl.size))
		if names := pl.holders(); names != "" {
			holders = append(holders, names)
		}
	}
	joint := " or "
	if p.all {
		joint = " and "
	}
	return strings.Join(things, joint), strings.Join(holders, "; ")
}

// stuck makes the error if anybody waits who ought not to.
func (s *Sim) stuck() error {
	if list := s.waiters(false); list != nil {
		return &StuckError{s.now, list}
	}
	return nil
}
