package des

// A process waits for something by taking a place in the queue before it: one
// place as a rule, several in TakeAll and WaitAny. Whatever ends the wait - it
// comes true, its time limit lapses, the process is cut, the run closes - goes
// through withdraw, which takes all places back at once. No queue is ever left
// with a process in it that has gone.

// queue is a line of waiting processes: lower rank first, first come first served
// within a rank. It is linked through the waits, so it allocates nothing.
type queue struct {
	head, tail *wait
	what       string  // what is waited for, for reports
	places     *Places // set in the queue before places
}

// wait is the place of a process in a queue.
type wait struct {
	p          *Process
	in         *queue
	prev, next *wait
	index      int // which of the places of p this is
	rank       int
	n          int // places wanted, of Places
	seat       int // where a rack or load hands things over
}

// Outcomes of a wait besides the index of the place that came true.
const (
	lapsed = -1 // the time limit passed
	wasCut = -2
)

// insert puts w into the queue behind all of its own rank.
func (q *queue) insert(w *wait) {
	ahead := q.tail
	for ahead != nil && ahead.rank > w.rank {
		ahead = ahead.prev
	}
	w.in, w.prev = q, ahead
	if ahead == nil {
		w.next, q.head = q.head, w
	} else {
		w.next, ahead.next = ahead.next, w
	}
	if w.next == nil {
		q.tail = w
	} else {
		w.next.prev = w
	}
}

// remove takes w out of the queue.
func (q *queue) remove(w *wait) {
	if w.prev == nil {
		q.head = w.next
	} else {
		w.prev.next = w.next
	}
	if w.next == nil {
		q.tail = w.prev
	} else {
		w.next.prev = w.prev
	}
	w.in, w.prev, w.next = nil, nil, nil
}

// grantAll lets every wait in the queue come true.
func (q *queue) grantAll() {
	for q.head != nil {
		q.head.grant()
	}
}

// reserve makes room for n places, before the first is taken: places must not move
// while they are linked into queues.
func (p *Process) reserve(n int) {
	if n-1 > cap(p.more) {
		p.more = make([]wait, n-1)
	}
	p.more = p.more[:cap(p.more)]
}

// enter gives p a further place, in q.
func (p *Process) enter(q *queue, rank int) *wait {
	w := p.nth(p.queued)
	w.p, w.rank, w.index = p, rank, p.queued
	p.queued++
	q.insert(w)
	return w
}

// nth gives the i-th place of p.
func (p *Process) nth(i int) *wait {
	if i == 0 {
		return &p.place
	}
	return &p.more[i-1]
}

// withdraw takes p out of all queues and calls off its time limit.
func (p *Process) withdraw() {
	for i := range p.queued {
		w := p.nth(i)
		w.in.remove(w)
	}
	p.queued = 0
	if p.alarm != (Event{}) {
		p.sim.calendar.cancel(p.alarm)
		p.alarm = Event{}
	}
}

// giveUp is withdraw for a wait that did not come true. Those who stood behind p for
// places may now be first.
func (p *Process) giveUp(outcome int) {
	var served [4]*Places
	behind := served[:0]
	for i := range p.queued {
		if pl := p.nth(i).in.places; pl != nil {
			behind = append(behind, pl)
		}
	}
	p.withdraw()
	p.won = outcome
	for _, pl := range behind {
		pl.serve()
	}
}

// grant lets the wait come true: its process goes on at the present instant, after
// whatever has been scheduled for it before.
func (w *wait) grant() {
	p := w.p
	p.won = w.index
	p.withdraw()
	p.wake()
}

// wake has p resumed at the present instant.
func (p *Process) wake() {
	p.state = ready
	p.sim.schedule(p.sim.now, Start, (*resumption)(p))
}

// await suspends p, which has begun a wait and entered queues, until one of its places comes true,
// limit passes, or it is cut; it returns the index of the place, lapsed or wasCut.
// With a limit of 0 or less it does not wait.
func (p *Process) await(limit Time) int {
	s := p.sim
	switch {
	case limit <= 0:
		p.giveUp(lapsed)
		return lapsed
	case p.isCut():
		p.giveUp(wasCut)
		return wasCut
	}
	p.state, p.since, p.due = queuing, s.now, s.now.plus(limit)
	if limit != Never {
		p.alarm = s.schedule(p.due, Lapse, (*lapse)(p))
	}
	p.suspend()
	return p.won
}

// lapse is a Process as the timer of the limit of its wait.
type lapse Process

// Fire ends the wait; the process goes on at once.
func (l *lapse) Fire(Time) {
	p := (*Process)(l)
	p.alarm = Event{}
	p.giveUp(lapsed)
	p.resume()
}
