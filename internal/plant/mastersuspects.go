package plant

import "potbank/internal/des"

// traceable is a piece as far as suspects are told by it.
type traceable struct {
	filled des.Time
	mark   *masterMark
}

// suspect tells whether a piece is among the suspects at a trace level. What
// is known of the tooling is when the bad tool came into use; of a piece, what
// is marked on it.
func (m *master) suspect(level int, p traceable) bool {
	mark := p.mark
	if m.in.Node == "punch" && level > traceDay && level < tracePiece {
		level = traceDay // no mark of a mould tells which punch it was
	}
	switch level {
	case traceNone:
		return true
	case traceDay:
		return p.filled/des.Day >= m.res.FirstCast/des.Day
	case traceBench:
		since, held := m.first[mark.bench]
		return held && p.filled >= since
	case traceMould:
		if m.in.Node == "mould" || m.in.AtOnce {
			return mark.bad
		}
		return mark.made >= m.in.Born
	case traceCase:
		return mark.bad
	}
	return mark.bad && !mark.verified
}

// countSuspects counts the suspects under every trace level, for the same stop.
func (m *master) countSuspects() {
	now := m.r.sim.Now()
	for level := range TraceLevels {
		s := &m.res.Suspects[level]
		for i := range m.r.pieces {
			p := &m.r.pieces[i]
			if p.serial == 0 || !m.marks[i].tracked || !m.suspect(level, traceable{p.filled, &m.marks[i]}) {
				continue
			}
			s.Works++
			s.Value += m.valueOf(p)
			if !m.marks[i].bad {
				s.Good++
			}
		}
		for k := range m.packed {
			q := &m.packed[k]
			if q.removed || !m.suspect(level, traceable{q.filled, &q.masterMark}) {
				continue
			}
			switch {
			case q.leaves > now:
				s.Store++
				s.Value += q.value
				if !q.bad {
					s.Good++
				}
			case q.leaves >= m.res.FirstCast: // sent out since
				s.Shipped++
			}
		}
		s.Moulds = m.suspectMoulds(level)
	}
}

// suspectMoulds counts the working moulds on benches, on the shelf and drying
// that must be measured or broken at a trace level.
func (m *master) suspectMoulds(level int) int64 {
	if m.in.Node == "punch" {
		return 0
	}
	var n int64
	for k := range m.r.moulds.all {
		mo, mark := &m.r.moulds.all[k], &m.moulds[k]
		if mo.ware != m.ware || mo.refs == 0 {
			continue
		}
		_, held := m.first[mark.bench]
		if level <= traceDay || level == traceBench && (held || mark.bad) || level == traceMould && (mark.made >= m.in.Born || mark.bad) || mark.bad {
			n++
		}
	}
	return n
}
