package des

// Waitable is what WaitAny can wait for: a Door to be open, a Bell to ring, a Rack to
// hold something, Places to have one free that nobody in line comes before, a Load to
// be complete.
type Waitable interface {
	now() bool    // there is nothing to wait for
	line() *queue // else, where to wait
}

// WaitAny waits for the first of several things, but not longer than limit. It
// returns the index of what came, -1 if the limit passed first, or -2 if p was cut.
// If several hold already it does not wait and returns the first of them.
//
// It takes nothing. What it waited for was there when p was woken; somebody who was
// woken before p at the same instant may have taken it, so take it with TryGet or
// TryTake and wait again if it is gone.
//
//	switch des.WaitAny(p, window, dryEnough, foreman) {
//	case 0: // punch
//	case 1: // do as the foreman says
//	default: // too dry to punch
//	}
func WaitAny(p *Process, limit Time, things ...Waitable) int {
	p.begin()
	for i, thing := range things {
		if thing.now() {
			return i
		}
	}
	p.reserve(len(things))
	for _, thing := range things {
		p.enter(thing.line(), 0)
	}
	return p.await(limit)
}
