package des

import (
	"fmt"
	"math"
	"runtime/debug"
)

// Sim is one simulation run: a clock, a calendar of events, and the processes
// that live in it. It belongs to one goroutine; several runs may go on at once in
// several goroutines, sharing nothing. Close it when done with it.
type Sim struct {
	calendar calendar
	now      Time
	until    Time // Run handles events up to here; before now once it has to stop
	running  bool
	closed   bool
	failure  error // what ended the run for good

	handled   uint64 // events handled
	atInstant uint64 // of these, at the present instant
	limit     uint64 // atInstant must not exceed it
	latest    []string

	ask      func() error // whether to end; nil: nobody wants to know
	askEvery uint64
	askAt    uint64 // handled, from which on it is asked

	current     *Process // whose body is running; nil in a timer and outside Run
	first, last *Process // started and not ended, in the order of starting
	idle        []*coroutine
	spare       *holding // holdings not in use

	trace func(now Time, r Rank, who string)
}

// New makes a run that stands at time 0 with nothing to do.
func New() *Sim {
	return &Sim{calendar: calendar{heap: newHeap()}, limit: instantLimit, askAt: math.MaxUint64}
}

// Now gives the present instant.
func (s *Sim) Now() Time { return s.now }

// Quiet reports whether nothing else is due at this instant, so that what is done now
// is the same as if it were scheduled for now at any rank.
func (s *Sim) Quiet() bool { return s.calendar.nextAfter(s.now) }

// Events gives the number of events handled so far: timers fired and processes
// resumed. Cancelled events do not count.
func (s *Sim) Events() uint64 { return s.handled }

// Trace has f called before each event, with its instant, its rank, and the name
// of the process that goes on or the type of the timer that fires; nil ends it. A
// trace slows the run but does not change it. f must only look.
func (s *Sim) Trace(f func(now Time, r Rank, who string)) { s.trace = f }

// Run handles every event up to and including the instant until, and leaves the
// clock there. It may be called again to go on. With Never it handles all there is
// and leaves the clock at the last event.
//
// It stops early, with the clock where it happened, and returns
//   - a *PanicError if a process or timer panicked;
//   - a *LivelockError if one instant takes too many events (see LimitInstant);
//   - the error of AskEvery's function;
//   - a *StuckError if nothing is left to happen but processes wait for something.
//
// The first three end the run for good: Run returns the same error ever after. It
// panics if until is past, after Close, and when called from within the run.
func (s *Sim) Run(until Time) (err error) {
	switch {
	case s.running || s.current != nil:
		panic("des: Run called from within the run")
	case s.closed:
		panic("des: Run after Close")
	case until < s.now:
		panic("des: Run until " + until.String() + ", which is past at " + s.now.String())
	case s.failure != nil:
		return s.failure
	}
	s.running, s.until = true, until
	defer s.leaveRun(&err)
	s.handle()
	switch {
	case s.failure != nil:
		return s.failure
	case s.until < s.now: // stopped
		return nil
	case s.calendar.pending() == 0:
		if stuck := s.stuck(); stuck != nil {
			return stuck
		}
	}
	if until != Never {
		s.moveTo(until)
	}
	return nil
}

// handle handles events until none is due any more. It is the loop in which a run
// spends its life.
func (s *Sim) handle() {
	for {
		at, key, timer := s.calendar.take(s.now, s.until)
		if timer == nil {
			return
		}
		if at != s.now {
			s.moveTo(at)
			if s.handled >= s.askAt && s.asked() {
				return
			}
		}
		s.handled++
		s.atInstant++
		if s.atInstant+latestKept > s.limit && s.livelocked(timer) {
			return
		}
		if s.trace != nil {
			s.trace(at, rankOf(key), nameOf(timer))
		}
		timer.Fire(at)
	}
}

// AskEvery has f called again and again as the run goes on, between two instants
// and about so many events apart, at least 1: an error ends the run for good. f must
// only look; when it is called says nothing about the run.
func (s *Sim) AskEvery(events uint64, f func() error) {
	s.ask, s.askEvery, s.askAt = f, events, s.handled+events
}

// asked asks whether to end.
func (s *Sim) asked() bool {
	s.askAt = s.handled + s.askEvery
	err := s.ask()
	if err != nil {
		s.fail(err)
	}
	return err != nil
}

// moveTo sets the clock.
func (s *Sim) moveTo(t Time) {
	s.now = t
	s.atInstant = 0
}

// leaveRun ends Run. A timer panics on Run's own stack, so it is caught here;
// processes are caught where they run.
func (s *Sim) leaveRun(err *error) {
	s.running = false
	if value := recover(); value != nil {
		s.fail(&PanicError{At: s.now, Value: value, Stack: debug.Stack()})
		*err = s.failure
	}
}

// fail ends the run for good; the first failure stands.
func (s *Sim) fail(err error) {
	if s.failure == nil {
		s.failure = err
	}
	s.Stop()
}

// Stop has Run return once the present event is handled, with the clock where it
// is and the rest of the instant still to come. A later Run goes on from there.
func (s *Sim) Stop() { s.until = -1 }

// Close unwinds all processes: each wait in progress ends in a panic private to
// this package, so that the body's deferred calls run; a wait among these panics
// again at once. While the run closes, scheduling and giving back do nothing. After
// Close the run holds no goroutines. Close may be called again.
//
// If a deferred call panics on its own account, Close finishes its work and then
// panics with the *PanicError.
func (s *Sim) Close() {
	if s.running || s.current != nil {
		panic("des: Close called from within the run")
	}
	if s.closed {
		return
	}
	s.closed = true
	before := s.failure
	for s.first != nil {
		s.first.unwind()
	}
	for _, c := range s.idle {
		c.stop()
	}
	s.idle, s.calendar = nil, calendar{heap: newHeap()}
	if before == nil && s.failure != nil {
		panic(s.failure)
	}
}

// nameOf names what an event concerns: the process, or the type of a timer.
func nameOf(timer Timer) string {
	switch t := timer.(type) {
	case *resumption:
		return t.name
	case *lapse:
		return t.name
	}
	return fmt.Sprintf("%T", timer)
}
