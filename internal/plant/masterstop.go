package plant

import (
	"slices"

	"potbank/internal/des"
)

// stop carries out what follows from a true alarm: the bad moulds and cases are
// broken, suspects are sorted or scrapped wherever they are, and the tools are
// made anew.
func (m *master) stop() {
	m.res.Stop, m.res.CastStop = m.r.sim.Now(), m.res.Cast
	m.cured = true
	m.countSuspects()
	m.judgeWorks()
	m.judgeStore()
	m.breakMoulds()
	m.remake()
	m.sweep()
}

// condemn decides on one suspect: to be scrapped, or cleared by sorting.
func (m *master) condemn(key uint64, mark *masterMark) bool {
	if m.in.Scrap {
		return true
	}
	m.res.Sorted++
	if mark.bad && mark.shows {
		return m.finds.Trial(m.in.Finds, key, 0)
	}
	return m.throws.Trial(m.in.Rejects, key, 0)
}

// judgeWorks sorts the suspects in the works. Those condemned are taken out of
// queues at once and scrapped where they next come to hand.
func (m *master) judgeWorks() {
	for i := range m.r.pieces {
		p := &m.r.pieces[i]
		if p.serial != 0 && m.marks[i].tracked && m.suspect(m.trace, traceable{p.filled, &m.marks[i]}) {
			if m.marks[i].condemned = m.condemn(p.key, &m.marks[i]); m.marks[i].condemned {
				m.toPull++
			}
		}
	}
}

// judgeStore sorts the suspects in the store.
func (m *master) judgeStore() {
	now := m.r.sim.Now()
	for k := range m.packed {
		q := &m.packed[k]
		if q.removed || q.leaves <= now || !m.suspect(m.trace, traceable{q.filled, &q.masterMark}) || !m.condemn(q.key, &q.masterMark) {
			continue
		}
		q.removed = true
		m.res.scrap("store", q.value+m.disposal(), !q.bad)
		if !(q.bad && q.shows) {
			m.res.GoodPacked--
		}
	}
}

// disposal is what it costs to throw one fired piece away.
func (m *master) disposal() int64 {
	in := m.r.wares[m.ware].in
	return int64(in.Costs.Disposal) * int64(in.Fired) / 1_000_000
}

// breakMoulds breaks the bad moulds on benches, on the shelf and drying. A
// mould that holds ware is broken when it is opened.
func (m *master) breakMoulds() {
	r := m.r
	drop := func(k int32) bool {
		if k < 0 || r.moulds.all[k].ware != m.ware || !m.moulds[k].bad {
			return false
		}
		m.res.MouldsBroken++
		r.moulds.wear(k)
		return true
	}
	for _, g := range r.benches {
		for _, b := range g.benches {
			for place, k := range b.moulds {
				if drop(k) {
					b.moulds[place] = -1
				}
			}
		}
	}
	s := m.supply()
	if s == nil {
		return
	}
	for range s.stock.n {
		if k := s.stock.pop(); !drop(k) {
			s.stock.push(k)
		}
	}
	for k := range s.drying {
		s.drying[k].moulds = slices.DeleteFunc(s.drying[k].moulds, drop)
	}
}

// remake breaks the bad cases and has new ones made, in which moulds are poured
// for the benches when a first cast has its fired proof, or before it at a risk.
func (m *master) remake() {
	s := m.supply()
	m.res.Released = m.r.sim.Now()
	if s == nil || m.in.Node == "punch" { // an empty place has a new mould at its next fill
		m.res.Refilled = m.res.Released
	}
	if s == nil || m.in.Node == "mould" || m.in.Node == "punch" {
		return
	}
	now, shop := m.r.sim.Now(), m.r.shop.in
	made := now + m.in.Tooling
	proven := shop.Pour + shop.Dry + m.in.Proof
	wait := proven
	if m.in.Unproven {
		wait = 0
	}
	old := len(s.cases)
	s.cases = slices.DeleteFunc(s.cases, m.badCase)
	broken := old - len(s.cases)
	m.res.CasesBroken, m.res.Released = int64(broken), made+wait
	if m.in.Node == "case" {
		if s.spare > 0 && broken > 0 { // it must be proven like a new one
			s.spare--
			m.res.Released = now + wait
			s.coming = append(s.coming, now+wait)
		}
	} else {
		m.res.CasesBroken += int64(s.spare)
		broken += s.spare
		s.spare, s.block, s.setsOff, s.coming = 0, s.block+1, 0, nil
	}
	for range broken {
		s.coming = append(s.coming, made+wait)
	}
	slices.Sort(s.coming)
}

