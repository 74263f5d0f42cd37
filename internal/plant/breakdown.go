package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// setBreakdowns gives the hands of a crew of machines their failures.
func (c *crew) setBreakdowns(b *Breakdowns) {
	if b == nil {
		return
	}
	c.fails = b
	c.breaks = c.r.deal.Gate("breakdown.between")
	c.mends = c.r.deal.Gate("breakdown.repair")
}

// nextBreakdown draws when the hand will fail next. On the working clock that
// is work to come; on the calendar clock it is a date.
func (h *hand) nextBreakdown() {
	c := h.crew
	if c.fails == nil {
		return
	}
	h.breaks++
	h.upFor = des.Time(c.breaks.Time(c.fails.Between, random.Object(c.object, uint64(h.no)), h.breaks))
	if c.fails.Clock == "calendar" {
		h.upFor += c.r.sim.Now()
	}
}

// breaksWithin tells whether and after what time a phase of a span beginning
// now is cut by a breakdown. A machine that failed while it stood idle shows
// it when it is next needed.
func (h *hand) breaksWithin(now, span des.Time) (cut des.Time, breaks bool) {
	c := h.crew
	switch {
	case c.fails == nil:
		return 0, false
	case c.fails.Clock == "calendar":
		cut = max(0, h.upFor-now)
	default:
		cut = h.upFor
	}
	return cut, cut < span
}

// spend takes a phase that has ended from the working time to the next breakdown.
func (h *hand) spend(now des.Time) {
	if h.crew.fails != nil && h.crew.fails.Clock != "calendar" {
		h.upFor -= now - h.begun
	}
}

// breakDown begins the repair of a hand.
func (h *hand) breakDown(now des.Time) {
	c := h.crew
	h.turnTo(now, handDown)
	h.laid = now
	repair := c.mends.Time(c.fails.Repair, random.Object(c.object, uint64(h.no)), h.breaks)
	h.event = c.r.sim.After(des.Time(repair), des.Finish, h)
}

// failures are the breakdowns of a machine that is a process of its own: it
// asks before each stretch of work.
type failures struct {
	b      *Breakdowns
	r      *run
	object uint64
	breaks *random.Gate
	mends  *random.Gate
	count  uint32
	upFor  des.Time // working time left, or date, as in hand
}

func (r *run) newFailures(b *Breakdowns, object uint64) *failures {
	if b == nil {
		return nil
	}
	f := &failures{b: b, r: r, object: object, breaks: r.deal.Gate("breakdown.between"), mends: r.deal.Gate("breakdown.repair")}
	f.next()
	return f
}

func (f *failures) next() {
	f.count++
	f.upFor = des.Time(f.breaks.Time(f.b.Between, f.object, f.count))
	if f.b.Clock == "calendar" {
		f.upFor += f.r.sim.Now()
	}
}

// work passes a span of working time, broken by repairs. down is called when a
// repair begins and up when it ends.
func (f *failures) work(p *des.Process, span des.Time, down, up func()) {
	if f == nil {
		p.Pass(span)
		return
	}
	for {
		cut := f.upFor
		if f.b.Clock == "calendar" {
			cut = max(0, f.upFor-p.Now())
		}
		if cut >= span {
			p.Pass(span)
			if f.b.Clock != "calendar" {
				f.upFor -= span
			}
			return
		}
		p.Pass(cut)
		span -= cut
		down()
		p.Pass(des.Time(f.mends.Time(f.b.Repair, f.object, f.count)))
		up()
		f.next()
	}
}
