package des

// Door is a condition that holds for a while: a kiln that may be loaded, a shift that
// is on. While it is open everybody passes.
type Door struct {
	open  bool
	queue queue
}

// Door makes a door, shut at first.
func (s *Sim) Door(name string) *Door {
	return &Door{queue: queue{what: "door " + name}}
}

// Open opens the door and lets all who wait pass. They pass even if it is shut again
// at the same instant.
func (d *Door) Open() {
	d.open = true
	d.queue.grantAll()
}

// Shut shuts the door.
func (d *Door) Shut() { d.open = false }

// IsOpen reports whether the door is open.
func (d *Door) IsOpen() bool { return d.open }

// WaitOpen waits until the door is open. It reports false only if p was cut.
func (d *Door) WaitOpen(p *Process) bool { return d.WaitOpenWithin(p, Never) }

// WaitOpenWithin waits until the door is open, but not longer than limit; it reports
// whether p may pass.
func (d *Door) WaitOpenWithin(p *Process, limit Time) bool {
	p.begin()
	if d.open {
		return true
	}
	p.enter(&d.queue, 0)
	return p.await(limit) >= 0
}

func (d *Door) now() bool    { return d.open }
func (d *Door) line() *queue { return &d.queue }