// badCase tells whether a case set is of the bad tool.
func (m *master) badCase(c toolCase) bool {
	switch m.in.Node {
	case "case":
		return int(c.no) == m.node
	case "block":
		return int(c.block) == m.node
	}
	return true
}

// sweep takes the condemned pieces out of the queues in which they wait.
func (m *master) sweep() {
	r := m.r
	out := func(lanes ...*lane) {
		for _, l := range lanes {
			for _, i := range l.withdraw(func(i pieceID) bool { return m.marks[i].condemned }) {
				m.remove(i)
			}
		}
	}
	for kind := range r.park.ready {
		out(&r.park.ready[kind][m.ware])
	}
	if r.glazing != nil {
		out(&r.glazing.queues[m.ware])
	}
	out(&r.buffer.first[m.ware], &r.buffer.refire[m.ware])
	for _, s := range []*station{r.white, r.sorting, r.patching} {
		if s != nil {
			out(&s.queue)
		}
	}
	for _, b := range r.bays {
		out(&b.queue)
	}
	if r.packing != nil {
		out(&r.packing.queue)
		for _, s := range r.packing.suites {
			for k := range s.wait {
				out(&s.wait[k])
			}
		}
	}
	for _, c := range r.crews {
		c.tellApart()
	}
}

// pulled scraps a piece that has come to hand if it is condemned, and tells so.
func (m *master) pulled(i pieceID) bool {
	if m == nil || m.toPull == 0 || !m.marks[i].condemned {
		return false
	}
	m.remove(i)
	return true
}

// remove takes a piece out because of the fault, frees its place, and books what
// is lost with it.
func (m *master) remove(i pieceID) {
	r, p, mark := m.r, &m.r.pieces[i], &m.marks[i]
	if p.at == atFinishing && p.trolley < 0 {
		r.floor.give(1)
	}
	r.park.unload(i)
	mark.removed = true
	value := m.valueOf(p)
	if p.fires == 0 {
		value -= int64(r.wares[p.ware].in.Costs.Reclaim)
	} else {
		value += m.disposal()
	}
	m.res.scrap(sectionNames[p.at], value, !mark.bad)
	if mark.bad && p.fires > 0 {
		m.res.FiredBad++
	}
	if p.fires == 0 {
		r.scrapClay(i, m.lost)
		return
	}
	r.scrapFired(i, m.lost)
}

// valueOf is the money in a piece, with what has lines of its own.
func (m *master) valueOf(p *piece) int64 {
	v := p.value + m.extra[0]
	if p.at >= atDryers {
		v += m.extra[1]
	}
	return v + int64(p.fires)*m.extra[2]
}

// gone notes how a piece leaves the works.
func (m *master) gone(i pieceID) {
	mark := &m.marks[i]
	if mark.condemned {
		m.toPull--
	}
	if m.in.Passages && mark.tracked && m.r.pieces[i].filled >= m.in.Born {
		m.keepPassage(i)
	}
	switch {
	case !mark.bad:
	case mark.removed:
		m.bad.removed++
	case !mark.packed:
		m.bad.lost++
	}
}

// refitted notes when all places have moulds again after the stop.
func (m *master) refitted(now des.Time) {
	if m.res.Stop == des.Never || m.res.Refilled != des.Never {
		return
	}
	for _, g := range m.r.benches {
		for _, b := range g.benches {
			if b.ware == m.ware && slices.Contains(b.moulds, -1) {
				return
			}
		}
	}
	m.res.Refilled = now
}
