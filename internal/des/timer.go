package des

// Timer is something that happens at an instant. Timers carry the thousands of
// pieces that only wait out a delay: a piece in the dryer needs no process, just
// a Fire that says what becomes of it. Fire runs to its end within the instant;
// it cannot wait. It may do everything else: schedule, ring bells, give places
// back, TryPut.
//
// A pointer type with a Fire method schedules without allocation.
type Timer interface {
	Fire(now Time)
}

// TimerFunc makes a Timer of a function. Unless the same value is scheduled again
// and again, this allocates.
type TimerFunc func(now Time)

// Fire calls f.
func (f TimerFunc) Fire(now Time) { f(now) }

// Event is the handle of a scheduled timer, good for Cancel. Handles can be
// compared; the zero Event is none. A handle goes stale, harmlessly, when its
// event has happened.
type Event struct {
	number uint64
	slot   uint32
}

// At schedules timer for the instant t. Of several events at one instant, the
// lower rank comes first, and within a rank the one scheduled first. An event at
// Never does not happen; its handle is zero. At panics if t is past.
func (s *Sim) At(t Time, r Rank, timer Timer) Event {
	if timer == nil {
		panic("des: At without a timer")
	}
	if t < s.now {
		panic("des: event at " + t.String() + ", which is past at " + s.now.String())
	}
	return s.schedule(t, r, timer)
}

// After schedules timer d from now. It panics if d is negative.
func (s *Sim) After(d Time, r Rank, timer Timer) Event {
	return s.At(s.now.plus(d), r, timer)
}

// Cancel takes back a scheduled event and reports whether it was still to
// happen. The zero Event and events that have happened are no error.
func (s *Sim) Cancel(e Event) bool { return s.calendar.cancel(e) }

// schedule is At without its checks. A closing run schedules nothing: processes
// that unwind may still try to.
func (s *Sim) schedule(t Time, r Rank, timer Timer) Event {
	if s.closed || t == Never {
		return Event{}
	}
	return s.calendar.add(s.now, t, r, timer)
}
