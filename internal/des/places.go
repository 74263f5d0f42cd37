package des

import (
	"fmt"
	"strings"
)

// Places are a number of equal places that processes take and give back: the
// members of a crew, the places of a machine, a dryer or a kiln car.
//
// Who comes first is strict. Processes wait in the order of their rank, the lowest
// first, and within a rank in the order of coming. While the first in line waits for
// more places than are free, nobody behind it gets any, however few they want;
// otherwise a large want could starve. (TakeAll is the exception; see there.)
type Places struct {
	sim      *Sim
	name     string
	size     int
	busy     int
	queue    queue
	watchers queue // in WaitAny

	oldest, latest *holding // of those who took places
	booked         int      // places in these; timers hold the rest
}

// Places makes n places. It panics if n is negative.
func (s *Sim) Places(name string, n int) *Places {
	if n < 0 {
		panic(fmt.Sprintf("des: %d places of %s", n, name))
	}
	pl := &Places{sim: s, name: name, size: n}
	pl.queue.places = pl
	pl.watchers.what = "a free place of " + name
	return pl
}

// Name gives the name the places were made with.
func (pl *Places) Name() string { return pl.name }

// Size gives the number of places there are.
func (pl *Places) Size() int { return pl.size }

// Busy gives the number of places taken.
func (pl *Places) Busy() int { return pl.busy }

// Free gives the number of places that are not taken. It is 0, not less, while more
// are taken than there are, after a Resize.
func (pl *Places) Free() int { return max(0, pl.size-pl.busy) }

// Waiting gives the number of processes in line.
func (pl *Places) Waiting() int {
	n := 0
	for w := pl.queue.head; w != nil; w = w.next {
		n++
	}
	return n
}

// Take waits until n places are free for p and takes them. Of the waiting, the lowest
// rank comes first. It reports false, with nothing taken, only if p was cut. More
// places than there are is not an error, since there may be more later; p then
// waits, and the report of a stuck run says so. Take panics if n is not positive.
func (p *Process) Take(pl *Places, n, rank int) bool { return p.TakeWithin(pl, n, rank, Never) }

// TakeWithin is Take with a time limit: it also reports false if limit passes first.
// Places that fall free at the last instant are still in time.
func (p *Process) TakeWithin(pl *Places, n, rank int, limit Time) bool {
	pl.check(n)
	p.begin()
	if n <= pl.size-pl.busy && !pl.queue.barred(rank) {
		pl.take(p, n)
		return true
	}
	p.enter(&pl.queue, rank).n = n
	return p.await(limit) >= 0
}

// TryTake takes n places if they are free and nobody waits for them in rank 0 or
// before; it reports whether it did. It is for timers, which cannot wait.
func (pl *Places) TryTake(n int) bool {
	pl.check(n)
	if n > pl.size-pl.busy || pl.queue.barred(0) {
		return false
	}
	pl.take(pl.sim.current, n)
	return true
}

// Give gives n places back and lets those in line have them. Anyone may give, not
// only who took. It panics if n is not positive or more than are taken: places given
// twice would be a crew out of thin air. While the run closes it does nothing, so it
// can be deferred.
func (pl *Places) Give(n int) {
	pl.check(n)
	if pl.sim.closed {
		return
	}
	if n > pl.busy {
		panic(fmt.Sprintf("des: %d places of %s given back, but only %d are taken", n, pl.name, pl.busy))
	}
	pl.busy -= n
	pl.release(pl.sim.current, n)
	pl.serve()
}

// Resize sets the number of places, as when a crew changes at the end of a shift. New
// places go to those in line. If more are taken than remain, they stay taken until
// given back. It panics if n is negative.
func (pl *Places) Resize(n int) {
	if n < 0 {
		panic(fmt.Sprintf("des: %s resized to %d places", pl.name, n))
	}
	pl.size = n
	pl.serve()
}

// check panics at a number of places that makes no sense.
func (pl *Places) check(n int) {
	if n <= 0 {
		panic(fmt.Sprintf("des: %d places of %s wanted or given", n, pl.name))
	}
}

