package des

// Cut interrupts the wait of p, whatever it is: p goes on at the present instant,
// Pass and Work return the time left, other waits report that they did not come
// true, and Cause gives cause. The cause must not be nil.
//
// A cut is never lost. If p is not waiting - it has yet to start, or its wait ends at
// this very instant anyway - then its next wait is cut as soon as it begins. Pass(0)
// and waits that come true at once let such a cut stand. A process that has ended is
// not cut.
func (p *Process) Cut(cause any) {
	if cause == nil {
		panic("des: Cut of " + p.name + " without a cause")
	}
	switch {
	case p.state == passing && p.due > p.sim.now:
		p.sim.calendar.cancel(p.alarm)
		p.alarm = Event{}
	case p.state == queuing:
		p.giveUp(wasCut)
	case p.state == ended:
		return
	default:
		p.cuts = append(p.cuts, cause)
		return
	}
	p.cause = cause
	p.wake()
}

// Cause gives the cause of the cut that ended the latest wait of p, or nil if that
// wait came to its end.
func (p *Process) Cause() any { return p.cause }

// isCut uses up one of the cuts that came while p was not waiting, if there are any.
func (p *Process) isCut() bool {
	if len(p.cuts) == 0 {
		return false
	}
	p.cause = p.cuts[0]
	p.cuts = append(p.cuts[:0], p.cuts[1:]...)
	return true
}
