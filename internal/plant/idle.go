package plant

import "potbank/internal/des"

// The states of a crew that do not depend on what it does. Those of people and
// of machines that work alone begin with them; what is busy comes after.
const (
	handOff     = iota
	handAbsent  // rostered, and away for the day
	handIdle    // there is no work
	handWaits   // there is work, and its time has not come
	handBlocked // there is work, and something stands in its way
	handsThere  // what is busy begins here
)

var restNames = []string{"off shift", "absent", "no work", "waiting", "blocked"}

// jobs is the work of a desk that idle hands may not begin, by what keeps them
// from it. One that is kept by both is blocked.
type jobs struct {
	blocked int // by a place, a car, the floor, or hands that it takes besides
	waits   int // for its window, a full load, mates, a wall to build, the next shift
}

// apart tells idle hands apart: as many as there is blocked work for are
// blocked, of the others as many wait as there is waiting work for, and the rest
// have none.
func (j jobs) apart(idle int) (none, waits, blocked int) {
	blocked = min(idle, j.blocked)
	waits = min(idle-blocked, j.waits)
	return idle - blocked - waits, waits, blocked
}

// tellApart books what keeps the idle hands of a crew. It is called after
// everything that may change it: the hands have looked for work, or work has
// come or gone that nobody may begin.
func (c *crew) tellApart() {
	if len(c.idle) == 0 && c.told == (jobs{}) {
		return
	}
	var all jobs
	for _, d := range c.desks {
		j := d.kept()
		all.blocked += j.blocked
		all.waits += j.waits
	}
	_, waits, blocked := all.apart(len(c.idle))
	now := c.r.sim.Now()
	c.clock.move(now, handIdle, handWaits, int64(waits-c.told.waits))
	c.clock.move(now, handIdle, handBlocked, int64(blocked-c.told.blocked))
	c.told = jobs{blocked: blocked, waits: waits}
}

// kept is the pieces that would have to be finished after the shift, and those
// that wait for their mates.
func (s *station) kept() jobs {
	j := jobs{waits: s.queue.n}
	if s.mates != nil {
		j.waits += s.mates()
	}
	return j
}

// unmatched is the pieces that wait for their mates.
func (k *packing) unmatched() (n int) {
	for _, s := range k.suites {
		for m := range s.wait {
			n += s.wait[m].n
		}
	}
	return n
}

// kept is the pieces whose window is not open, and of those to be punched all
// that find the punching places taken.
func (f *finishing) kept() jobs {
	j := jobs{waits: f.rest.n() + f.stiff}
	if f.in.Places > 0 && f.busy >= f.in.Places {
		j.blocked = f.open.n()
	} else {
		j.waits += f.open.n()
	}
	return j
}

// kept is the pieces that find all booths taken.
func (b *boothGroup) kept() jobs {
	n := 0
	for w := range b.g.queues {
		if b.takes[w] {
			n += b.g.queues[w].n
		}
	}
	if b.busy >= b.in.Count {
		return jobs{blocked: n}
	}
	return jobs{waits: n}
}

// kept is the cars that would have to be drawn after the shift, and the loads
// that wait for an empty car, or for a push where enough are loaded. Ware that
// makes no load is a job that waits for the rest of it.
func (k *tunnel) kept() jobs {
	_, waiting := k.feed.best()
	j := jobs{waits: k.out.n}
	loads := int((waiting + almost) / wholeLoad)
	if loads == 0 && k.takesPart(waiting) {
		loads = 1
	}
	switch {
	case loads == 0 && waiting > 0:
		j.waits++
	case k.ahead.n+k.loading >= k.in.Ahead || !k.endless && len(k.spare) == 0:
		j.blocked = loads
	default:
		j.waits += loads
	}
	return j
}

// tellPlacers has the placers of all kilns look again after ware was taken out of
// the buffer, which they share.
func (r *run) tellPlacers() {
	for _, k := range r.tunnels {
		if k.placers != nil {
			k.placers.tellApart()
		}
	}
}

// column is the state in which a hand is shown.
func (h *hand) column() int {
	switch {
	case h.state == handOff && h.roster.open && h.away:
		return handAbsent
	case h.state > handBlocked && !h.roster.open:
		return handAfter
	}
	return h.state
}

// show brings the crew's clock in line with what the hand does, and whether its
// hours are open.
func (h *hand) show(now des.Time) {
	to := h.column()
	h.crew.clock.move(now, h.shown, to, 1)
	h.shown = to
}