// take books n free places to p, which is nil for a timer.
func (pl *Places) take(p *Process, n int) {
	pl.busy += n
	if p != nil {
		pl.hold(p, n)
	}
}

// barred reports whether somebody who comes to the end of this rank has to wait for
// somebody before it. Whoever is still in line cannot be served, so a single waiting
// process bars all behind it; one in TakeAll bars nobody.
func (q *queue) barred(rank int) bool {
	for w := q.head; w != nil && w.rank <= rank; w = w.next {
		if !w.p.all {
			return true
		}
	}
	return false
}

// serve gives the free places to those in line. It is called after every change
// that can help somebody, so that at all other times nobody in line can be served.
func (pl *Places) serve() {
	for w := pl.queue.head; w != nil && (w.p.all || w.n <= pl.size-pl.busy); {
		next := w.next
		switch {
		case !w.p.all:
			pl.take(w.p, w.n)
			w.grant()
		case w.p.canTakeAll():
			w.p.takeAll()
		}
		w = next
	}
	if pl.now() {
		pl.watchers.grantAll()
	}
}

// now reports, for WaitAny, whether TryTake would get a place.
func (pl *Places) now() bool { return pl.busy < pl.size && !pl.queue.barred(0) }

// line gives, for WaitAny, the queue to wait in.
func (pl *Places) line() *queue { return &pl.watchers }

// holding is a number of places held by one process. It is linked into two lists:
// that of the places, in order of taking, and that of the process.
type holding struct {
	p              *Process
	pl             *Places
	n              int
	older, younger *holding
	next           *holding // of the process
}

// hold notes that p has taken n places.
func (pl *Places) hold(p *Process, n int) {
	pl.booked += n
	if h := p.holding(pl); h != nil {
		h.n += n
		return
	}
	s := pl.sim
	h := s.spare
	if h == nil {
		h = new(holding)
	} else {
		s.spare = h.next
	}
	*h = holding{p: p, pl: pl, n: n, older: pl.latest, next: p.holds}
	p.holds = h
	if h.older == nil {
		pl.oldest = h
	} else {
		h.older.younger = h
	}
	pl.latest = h
}

// holding finds the places p holds of pl, or nil.
func (p *Process) holding(pl *Places) *holding {
	h := p.holds
	for h != nil && h.pl != pl {
		h = h.next
	}
	return h
}

// release notes that n places have come back: from those the giver holds; then from
// those that timers took; then from whoever has held places longest. This is a guess
// where one took and another gives, and only reports depend on it. It is called
// after busy has gone down.
func (pl *Places) release(by *Process, n int) {
	if by != nil {
		if h := by.holding(pl); h != nil {
			n -= pl.lessen(h, n)
		}
	}
	n = min(n, pl.booked-pl.busy)
	for n > 0 {
		n -= pl.lessen(pl.oldest, n)
	}
}

// lessen takes up to n places off a holding and returns how many.
func (pl *Places) lessen(h *holding, n int) int {
	n = min(n, h.n)
	h.n -= n
	pl.booked -= n
	if h.n == 0 {
		pl.drop(h)
	}
	return n
}

// drop unlinks a holding that has come to nothing.
func (pl *Places) drop(h *holding) {
	if h.older == nil {
		pl.oldest = h.younger
	} else {
		h.older.younger = h.younger
	}
	if h.younger == nil {
		pl.latest = h.older
	} else {
		h.younger.older = h.older
	}
	link := &h.p.holds
	for *link != h {
		link = &(*link).next
	}
	*link = h.next
	*h = holding{next: pl.sim.spare}
	pl.sim.spare = h
}

// holders says who holds places, in order of taking: "crew 1, crew 2 (3)".
func (pl *Places) holders() string {
	var names []string
	for h := pl.oldest; h != nil; h = h.younger {
		name := h.p.name
		if h.n > 1 {
			name = fmt.Sprintf("%s (%d)", name, h.n)
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}
