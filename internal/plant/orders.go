package plant

import (
	"cmp"
	"slices"

	"potbank/internal/des"
)

// lotDate is one part delivery of an order: how many good pieces it takes, those
// of the earlier ones included, and when they are due.
type lotDate struct {
	name string
	want int
	due  des.Time
}

// order is one order in a run.
type order struct {
	in   *Order
	ware int32
	from des.Time
	due  des.Time
	lots []lotDate // in the order of their dates
	good int
	done des.Time
	lot  int        // next of the lots
	ends []des.Time // of the lots that are complete
	days []int32    // good pieces by day, if they are kept
}

// newOrders opens the order book of a run.
func (r *run) newOrders() {
	p := r.p
	for k := range p.works.Orders {
		in := &p.works.Orders[k]
		o := &order{in: in, ware: p.wareNo(in.Ware), from: p.orderFrom[k], due: p.orderDue[k], lots: p.orderLots[k], good: in.Packed, done: des.Never}
		o.deliver(0)
		r.orders = append(r.orders, o)
	}
	for _, c := range r.plans {
		if c.way != nil {
			c.way.book(c.ware)
		}
	}
}

// nextDue is when the pieces that it lacks first are due: those of the next part
// delivery, or of the whole.
func (o *order) nextDue() des.Time {
	if o.lot < len(o.lots) {
		return o.lots[o.lot].due
	}
	return o.due
}

// deliver completes the part deliveries for which there are enough pieces.
func (o *order) deliver(now des.Time) {
	for o.lot < len(o.lots) && o.good >= o.lots[o.lot].want {
		o.lot++
		o.ends = append(o.ends, now)
	}
}

// peg counts a packed piece towards an order: the one of its ware that goes
// first and from whose start on it was filled. It returns that order; what no
// order wants is stock, nil.
func (r *run) peg(p *piece) *order {
	var best *order
	for _, o := range r.orders {
		if o.ware != p.ware || o.done != des.Never || !r.countsFor(o, p) {
			continue
		}
		if best == nil || o.in.Priority < best.in.Priority || o.in.Priority == best.in.Priority && o.nextDue() < best.nextDue() {
			best = o
		}
	}
	if best == nil {
		return nil
	}
	now := r.sim.Now()
	if r.daily != nil {
		day := int(now / des.Day)
		for len(best.days) <= day {
			best.days = append(best.days, 0)
		}
		best.days[day]++
	}
	best.good++
	best.deliver(now)
	if best.good >= best.in.Quantity {
		best.done = now
	}
	return best
}

// countsFor tells whether a piece may be counted towards an order: one cast from
// its start on, or one of the opening state if the order takes those.
func (r *run) countsFor(o *order, p *piece) bool {
	if p.stock {
		if own, bound := r.bound[p.serial]; bound {
			return own == o
		}
		return o.in.Stock
	}
	return p.filled >= o.from
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

// allDone tells whether the orders of some names are done.
func (r *run) allDone(names []string) bool {
	for _, o := range r.orders {
		if o.done == des.Never && slices.Contains(names, o.in.Name) {
			return false
		}
	}
	return true
}

// orderResults tells how the orders ended.
func (r *run) orderResults() []OrderResult {
	var all []OrderResult
	for _, o := range r.orders {
		res := OrderResult{Name: o.in.Name, Ware: o.in.Ware, Good: o.good, Want: o.in.Quantity, Done: o.done, WorkDays: -1, Days: o.days}
		if o.done != des.Never {
			span := o.done - o.from
			if r.working != nil {
				span = r.working.OpenBetween(o.from, o.done)
			}
			res.WorkDays = float64(span) / float64(des.Day)
		}
		for k, lot := range o.lots {
			end := des.Never
			if k < len(o.ends) {
				end = o.ends[k]
			}
			res.Lots = append(res.Lots, LotResult{Name: lot.name, Want: lot.want, Done: end})
		}
		all = append(all, res)
	}
	return all
}

// orderBook reads the dates of the orders.
func (c *checker) orderBook() {
	for k := range c.w.Orders {
		o := &c.w.Orders[k]
		path := "orders." + o.Name
		from, due := des.Time(0), des.Never
		var err error
		if o.Start != "" {
			if from, err = c.p.civil(o.Start); err != nil {
				c.faultOf(path+".start", err)
			}
		}
		if o.Due != "" {
			if due, err = c.p.civil(o.Due); err != nil {
				c.faultOf(path+".due", err)
			} else if due < from {
				c.fault(path+".due", "check due or start", "due is before the order starts (%s)", c.p.clock.Date(from))
			}
		}
		if o.Priority < 1 || o.Priority > ranks {
			c.fault(path+".priority", "1 goes first, 3 last", "priority must lie between 1 and %d, got %d", ranks, o.Priority)
		}
		switch {
		case o.Quantity < 1:
			c.fault(path+".quantity", "give the good pieces ordered", "an order must be for at least one piece")
		case o.Packed >= o.Quantity:
			c.fault(path+".packed", "take the order out, or check the counts", "%d of %d are packed already: the order is done", o.Packed, o.Quantity)
		}
		c.p.orderFrom, c.p.orderDue = append(c.p.orderFrom, from), append(c.p.orderDue, due)
		c.p.orderLots = append(c.p.orderLots, c.lotDates(o, path))
	}
}

// lotDates sorts the part deliveries of an order by their dates and adds them up.
func (c *checker) lotDates(o *Order, path string) []lotDate {
	var lots []lotDate
	sum := 0
	for _, l := range o.Lots {
		due, err := c.p.civil(l.Due)
		if err != nil {
			c.faultOf(path+".lots."+l.Name+".due", err)
		}
		if l.Quantity < 1 {
			c.fault(path+".lots."+l.Name+".quantity", "give the good pieces of this delivery", "a part delivery must be of at least one piece")
		}
		sum += l.Quantity
		lots = append(lots, lotDate{l.Name, l.Quantity, due})
	}
	if sum > o.Quantity {
		c.fault(path+".lots", "check the quantities", "the part deliveries are of %d pieces, the order of %d", sum, o.Quantity)
	}
	slices.SortStableFunc(lots, func(a, b lotDate) int { return cmp.Compare(a.due, b.due) })
	for k := 1; k < len(lots); k++ {
		lots[k].want += lots[k-1].want
	}
	return lots
}
