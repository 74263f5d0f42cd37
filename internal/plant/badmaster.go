package plant

import (
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// masterMark is what is known of one piece of the ware besides the piece.
type masterMark struct {
	tracked   bool // of the ware in question
	bad       bool
	shows     bool
	first     bool // first cast of its mould
	verified  bool // inspected at a gate, and passed
	condemned bool // to be scrapped when it is next in hand
	removed   bool // taken out because of the fault
	packed    bool
	made      des.Time
	bench     uint64
	mould     int32
	caseNo    int32
	block     int32
	passed    [placeCustomer]des.Time // when it passed each place; 0: it did not
}

// mouldMark is what is known of a working mould besides its parents.
type mouldMark struct {
	bad   bool
	made  des.Time
	bench uint64
}

// master is a fault in the tooling, in one run.
type master struct {
	r      *run
	in     *MasterFault
	ware   int32
	node   int // of the fault: number of its block, case or mould; 0 before birth
	born   bool
	cured  bool
	marks  []masterMark
	moulds []mouldMark
	gates  [][]*masterGate // by place
	shows  *random.Gate
	jig    *random.Gate
	finds  *random.Gate
	throws *random.Gate
	back   *random.Gate
	wait   *random.Gate
	lost   int                 // counter
	first  map[uint64]des.Time // first bad cast, by bench
	packed []packedPiece
	extra  [3]int64
	trace  int
	toPull int // condemned pieces still in the works
	bad    struct{ lost, packed, removed int64 }
	res    *MasterResult
}

// newMaster lays the fault out; nil if there is no plan of one.
func (r *run) newMaster(in *MasterFault) *master {
	if in == nil {
		return nil
	}
	m := &master{
		r: r, in: in, ware: r.p.wareNo(in.Ware), gates: make([][]*masterGate, len(GatePlaces)), first: map[uint64]des.Time{},
		shows: r.deal.Gate("master.shows"), jig: r.deal.Gate("master.jig"), finds: r.deal.Gate("master.sort-finds"),
		throws: r.deal.Gate("master.sort-rejects"), back: r.deal.Gate("master.returns"), wait: r.deal.Gate("master.complains"),
		trace: slices.Index(TraceLevels, in.Trace), res: newMasterResult(in),
	}
	for k := range in.Gates {
		g := &in.Gates[k]
		at := slices.Index(GatePlaces, g.At)
		m.gates[at] = append(m.gates[at], m.newGate(g, k))
	}
	m.extra = r.ownLines(m.ware)
	return m
}

// ownLines is what a piece costs that is not in its stage costs but has a line
// of its own: its share of the mould, the gas that drying and one fire burn for
// it. The fuel of an idle kiln is not in it: that is burned all the same.
func (r *run) ownLines(ware int32) (extra [3]int64) {
	w, name := r.p.works, r.p.works.Ware[ware].Name
	if w.MouldShop != nil {
		for k := range w.MouldShop.Moulds {
			if s := &w.MouldShop.Moulds[k]; s.Name == name && r.p.mouldLife(name) != nil {
				extra[0] = int64(float64(s.Price) / r.p.mouldLife(name).Mean())
			}
		}
	}
	gas := func(kJ int64) int64 { return kJ * int64(w.Fuel.Price) / kJPerKWh }
	for k := range w.Dryers {
		if r.p.waresOf(w.Dryers[k].Ware)[ware] {
			extra[1] = gas(int64(w.Dryers[k].Energy))
			break
		}
	}
	for k := range w.Kilns {
		if kiln := &w.Kilns[k]; kiln.Fires != "refire" && r.p.waresOf(kiln.Ware)[ware] {
			extra[2] = gas(int64(kiln.PerKg) * int64(w.Ware[ware].Fired) / 1000)
			break
		}
	}
	return extra
}

// start arms the birth of the fault.
func (m *master) start() {
	if m.in.Born != des.Never {
		m.r.sim.At(m.in.Born, des.Calendar, m)
	}
}

// Fire is the birth of the fault: from now on what descends from it is bad.
func (m *master) Fire(des.Time) {
	m.born = true
	m.node = m.in.Number
	if s := m.supply(); s != nil && m.node == 0 && len(s.cases) > 0 {
		switch m.in.Node {
		case "block":
			m.node = int(s.cases[0].block)
		case "case":
			m.node = int(s.cases[0].no)
		}
	}
	if m.node == 0 {
		m.node = 1
	}
	if m.in.Node == "mould" {
		m.pickMould()
		return
	}
	if m.in.AtOnce && m.in.Node != "punch" {
		for i := range m.r.moulds.all {
			m.moulds[i].bad = m.r.moulds.all[i].refs > 0 && m.descends(int32(i))
		}
	}
}

// pickMould makes one mould on a bench bad: that of the number given, or one
// that is drawn.
func (m *master) pickMould() {
	var fitted []int32
	for _, g := range m.r.benches {
		for _, b := range g.benches {
			for _, k := range b.moulds {
				if k >= 0 && m.r.moulds.all[k].ware == m.ware {
					fitted = append(fitted, k)
				}
			}
		}
	}
	if len(fitted) == 0 {
		return
	}
	u := m.r.deal.Gate("master.mould").Value(uniformShare, random.Name(m.in.Ware), 0)
	pick := fitted[min(len(fitted)-1, int(u*float64(len(fitted))))]
	for _, k := range fitted {
		if int(m.r.moulds.all[k].no) == m.in.Number {
			pick = k
		}
	}
	m.moulds[pick].bad = true
	m.node = int(m.r.moulds.all[pick].no)
}

// uniformShare draws a place in a list.
var uniformShare = must(random.Uniform(0, 1))

// must returns a law whose parameters are written in the program.
func must(l random.Law, err error) random.Law {
	if err != nil {
		panic("plant: " + err.Error())
	}
	return l
}

// descends tells whether a mould comes from the bad node.
func (m *master) descends(k int32) bool {
	mo := &m.r.moulds.all[k]
	if mo.ware != m.ware {
		return false
	}
	switch m.in.Node {
	case "model":
		return true
	case "block":
		return int(mo.block) == m.node
	case "case":
		return int(mo.caseNo) == m.node
	}
	return false
}

// poured notes a new working mould; after the birth of the fault it may be bad.
func (m *master) poured(k int32) {
	for len(m.moulds) <= int(k) {
		m.moulds = append(m.moulds, mouldMark{})
	}
	m.moulds[k] = mouldMark{made: m.r.sim.Now(), bad: m.born && !m.cured && m.descends(k)}
}

// filled notes a piece as its mould is filled.
func (m *master) filled(i pieceID, k int32) {
	for len(m.marks) <= int(i) {
		m.marks = append(m.marks, masterMark{})
	}
	p := &m.r.pieces[i]
	mark := masterMark{tracked: p.ware == m.ware}
	if k >= 0 && mark.tracked {
		mo := &m.r.moulds.all[k]
		mark.made, mark.bench = m.moulds[k].made, m.moulds[k].bench
		mark.mould, mark.caseNo, mark.block, mark.first = mo.no, mo.caseNo, mo.block, mo.casts == 1
		mark.bad = m.moulds[k].bad
	}
	m.marks[i] = mark
	if mark.bad {
		m.turnBad(i)
	}
}

// punched notes that a piece went through the punch, or one of several.
func (m *master) punched(i pieceID) {
	mark := &m.marks[i]
	if m.in.Node == "punch" && m.born && !m.cured && mark.tracked && m.jig.Trial(m.in.Share, m.r.pieces[i].key, 0) {
		mark.bad = true
		m.turnBad(i)
	}
}

// turnBad counts a bad piece and draws whether the fault will show.
func (m *master) turnBad(i pieceID) {
	p, mark := &m.r.pieces[i], &m.marks[i]
	mark.shows = m.shows.Trial(m.in.Shows, p.key, 0)
	now := m.r.sim.Now()
	m.res.Cast++
	if mark.shows {
		m.res.Showing++
	}
	if m.res.FirstCast == des.Never {
		m.res.FirstCast = now
	}
	if _, seen := m.first[mark.bench]; !seen {
		m.first[mark.bench] = now
	}
}

// supply is the mould chain of the ware; nil if it has none.
func (m *master) supply() *supply {
	if m.r.shop == nil {
		return nil
	}
	for _, s := range m.r.shop.supplies {
		if s.ware == m.ware {
			return s
		}
	}
	return nil
}
