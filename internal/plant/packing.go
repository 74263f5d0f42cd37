package plant

import (
	"fmt"

	"potbank/internal/des"
)

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
	}
	return k
}

// toPacking takes a good piece to the packers, or to wait for its mates.
func (r *run) toPacking(i pieceID) {
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
	if p.second {
		r.led.add(w.second, 1)
		r.led.add(r.revenue, int64(w.in.SecondPrice))
		r.secondsOf[p.ware]++
	} else {
		r.led.add(w.packed, 1)
		r.led.add(r.revenue, int64(w.in.Price))
		r.packedOf[p.ware]++
		r.leadTime(p)
		r.peg(p)
	}
	r.observe(i, "packed", "")
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

// order is one order in a run.
type order struct {
	in   *Order
	ware int32
	from des.Time
	due  des.Time
	good int
	done des.Time
}

// peg counts a packed piece towards an order: the one of its ware that goes
// first and from whose start on it was filled. What no order wants is stock.
func (r *run) peg(p *piece) {
	var best *order
	for _, o := range r.orders {
		counts := p.filled >= o.from
		if p.stock {
			counts = o.in.Stock
		}
		if o.ware != p.ware || o.done != des.Never || !counts {
			continue
		}
		if best == nil || o.in.Priority < best.in.Priority || o.in.Priority == best.in.Priority && o.due < best.due {
			best = o
		}
	}
	if best == nil {
		return
	}
	if best.good++; best.good >= best.in.Quantity {
		best.done = r.sim.Now()
	}
}

// rankOf is the rank in queues of a piece filled now: that of the most urgent
// order of its ware that is open; ware for stock comes after all orders.
func (r *run) rankOf(ware int32) uint8 {
	rank := ranks - 1
	for _, o := range r.orders {
		if o.ware == ware && o.done == des.Never && r.sim.Now() >= o.from {
			rank = min(rank, max(0, o.in.Priority-1))
		}
	}
	return uint8(rank)
}

// orderResults tells how the orders ended.
func (r *run) orderResults() []OrderResult {
	var all []OrderResult
	for _, o := range r.orders {
		res := OrderResult{Name: o.in.Name, Ware: o.in.Ware, Good: o.good, Want: o.in.Quantity, Done: o.done, WorkDays: -1}
		if o.done != des.Never {
			span := o.done - o.from
			if r.working != nil {
				span = r.working.OpenBetween(o.from, o.done)
			}
			res.WorkDays = float64(span) / float64(des.Day)
		}
		all = append(all, res)
	}
	return all
}
