package des

import "fmt"

// InHand is what becomes of work that is in hand when the hours end.
type InHand uint8

// The rules for work in hand.
const (
	// FinishIt finishes work once it has begun, past the close if need be: a glazed
	// piece is not left half sprayed.
	FinishIt InHand = iota
	// PauseIt stops at the close and goes on at the next opening.
	PauseIt
	// OnlyIfFits begins only in an opening in which all of the work fits.
	OnlyIfFits
	// HalfFits begins only if at least half of the work fits before the close, and
	// then finishes it.
	HalfFits
)

// String names the rule.
func (r InHand) String() string {
	names := [...]string{"finish it", "pause it", "only if fits", "half fits"}
	if int(r) < len(names) {
		return names[r]
	}
	return "rule?"
}

// NeverFitsError is the value of the panic when work is longer than every opening of
// its hours allows.
type NeverFitsError struct {
	Work    Time // to be done
	Longest Time // opening there is
	Rule    InHand
}

// Error tells the work and the longest opening.
func (e *NeverFitsError) Error() string {
	return fmt.Sprintf("work of %v (rule %v) never fits: the longest opening is %v", e.Work, e.Rule, e.Longest)
}

// Plan gives when work of length d that is ready at now begins and ends under a rule.
// Both are Never if the hours end before. It panics with a *NeverFitsError if no opening
// of all the hours would do, and if d is negative.
func (h *Hours) Plan(now, d Time, rule InHand) (begin, end Time) {
	if d < 0 {
		panic("des: negative work " + d.String())
	}
	switch rule {
	case FinishIt:
		begin = h.NextOpen(now)
	case PauseIt:
		begin, end = h.NextOpen(now), h.AddWork(now, d)
		return min(begin, end), end // no work at all does not wait for an opening
	case OnlyIfFits:
		begin = h.openingFor(now, d, d, rule)
	case HalfFits:
		begin = h.openingFor(now, d-d/2, d, rule)
	default:
		panic(fmt.Sprintf("des: no rule %d for work in hand", rule))
	}
	return begin, begin.plus(d)
}

// openingFor finds the first instant from now on after which the hours stay open for
// part, the part of the work d that has to fit. As a rule this opening or the next
// will do, so it looks at one after the other.
func (h *Hours) openingFor(now, part, d Time, rule InHand) Time {
	if part > h.longest {
		panic(&NeverFitsError{Work: d, Longest: h.longest, Rule: rule})
	}
	for i := h.find(now); i < len(h.intervals); i++ {
		if begin := max(now, h.intervals[i].Open); h.intervals[i].Close-begin >= part {
			return begin
		}
	}
	return Never
}

// Work does work of length d in the given hours and treats it by rule when they end.
// It takes one event, however many closes lie between. It returns 0 when the work is
// done, or, if p was cut, the work that was left: all of d if it had not begun, and
// under PauseIt not counting the time that was closed.
//
// If the hours end before the work can begin or, under PauseIt, be done, p waits for a
// cut. If no opening would ever do, Work panics with a *NeverFitsError; compare with
// Hours.Longest beforehand.
func (p *Process) Work(d Time, h *Hours, rule InHand) (left Time) {
	now := p.sim.now
	begin, end := h.Plan(now, d, rule)
	if p.PassUntil(end) == 0 {
		return 0
	}
	cut := p.sim.now
	switch {
	case rule == PauseIt:
		return d - h.OpenBetween(now, cut)
	case cut > begin:
		return end - cut
	}
	return d
}
