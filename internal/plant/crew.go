package plant

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// A desk is where hands find work: one department's queue. The crew asks, the
// desk decides what is next and how long it takes.
//
// Hands are timers, not processes: half of all events of a works are a hand
// finishing a piece, and a timer costs a third of a process switch.
type desk interface {
	// take hands out the next work that hand h may begin now, or none.
	take(h *hand) (work, bool)
	// done is told that work is finished.
	done(h *hand, w work)
	// kept is the work that idle hands may not begin now. It is asked after they
	// have looked, so that of what they may begin nothing is left.
	kept() jobs
}

// work is one job in a hand's hands.
type work struct {
	desk  desk
	ref   int32    // piece, car or trolley
	key   int32    // tools or colour it needs; 0: none in particular
	setup des.Time // change of tools before it
	span  des.Time // the job itself
}

// Hand states, after those of the hands that do nothing. The time of a crew by
// state adds up to heads x elapsed time, and without those off shift and after
// hours to its rostered hours.
const (
	handSetup = handsThere + iota
	handWorking
	handDown
	handAfter // busy beyond its hours
	handStates
)

var handStateNames = append(restNames[:handsThere:handsThere], "change-over", "working", "down", "after hours")

// inHand is the rule for work in hand at the end of a shift.
type inHand uint8

const (
	finishInHand inHand = iota
	pauseInHand
	onlyIfFits
	halfFits
)

var inHandNames = map[string]inHand{"finish": finishInHand, "pause": pauseInHand, "fits": onlyIfFits, "half": halfFits}

// roster is the heads of a crew that share one set of hours.
type roster struct {
	name  string
	hours *des.Hours
	heads int
	open  bool
	until des.Time // close of the interval, while open
	crew  *crew
	first int // first hand of the roster
}

// crew is people with one skill, or machines that work alone.
type crew struct {
	r       *run
	name    string
	rosters []*roster
	hours   *shifts // any of its rosters open
	rule    inHand
	pace    float64 // times are multiplied by it: 1 / effective time
	absence float64
	away    *random.Gate
	hands   []hand
	desks   []desk
	idle    []int32
	told    jobs // of the idle hands, how many are shown as kept from work
	called  bool // to look for work at this instant
	clock   stateClock
	object  uint64

	fails  *Breakdowns // of each hand, when the hands are machines
	breaks *random.Gate
	mends  *random.Gate
}

// hand is one head of a crew, or one machine.
type hand struct {
	crew     *crew
	roster   *roster
	no       int32
	state    int
	shown    int  // the state that its crew's clock has it in
	away     bool // for the day
	day      int64
	tools    int32 // tools or colour now set up
	w        work
	has      bool     // work in hand
	left     des.Time // of the present phase
	begun    des.Time // of the present phase
	event    des.Event
	phase    int      // handSetup or handWorking
	breaking bool     // the present phase ends in a breakdown
	upFor    des.Time // working time to the next breakdown, or its date
	breaks   uint32
	laid     des.Time // when the work in hand was laid down, or its machine broke
	off      des.Time // how long the work in hand has lain for the end of a shift
	down     des.Time // how long for a repair
}

// newCrew lays out a crew; rosters come in the order of their names so that
// the layout does not depend on map order.
func (r *run) newCrew(c *Crew) *crew {
	k := &crew{
		r: r, name: c.Name, rule: inHandNames[c.InHand], pace: 1 / float64(c.Effective),
		absence: float64(c.Absence), away: r.deal.Gate("crew.away"), object: random.Name(c.Name),
	}
	var all []*des.Hours
	for _, name := range sortedKeys(c.Roster) {
		k.addRoster(name, r.p.hours[name], c.Roster[name])
		all = append(all, r.p.hours[name])
	}
	k.hours = newShifts(r.p.union(all))
	k.finish()
	return k
}

