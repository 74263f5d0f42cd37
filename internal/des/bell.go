package des

// Bell tells processes that something has changed, so that they look again instead
// of looking every minute:
//
//	for !dryEnough() {
//		changed.WaitFor(p)
//	}
//
// A ring is heard by those who wait at that moment and by nobody later.
type Bell struct {
	queue queue
}

// Bell makes a bell.
func (s *Sim) Bell(name string) *Bell {
	return &Bell{queue: queue{what: "bell " + name}}
}

// Ring wakes all who wait for the bell.
func (b *Bell) Ring() { b.queue.grantAll() }

// WaitFor waits for the next ring. It reports false only if p was cut.
func (b *Bell) WaitFor(p *Process) bool { return b.WaitWithin(p, Never) }

// WaitWithin waits for the next ring, but not longer than limit; it reports whether
// the bell rang.
func (b *Bell) WaitWithin(p *Process, limit Time) bool {
	p.begin()
	p.enter(&b.queue, 0)
	return p.await(limit) >= 0
}

func (b *Bell) now() bool    { return false }
func (b *Bell) line() *queue { return &b.queue }
