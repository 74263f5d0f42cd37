package des

import "fmt"

// Load gathers things for something that works by the load, such as a kiln or a car.
// A load is complete when enough have come, or when the first has waited long
// enough; it is then ready for whoever takes it.
type Load[T any] struct {
	sim      *Sim
	name     string
	n        int  // so many complete a load
	most     int  // so many go into a load
	maxWait  Time // so long the first waits
	items    ring[arrival[T]]
	due      bool  // there is a first, and it has waited long enough
	alarm    Event // when it will have
	takers   queue
	watchers queue // in WaitAny
	loads    seating[[]T]
}

// arrival is a thing and when it came.
type arrival[T any] struct {
	x  T
	at Time
}

// NewLoad makes an empty load that is complete with n things, or when the first of
// them has waited maxWait, be it Never; what comes at that instant still belongs to
// it, so with 0 a load is what comes at one instant. It panics if n is not positive or maxWait is
// negative.
func NewLoad[T any](s *Sim, name string, n int, maxWait Time) *Load[T] {
	if n <= 0 || maxWait < 0 {
		panic(fmt.Sprintf("des: load %s of %d things within %v", name, n, maxWait))
	}
	return &Load[T]{
		sim: s, name: name, n: n, most: n, maxWait: maxWait,
		takers:   queue{what: "a load of " + name},
		watchers: queue{what: "a load of " + name},
	}
}

// SetMost sets how many things a load may hold, where it is worth starting with fewer:
// n or more are complete, up to most are taken. It panics if most is less than n.
func (l *Load[T]) SetMost(most int) {
	if most < l.n {
		panic(fmt.Sprintf("des: load %s of at most %d things, but %d make one", l.name, most, l.n))
	}
	l.most = most
}

// Name gives the name the load was made with.
func (l *Load[T]) Name() string { return l.name }

// Len gives the number of things gathered and not yet taken.
func (l *Load[T]) Len() int { return l.items.n }

// Complete reports whether a load is ready to be taken.
func (l *Load[T]) Complete() bool { return l.items.n >= l.n || l.due }

// Add adds x. It never waits: what the next load cannot hold is for the one after.
func (l *Load[T]) Add(x T) {
	l.items.push(arrival[T]{x, l.sim.now})
	if l.items.n == 1 {
		l.watchFirst()
	}
	l.serve()
}

// Take waits for a complete load and takes it. It gives nil only if p was cut.
func (l *Load[T]) Take(p *Process) []T { return l.TakeInto(p, nil) }

// TakeInto is Take into the space of buf, which saves allocating a slice for each
// load. If p was cut the result is empty.
func (l *Load[T]) TakeInto(p *Process, buf []T) []T {
	p.begin()
	buf = buf[:0]
	if l.Complete() {
		return l.remove(buf)
	}
	seat := l.loads.take(buf, nil)
	p.enter(&l.takers, 0).seat = seat
	p.await(Never)
	return l.loads.leave(seat)
}

// TryTake takes a load if one is complete, else it gives nil.
func (l *Load[T]) TryTake() []T {
	if !l.Complete() {
		return nil
	}
	return l.remove(nil)
}

// serve hands complete loads to those who wait.
func (l *Load[T]) serve() {
	for l.takers.head != nil && l.Complete() {
		w := l.takers.head
		seat := &l.loads.seats[w.seat]
		seat.x = l.remove(seat.x)
		w.grant()
	}
	if l.Complete() {
		l.watchers.grantAll()
	}
}

// remove moves up to a full load to buf.
func (l *Load[T]) remove(buf []T) []T {
	for range min(l.items.n, l.most) {
		buf = append(buf, l.items.pop().x)
	}
	l.watchFirst()
	return buf
}

// watchFirst sets the alarm for the thing that is now first.
func (l *Load[T]) watchFirst() {
	l.sim.Cancel(l.alarm)
	l.alarm, l.due = Event{}, false
	if l.items.n == 0 || l.maxWait == Never {
		return
	}
	if at := l.items.at(0).at.plus(l.maxWait); at >= l.sim.now {
		l.alarm = l.sim.schedule(at, Lapse, (*overdue[T])(l))
	} else {
		l.due = true
	}
}

// overdue is a Load as the timer of its first thing.
type overdue[T any] Load[T]

// Fire makes the load complete as it is.
func (o *overdue[T]) Fire(Time) {
	l := (*Load[T])(o)
	l.alarm, l.due = Event{}, true
	l.serve()
}

func (l *Load[T]) now() bool    { return l.Complete() }
func (l *Load[T]) line() *queue { return &l.watchers }