// addRoster adds heads that share one set of hours.
func (c *crew) addRoster(name string, hours *des.Hours, heads int) {
	ro := &roster{name: name, hours: hours, heads: heads, crew: c, first: len(c.hands)}
	c.rosters = append(c.rosters, ro)
	for range heads {
		c.hands = append(c.hands, hand{crew: c, roster: ro, no: int32(len(c.hands)), day: -1})
	}
}

// finish registers the crew's clock once all rosters are known.
func (c *crew) finish() {
	c.clock = newStateClock(handStates, int64(len(c.hands)))
	c.r.addResource(c.name, "crew", handStateNames, int64(len(c.hands)), &c.clock)
	c.r.crews = append(c.r.crews, c)
}

// serve adds a desk; earlier desks are looked at first.
func (c *crew) serve(d desk) { c.desks = append(c.desks, d) }

// start arms the shift boundaries.
func (c *crew) start() {
	for i := range c.hands {
		c.hands[i].nextBreakdown()
	}
	for _, ro := range c.rosters {
		ro.arm()
	}
}

// arm schedules the next boundary of the roster's hours.
func (ro *roster) arm() {
	sim := ro.crew.r.sim
	if ro.open {
		sim.At(ro.until, des.Calendar, ro)
	} else if next := ro.hours.NextOpen(sim.Now()); next != des.Never {
		sim.At(next, des.Calendar, ro)
	}
}

// Fire opens or closes the roster's hours.
func (ro *roster) Fire(now des.Time) {
	ro.open = !ro.open
	if ro.open {
		ro.until = ro.hours.NextClose(now)
	}
	c := ro.crew
	for i := ro.first; i < ro.first+ro.heads; i++ {
		if ro.open {
			c.hands[i].comeOn(now)
		} else {
			c.hands[i].goOff(now)
		}
		c.hands[i].show(now)
	}
	ro.arm()
	if ro.open {
		c.offer()
	} else {
		c.idle = slices.DeleteFunc(c.idle, func(n int32) bool { return c.hands[n].state != handIdle })
		c.tellApart()
	}
}

// comeOn begins a hand's shift, unless it is away today.
func (h *hand) comeOn(now des.Time) {
	c := h.crew
	if day := int64(now / des.Day); c.absence > 0 && day != h.day {
		h.day = day
		h.away = c.away.Trial(c.absence, random.Object(c.object, uint64(h.no)), uint32(day))
	}
	switch {
	case h.away || h.state == handDown || h.has && h.state != handOff:
		// away, under repair, or still finishing what the last shift began
	case h.has:
		h.off += now - h.laid
		h.resume(now)
	default:
		h.turnTo(now, handIdle)
		c.idle = append(c.idle, h.no)
	}
}

// goOff ends a hand's shift. Work in hand is finished, or laid down until the
// next shift, as the crew's rule says.
func (h *hand) goOff(now des.Time) {
	switch {
	case h.state == handIdle:
		h.turnTo(now, handOff)
	case h.has && h.crew.rule == pauseInHand && (h.state == handWorking || h.state == handSetup):
		h.crew.r.sim.Cancel(h.event)
		h.layDown(now)
		h.laid = now
		h.turnTo(now, handOff)
	}
}

func (h *hand) turnTo(now des.Time, state int) {
	h.state = state
	h.show(now)
}

// fits tells whether work of a span may be begun now under the crew's rule.
func (h *hand) fits(span des.Time) bool {
	switch h.crew.rule {
	case onlyIfFits:
		return h.crew.r.sim.Now()+span <= h.roster.until
	case halfFits:
		return span <= 2*(h.roster.until-h.crew.r.sim.Now())
	}
	return true
}

// offer has idle hands look for work, at the start rank of this instant: all
// work that ends now, and all hours that close, come first. Departments call it
// when work has come in, the last thing they do with it. Where nothing else is
// due and no batch is being passed on, that is at once and needs no event.
func (c *crew) offer() {
	switch {
	case len(c.idle) == 0 || c.called:
	case c.r.batch == 0 && c.r.sim.Quiet():
		c.serveIdle()
	default:
		c.called = true
		c.r.calls = append(c.r.calls, c)
		if len(c.r.calls) == 1 {
			c.r.sim.At(c.r.sim.Now(), des.Start, c.r)
		}
	}
}

