package des

// Want is a number of places wanted together with others.
type Want struct {
	Places *Places
	N      int
}

// TakeAll waits until all the wants can be met at one instant and takes them in one
// step. It never holds a part, so two processes that want the same things cannot
// block each other. It reports false, with nothing taken, only if p was cut.
//
// Waiting for several things keeps none of them idle: while one is lacking, others
// may take the rest, even if they came later. In its turn TakeAll does not overtake
// a process that waits, before it in a line, for more than is free. It stands in
// rank 0. TakeAll panics if there are no wants, a want is not positive, or two
// wants are for the same places.
func (p *Process) TakeAll(wants ...Want) bool {
	checkWants(wants)
	p.begin()
	p.reserve(len(wants))
	p.all = true
	for _, want := range wants {
		p.enter(&want.Places.queue, 0).n = want.N
	}
	if p.canTakeAll() {
		p.book()
		p.withdraw()
		return true
	}
	return p.await(Never) >= 0
}

// checkWants panics at wants that make no sense.
func checkWants(wants []Want) {
	if len(wants) == 0 {
		panic("des: TakeAll without wants")
	}
	for i, want := range wants {
		want.Places.check(want.N)
		for _, other := range wants[:i] {
			if other.Places == want.Places {
				panic("des: TakeAll wants " + want.Places.name + " twice")
			}
		}
	}
}

// canTakeAll reports whether everything p waits for can be had.
func (p *Process) canTakeAll() bool {
	for i := range p.queued {
		w := p.nth(i)
		pl := w.in.places
		if w.n > pl.size-pl.busy {
			return false
		}
		for ahead := w.prev; ahead != nil; ahead = ahead.prev {
			if !ahead.p.all {
				return false
			}
		}
	}
	return true
}

// book takes what p waits for.
func (p *Process) book() {
	for i := range p.queued {
		w := p.nth(i)
		w.in.places.take(p, w.n)
	}
}

// takeAll lets the wait of p come true.
func (p *Process) takeAll() {
	p.book()
	p.place.grant()
}
