package plant

import "fmt"

// packing packs single pieces and suites; the pieces of a suite wait for their
// mates first.
type packing struct {
	*station
	r      *run
	suites []*suite
	suite  []*suite // by ware; nil: sold singly
}

// suite is the pieces that wait to be matched.
type suite struct {
	in    *Suite
	wares []int32
	needs []int
	wait  []lane
}

func (r *run) newPacking(in *Packing) *packing {
	k := &packing{r: r, suite: make([]*suite, len(r.wares))}
	k.station = newStation(r, "packing", r.crewOf(in.Crew), in.Time, atPacking, r.packed)
	for n := range in.Suites {
		s := &suite{in: &in.Suites[n]}
		for _, ware := range sortedKeys(s.in.Pieces) {
			w := r.p.wareNo(ware)
			s.wares, s.needs = append(s.wares, w), append(s.needs, s.in.Pieces[ware])
			k.suite[w] = s
		}
		s.wait = make([]lane, len(s.wares))
		k.suites = append(k.suites, s)
		k.mates = k.unmatched
	}
	return k
}

// toPacking takes a good piece to the packers, or to wait for its mates.
func (r *run) toPacking(i pieceID) {
	if !r.pieces[i].second {
		r.advance(i, toPack)
	}
	switch {
	case r.packing == nil:
		r.enter(i, atPacking)
		r.packed(i)
	case r.packing.suite[r.pieces[i].ware] != nil && !r.pieces[i].second:
		r.enter(i, atPacking)
		r.packing.match(i)
	default:
		r.packing.arrive(i)
	}
}

// match lets a piece wait for its mates and sends whole suites to the packers.
func (k *packing) match(i pieceID) {
	r := k.r
	p := &r.pieces[i]
	s := k.suite[p.ware]
	for j, w := range s.wares {
		if w == p.ware {
			s.wait[j].push(i, p.rank)
		}
	}
	for j := range s.wares {
		if s.wait[j].n < s.needs[j] {
			k.crew.tellApart()
			return
		}
	}
	for j := range s.wares {
		for range s.needs[j] {
			m := s.wait[j].pop()
			r.charge(m, partBatch)
			k.queue.push(m, r.pieces[m].rank)
		}
	}
	k.crew.offer()
}

// packed ends the life of a good piece in the works.
func (r *run) packed(i pieceID) {
	p := &r.pieces[i]
	w := &r.wares[p.ware]
	r.addValue(i, stagePacking)
	if r.master.pulled(i) {
		return
	}
	if y := float64(w.in.Yields.Breakage); y > 0 && w.breakGate.Trial(y, p.key, 0) {
		r.scrapFired(i, r.lost.broken)
		return
	}
	r.charge(i, partWorking)
	if r.master != nil {
		r.master.pack(i)
	}
	r.led.add(r.packedValue, p.value)
	var order *order
	if p.second {
		r.led.add(w.second, 1)
		r.led.add(r.revenue, int64(w.in.SecondPrice))
	} else {
		r.led.add(w.packed, 1)
		r.led.add(r.revenue, int64(w.in.Price))
		if r.daily != nil {
			r.daily.at(r.sim.Now(), p.ware).Good++
		}
		r.leadTime(p)
		order = r.peg(p)
	}
	r.observePacked(i, order)
	r.retire(i)
}

// leadTime books the lead time of an A piece and its parts.
func (r *run) leadTime(p *piece) {
	now := r.sim.Now()
	lead := now - p.filled
	var sum int64
	for k, ms := range p.spent {
		r.led.add(r.partCounts[k], ms)
		sum += ms
	}
	r.partsLaw.check(sum == int64(lead), func() string { return fmt.Sprintf("piece %d: parts %d ms, lead time %d ms", p.serial, sum, lead) })
	r.led.add(r.leadSum, int64(lead))
	r.led.add(r.leadCount, 1)
	if r.working != nil {
		r.led.add(r.leadWork, int64(r.working.OpenBetween(p.filled, now)))
	}
	r.leads.Add(lead)
}
