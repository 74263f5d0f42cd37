package des

import "fmt"

// Rack is a store for things, with room for so many: Put waits while it is full and
// Get while it is empty. Things come out in the order in which they went in, and
// waiting processes are served in the order of coming.
type Rack[T any] struct {
	sim      *Sim
	name     string
	size     int
	items    ring[T]
	getters  queue
	putters  queue
	watchers queue // in WaitAny
	seats    seating[T]
}

// NewRack makes an empty rack with room for size things. math.MaxInt makes it as good
// as boundless. It panics if size is not positive.
func NewRack[T any](s *Sim, name string, size int) *Rack[T] {
	if size <= 0 {
		panic(fmt.Sprintf("des: rack %s with room for %d", name, size))
	}
	return &Rack[T]{
		sim: s, name: name, size: size,
		getters:  queue{what: "something in rack " + name},
		putters:  queue{what: "room in rack " + name},
		watchers: queue{what: "something in rack " + name},
	}
}

// Name gives the name the rack was made with.
func (r *Rack[T]) Name() string { return r.name }

// Len gives the number of things in the rack.
func (r *Rack[T]) Len() int { return r.items.n }

// Room gives the number of things that could be put now.
func (r *Rack[T]) Room() int { return r.size - r.items.n }

// Put waits for room and puts x into the rack. It reports false, with x not put, only
// if p was cut.
func (r *Rack[T]) Put(p *Process, x T) bool { return r.PutWithin(p, x, Never) }

// PutWithin is Put with a time limit: it also reports false if limit passes first.
func (r *Rack[T]) PutWithin(p *Process, x T, limit Time) bool {
	p.begin()
	if r.TryPut(x) {
		return true
	}
	seat := r.seats.take(x, nil)
	p.enter(&r.putters, 0).seat = seat
	won := p.await(limit)
	r.seats.leave(seat)
	return won >= 0
}

// TryPut puts x into the rack if there is room; it reports whether it did.
func (r *Rack[T]) TryPut(x T) bool {
	if r.items.n >= r.size {
		return false
	}
	r.accept(x)
	return true
}

// Get waits for something and takes it. If p was cut it gives the zero T; GetWithin
// tells that apart.
func (r *Rack[T]) Get(p *Process) T {
	x, _ := r.get(p, nil, Never)
	return x
}

// GetWithin is Get with a time limit. It reports false if there was nothing in time
// or p was cut.
func (r *Rack[T]) GetWithin(p *Process, limit Time) (T, bool) { return r.get(p, nil, limit) }

// GetIf waits for something that matches and takes the first that does. If p was cut
// it gives the zero T. match is asked once about each thing, when that arrives or when
// p comes; it must depend on nothing else.
func (r *Rack[T]) GetIf(p *Process, match func(T) bool) T {
	x, _ := r.get(p, match, Never)
	return x
}

// GetIfWithin is GetIf with a time limit. It reports false if nothing matched in time
// or p was cut.
func (r *Rack[T]) GetIfWithin(p *Process, match func(T) bool, limit Time) (T, bool) {
	return r.get(p, match, limit)
}

// TryGet takes the first thing, if there is one.
func (r *Rack[T]) TryGet() (T, bool) { return r.TryGetIf(nil) }

// TryGetIf takes the first thing that matches, if there is one. A nil match is met by
// everything.
func (r *Rack[T]) TryGetIf(match func(T) bool) (x T, ok bool) {
	for i := range r.items.n {
		if match == nil || match(*r.items.at(i)) {
			x = r.items.remove(i)
			r.admit()
			return x, true
		}
	}
	return x, false
}

// Peek gives the first thing without taking it, if there is one.
func (r *Rack[T]) Peek() (x T, ok bool) {
	if r.items.n > 0 {
		x, ok = *r.items.at(0), true
	}
	return x, ok
}

// get takes the first thing that matches, waiting for it up to limit.
func (r *Rack[T]) get(p *Process, match func(T) bool, limit Time) (T, bool) {
	p.begin()
	if x, ok := r.TryGetIf(match); ok {
		return x, true
	}
	var none T
	seat := r.seats.take(none, match)
	p.enter(&r.getters, 0).seat = seat
	won := p.await(limit)
	return r.seats.leave(seat), won >= 0
}

// accept hands x to the first process that waits for such a thing or else stores it.
// A process that waits has been offered all that is in the rack already.
func (r *Rack[T]) accept(x T) {
	for w := r.getters.head; w != nil; w = w.next {
		seat := &r.seats.seats[w.seat]
		if seat.match == nil || seat.match(x) {
			seat.x = x
			w.grant()
			return
		}
	}
	r.items.push(x)
	r.watchers.grantAll()
}

// admit lets the first waiting things in, now that there is room.
func (r *Rack[T]) admit() {
	for r.items.n < r.size && r.putters.head != nil {
		w := r.putters.head
		x := r.seats.seats[w.seat].x
		w.grant()
		r.accept(x)
	}
}

func (r *Rack[T]) now() bool    { return r.items.n > 0 }
func (r *Rack[T]) line() *queue { return &r.watchers }

// seating is where things change hands between a process that waits and one that does
// not: the queue knows of waits, not of types, so a wait carries the number of a seat.
type seating[T any] struct {
	seats []seat[T]
	free  []int
}

// seat holds what is put, or what was got, and for a getter what would do.
type seat[T any] struct {
	x     T
	match func(T) bool
}

// take finds a free seat.
func (s *seating[T]) take(x T, match func(T) bool) int {
	n := len(s.free)
	if n == 0 {
		s.seats = append(s.seats, seat[T]{x, match})
		return len(s.seats) - 1
	}
	i := s.free[n-1]
	s.free = s.free[:n-1]
	s.seats[i] = seat[T]{x, match}
	return i
}

// leave frees a seat and gives what lay on it.
func (s *seating[T]) leave(i int) T {
	x := s.seats[i].x
	s.seats[i] = seat[T]{}
	s.free = append(s.free, i)
	return x
}
