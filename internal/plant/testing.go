package plant

import "potbank/internal/random"

// bay is one test: a station and its sampling.
type bay struct {
	*station
	in        *Test
	passed    string
	failed    int // counters of loss
	destroyed int
	takes     []bool
	seen      []int    // pieces that came by, by ware; of the present load, with of-each-load
	load      []uint64 // present load, by ware
	escaped   int      // counter: functional faults that nobody saw
}

func (r *run) newBay(in *Test, k int) *bay {
	b := &bay{in: in, takes: r.p.waresOf(in.Ware), seen: make([]int, len(r.wares)), load: make([]uint64, len(r.wares)), escaped: r.led.counter("escaped")}
	b.station = newStation(r, in.Name, r.crewOf(in.Crew), in.Time, atTest, func(i pieceID) { r.tested(i, k) })
	b.failed, b.passed = r.loss("test", "failed "+in.Name), "passed "+in.Name
	if in.Destroy {
		b.destroyed = r.loss("test", "destroyed by "+in.Name)
	}
	return b
}

// wants tells whether a piece is in the sample: every n-th of its ware, or the
// first few of each load, in order of arrival.
func (b *bay) wants(p *piece) bool {
	if b.in.OfLoad == 0 {
		b.seen[p.ware]++
		return b.seen[p.ware]%b.in.OneIn == 0
	}
	if b.load[p.ware] != p.load {
		b.load[p.ware], b.seen[p.ware] = p.load, 0
	}
	b.seen[p.ware]++
	return b.seen[p.ware] <= b.in.OfLoad
}

// toTest takes an A piece to the next test that wants it, from the k-th on.
func (r *run) toTest(i pieceID, k int) {
	p := &r.pieces[i]
	for ; k < len(r.bays); k++ {
		b := r.bays[k]
		if !b.takes[p.ware] {
			continue
		}
		if b.wants(p) {
			b.arrive(i)
			return
		}
	}
	if p.oddHole || p.unfit {
		r.led.add(r.escaped, 1)
	}
	r.toPacking(i)
}

// tested judges a piece that has been through the k-th test.
func (r *run) tested(i pieceID, k int) {
	if r.master.pulled(i) {
		return
	}
	p := &r.pieces[i]
	b := r.bays[k]
	switch {
	case b.in.Destroy:
		r.scrapFired(i, b.destroyed)
	case (p.oddHole || p.unfit) && r.wares[p.ware].testGate.Trial(float64(b.in.Finds), p.key, uint32(2+k)):
		r.scrapFired(i, b.failed)
	default:
		r.observe(i, b.passed, "")
		r.toTest(i, k+1)
	}
}

// bear draws, when a piece is sorted as A, whether it has a functional fault
// of its own, besides one from a worn punch.
func (r *run) bear(p *piece, gate *random.Gate, pass float64) {
	p.unfit = pass < 1 && gate.Trial(1-pass, p.key, 1)
}
