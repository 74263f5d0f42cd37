package des

// Process is something with a life story: a bench, a booth, a kiln, a crew. Its
// body is ordinary code that runs on its own stack and waits with methods of the
// Process, such as Pass and Take; between waits no time passes and no other
// process runs. A body may only wait on its own Process.
//
// A process costs about 3 kB and 0.1 us a wait; up to some thousand of them are
// cheap. Pieces, of which there are more, are better passive, with a Timer for
// what delays them.
type Process struct {
	// What every wait touches comes first, to lie in two cache lines.
	sim     *Sim
	co      *coroutine // on which the body runs; nil before it starts
	state   state
	standby bool
	all     bool   // all places are needed at once, as in TakeAll
	due     Time   // when a Pass ends, or the limit of a wait in queues
	since   Time   // when the wait began
	alarm   Event  // what is scheduled for due
	cause   any    // of the cut that ended the latest wait
	cuts    []any  // cuts that came while the process was not waiting
	queued  int    // how many places in queues the wait has;
	won     int    // which of them came true, or lapsed or wasCut;
	place   wait   // the first of them;
	more    []wait // and further ones

	name       string
	body       func(*Process)
	holds      *holding // places it has taken
	prev, next *Process // in the list of the run
}

// state says what a process is doing.
type state uint8

const (
	ready   state = iota // will be resumed at the present instant
	running              // its body is running
	passing              // waits for time to pass
	queuing              // waits in one or more queues
	ended
)

// Go makes a process of body. It starts at the present instant, at rank Start;
// the process ends when body returns. The name is for reports and need not be
// unique.
func (s *Sim) Go(name string, body func(p *Process)) *Process {
	p := &Process{sim: s, name: name, body: body, prev: s.last}
	if s.closed {
		p.state = ended
		return p
	}
	if s.last == nil {
		s.first = p
	} else {
		s.last.next = p
	}
	s.last = p
	s.schedule(s.now, Start, (*resumption)(p))
	return p
}

// Name gives the name the process was started with.
func (p *Process) Name() string { return p.name }

// Now gives the present instant.
func (p *Process) Now() Time { return p.sim.now }

// Sim gives the run the process belongs to.
func (p *Process) Sim() *Sim { return p.sim }

// Ended reports whether the body has returned.
func (p *Process) Ended() bool { return p.state == ended }

// Standby declares that p serves others and may wait for work for ever: its waiting
// alone does not make the run stuck.
func (p *Process) Standby() { p.standby = true }

// Pass lets d pass. It returns 0 then, or, if p was cut, the time that was left.
// Pass(0) cannot be cut; it lets whatever else finishes at this instant go first, and
// PassAt(p.Now(), Start) also what starts. Pass panics if d is negative.
func (p *Process) Pass(d Time) (left Time) {
	if d < 0 {
		panic("des: Pass of negative time " + d.String())
	}
	return p.PassAt(p.sim.now.plus(d), Finish)
}

// PassUntil waits for the instant t. It returns 0 then, or, if p was cut, the time
// that was left. If t is past it acts as Pass(0). PassUntil(Never) waits for a cut.
func (p *Process) PassUntil(t Time) (left Time) { return p.PassAt(t, Finish) }

// PassAt is PassUntil with another rank than Finish. A shift clock, for instance,
// passes from change to change at rank Calendar.
func (p *Process) PassAt(t Time, r Rank) (left Time) {
	s := p.sim
	p.begin()
	t = max(t, s.now)
	if t > s.now && p.isCut() {
		return t - s.now
	}
	// The own-event short cut: if p would be the next to go on, just move the clock.
	if t > s.now && t <= s.until && t != Never && s.trace == nil && s.calendar.nextAfter(t) {
		s.moveTo(t)
		s.handled++
		s.atInstant++
		return 0
	}
	p.state, p.since, p.due = passing, s.now, t
	p.alarm = s.schedule(t, r, (*resumption)(p))
	p.suspend()
	p.alarm = Event{}
	return t - s.now
}

// begin begins a wait. It panics unless p itself is running: a wait called by a
// timer, or by one process for another, would suspend the wrong one.
func (p *Process) begin() {
	switch {
	case p.sim.current != p:
		panic("des: wait of process " + p.name + " called from outside its body")
	case p.sim.closed:
		panic(unwinding{})
	}
	p.cause, p.all = nil, false
}

// leave takes p out of the list of the run.
func (p *Process) leave() {
	s := p.sim
	s.current = nil
	p.state, p.body, p.co = ended, nil, nil
	if p.prev == nil {
		s.first = p.next
	} else {
		p.prev.next = p.next
	}
	if p.next == nil {
		s.last = p.prev
	} else {
		p.next.prev = p.prev
	}
	p.prev, p.next = nil, nil
}
