package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// masterGate is one gate in a run.
type masterGate struct {
	m       *master
	in      *MasterGate
	watch   *Watch
	pending map[uint64]bool // parents whose alarm is being looked into
	sample  *random.Gate
	finds   *random.Gate
	rejects *random.Gate
	base    *random.Gate
	count   *MasterGateCount
}

func (m *master) newGate(in *MasterGate, k int) *masterGate {
	deal := m.r.deal
	return &masterGate{
		m: m, in: in, watch: NewWatch(in.Alarm), pending: map[uint64]bool{},
		sample: deal.Gate("master.sample." + in.At), finds: deal.Gate("master.finds." + in.At),
		rejects: deal.Gate("master.rejects." + in.At), base: deal.Gate("master.base." + in.At),
		count: &m.res.Gates[k],
	}
}

// passGate takes a piece through the gates at a place and tells whether it was
// lost there.
func (m *master) passGate(i pieceID, place int) bool {
	mark := &m.marks[i]
	if !mark.tracked || place == placeFirstOff && !mark.first {
		return false
	}
	mark.passed[place] = m.r.sim.Now()
	for _, g := range m.gates[place] {
		if g.inspect(i) {
			return true
		}
	}
	return false
}

// inspect takes a piece into the sample or not, and judges it. It tells whether
// the piece was lost.
func (g *masterGate) inspect(i pieceID) bool {
	p, mark := &g.m.r.pieces[i], &g.m.marks[i]
	if !g.sample.Trial(g.in.Fraction, p.key, 0) {
		return false
	}
	g.count.Inspected++
	ill := mark.bad && mark.shows
	fault := false
	if ill {
		fault = g.finds.Trial(g.in.Finds, p.key, 0)
	} else {
		fault = g.rejects.Trial(g.in.Rejects, p.key, 0)
	}
	g.see(g.parent(p, mark), fault || !ill && g.base.Trial(g.in.Base, p.key, 0), mark.bad)
	switch {
	case fault && ill:
		g.count.Found++
	case fault:
		g.count.Rejected++
	case g.in.Destroys:
		g.count.Destroyed++
	default:
		mark.verified = true
		return false
	}
	g.m.remove(i)
	return true
}

// see counts a piece, at once or when its result is there.
func (g *masterGate) see(parent uint64, fault, bad bool) {
	if g.in.Result == 0 {
		g.counted(parent, fault, bad)
		return
	}
	if fault || g.in.Alarm.Bad > 0 {
		g.m.r.sim.After(g.in.Result, des.Finish, des.TimerFunc(func(des.Time) { g.counted(parent, fault, bad) }))
	}
}

// counted adds a piece to the count of its parent. An alarm is looked into: a
// true one stops the bad tool, a false one is forgotten.
func (g *masterGate) counted(parent uint64, fault, bad bool) {
	m, now := g.m, g.m.r.sim.Now()
	if fault && bad && m.res.FirstSeen == des.Never {
		m.res.FirstSeen = now
	}
	alarm, founded := g.watch.See(now, parent, fault, bad)
	if !alarm || g.pending[parent] || m.res.Stop != des.Never {
		return
	}
	g.pending[parent] = true
	if founded && m.res.Alarm == des.Never {
		m.res.Alarm, m.res.Gate, m.res.CastAlarm = now, g.in.Name, m.res.Cast
	}
	m.r.sim.After(m.in.React, des.Finish, des.TimerFunc(func(des.Time) {
		delete(g.pending, parent)
		g.watch.Forget(parent)
		switch {
		case m.res.Stop != des.Never:
		case founded:
			m.stop()
		default:
			m.res.FalseAlarms++
			g.count.False++
		}
	}))
}

// parent is what faults of a piece are counted by.
func (g *masterGate) parent(p *piece, mark *masterMark) uint64 {
	switch g.in.Alarm.By {
	case "day":
		return uint64(p.filled / des.Day)
	case "bench":
		return mark.bench
	case "mould":
		return uint64(mark.mould)
	case "case":
		return uint64(mark.caseNo)
	case "block":
		return uint64(mark.block)
	}
	return 0
}

// packedPiece is a packed piece of the ware, in the store or sent out.
type packedPiece struct {
	masterMark
	key     uint64
	filled  des.Time
	leaves  des.Time
	value   int64
	removed bool // taken out of the store
}

// pack notes a packed piece. It stays in the store for a while; then it is sent
// out and may come back.
func (m *master) pack(i pieceID) {
	p, mark := &m.r.pieces[i], &m.marks[i]
	if !mark.tracked {
		return
	}
	if !(mark.bad && mark.shows) && !p.second {
		m.res.GoodPacked++
	}
	mark.packed = true
	if mark.bad {
		m.bad.packed++
	}
	now := m.r.sim.Now()
	m.packed = append(m.packed, packedPiece{masterMark: *mark, key: p.key, filled: p.filled, leaves: now + m.in.Store, value: m.valueOf(p)})
	if mark.bad && mark.shows {
		k := len(m.packed) - 1
		m.r.sim.At(now+m.in.Store, des.Calendar, des.TimerFunc(func(des.Time) { m.dispatch(k) }))
	}
}

// dispatch sends a piece with the fault out to its customer.
func (m *master) dispatch(k int) {
	q := &m.packed[k]
	if q.removed {
		return
	}
	m.res.ShippedBad++
	if !m.back.Trial(m.in.Returns, q.key, 0) {
		return
	}
	m.res.Returned++
	lag := int64(0)
	if m.in.Complains != nil {
		lag = m.wait.Time(m.in.Complains, q.key, 0)
	}
	key := q.key
	m.r.sim.After(des.Time(lag), des.Finish, des.TimerFunc(func(des.Time) { m.complaint(k, key) }))
}

// complaint counts a piece that comes back, if anybody counts them.
func (m *master) complaint(k int, key uint64) {
	q := &m.packed[k]
	m.res.Complaints++
	for _, g := range m.gates[placeCustomer] {
		p := piece{key: key, filled: q.filled}
		g.count.Inspected++
		g.count.Found++
		g.see(g.parent(&p, &q.masterMark), true, true)
	}
}

// takes tells whether a piece that has come to a place is lost there: condemned
// before, or found at a gate.
func (m *master) takes(i pieceID, place int) bool {
	return m != nil && (m.pulled(i) || m.passGate(i, place))
}