// serveIdle has the idle hands look for work, and tells apart those that find
// none.
func (c *crew) serveIdle() {
	c.called = false
	c.handOut()
	c.tellApart()
}

// handOut gives idle hands what work there is, the one that came free last
// first. Hands of one roster are alike: if one of them may not begin, before
// the end of its shift, the others may not.
func (c *crew) handOut() {
	var barred *roster
	for k := len(c.idle) - 1; k >= 0; k-- {
		h := &c.hands[c.idle[k]]
		if h.roster == barred {
			continue
		}
		if w, ok := h.look(); ok {
			c.idle = slices.Delete(c.idle, k, k+1)
			h.begin(w)
			continue
		}
		if len(c.rosters) == 1 {
			return
		}
		barred = h.roster
	}
}

// look has an idle hand look for work at the crew's desks in turn.
func (h *hand) look() (work, bool) {
	for _, d := range h.crew.desks {
		if w, ok := d.take(h); ok {
			w.desk = d
			return w, true
		}
	}
	return work{}, false
}

// begin starts a work with its change of tools.
func (h *hand) begin(w work) {
	now := h.crew.r.sim.Now()
	h.w, h.has = w, true
	h.off, h.down = 0, 0
	if w.key != 0 {
		h.tools = w.key
	}
	h.phase, h.left = handWorking, w.span
	if w.setup > 0 {
		h.phase, h.left = handSetup, w.setup
	}
	h.resume(now)
}

// resume goes on with the present phase, up to its end or to a breakdown.
func (h *hand) resume(now des.Time) {
	h.begun = now
	h.turnTo(now, h.phase)
	span := h.left
	cut, breaks := h.breaksWithin(now, span)
	if h.breaking = breaks; breaks {
		span = cut
	}
	h.event = h.crew.r.sim.After(span, des.Finish, h)
}

// layDown stops the present phase and keeps what is left of it.
func (h *hand) layDown(now des.Time) {
	h.left -= now - h.begun
	h.spend(now)
}

// Fire ends the present phase of a hand, or cuts it by a breakdown.
func (h *hand) Fire(now des.Time) {
	switch {
	case h.state == handDown:
		h.nextBreakdown()
		h.down += now - h.laid
		if h.crew.rule == pauseInHand && !h.roster.open {
			h.laid = now
			h.turnTo(now, handOff)
			return
		}
		h.resume(now)
	case h.breaking:
		h.layDown(now)
		h.breakDown(now)
	case h.phase == handSetup:
		h.spend(now)
		h.phase, h.left = handWorking, h.w.span
		h.resume(now)
	default:
		h.spend(now)
		h.finish(now)
	}
}

// finish hands in the work and looks for the next.
func (h *hand) finish(now des.Time) {
	w := h.w
	h.has = false
	c := h.crew
	w.desk.done(h, w)
	if h.roster.open && !h.away && now < h.roster.until {
		h.turnTo(now, handIdle)
		c.idle = append(c.idle, h.no)
	} else {
		h.turnTo(now, handOff)
	}
	c.offer() // to another hand, if this one has gone off
}

// chargeWork books the time a hand has had a piece: the work itself, and apart
// from it what it lay at the end of a shift or during a repair.
func (r *run) chargeWork(i pieceID, h *hand) {
	p, now := &r.pieces[i], r.sim.Now()
	r.chargeUntil(p, now-h.off-h.down, partWorking)
	r.chargeUntil(p, now-h.down, partOffShift)
	r.chargeUntil(p, now, partPlace)
}

// span draws the time of one job of this crew.
func (c *crew) span(g *random.Gate, law random.Law, object uint64, ordinal uint32) des.Time {
	return stretched(g.Value(law, object, ordinal), c.pace)
}

// stretched is a drawn time, in ms, at a pace, rounded once, halves to even.
func stretched(ms, pace float64) des.Time {
	return des.Time(math.RoundToEven(max(0, float64(ms*pace))))
}
