package plant

import (
	"math"

	"potbank/internal/des"
	"potbank/internal/random"
)

// castPlan is how many pieces of a ware may be filled by now: a number a
// working day, cumulative, so that a shortfall is made up when moulds allow.
type castPlan struct {
	r     *run
	milli int64 // thousandths of a piece a working day; 0: no limit
	days  int64 // working days begun
	begun []des.Time
	turn  int
	cast  int64
	ware  int32
	way   *onTheWay // of a ware made to order; nil: cast for stock
}

// newCastPlan makes the plan of a ware from the first openings of its working days.
func (r *run) newCastPlan(w *Ware) *castPlan {
	c := &castPlan{r: r, milli: int64(math.Round(float64(w.Plan) * 1000)), begun: r.p.castDays[w.Name], ware: r.p.wareNo(w.Name)}
	if w.Make == "order" {
		c.way = r.newOnTheWay(w)
	}
	return c
}

func (c *castPlan) start() {
	if c.turn < len(c.begun) {
		c.r.sim.At(c.begun[c.turn], des.Calendar, c)
		c.turn++
	}
}

// Fire begins a working day.
func (c *castPlan) Fire(des.Time) {
	c.days++
	c.r.castBell.Ring()
	c.start()
}

// allowed is how many more pieces may be filled now.
func (c *castPlan) allowed() int {
	n := int64(math.MaxInt32)
	if c.milli > 0 {
		n = c.milli*c.days/1000 - c.cast
	}
	if c.way != nil {
		n = min(n, c.way.lacking(c.r.sim.Now()))
	}
	return int(max(0, n))
}

func (c *castPlan) count(n int) { c.cast += int64(n) }

// floor is the standing room between mould and trolley.
type floor struct {
	r     *run
	limit int // 0: no limit
	used  int
	short *scarce // nil: no limit
}

// room tells whether n more pieces can stand.
func (f *floor) room(n int) bool {
	if f.limit == 0 || f.used+n <= f.limit {
		return true
	}
	f.short.tell(true)
	return false
}

// tryTake takes room for n pieces, if there is.
func (f *floor) tryTake(n int) bool {
	if !f.room(n) {
		return false
	}
	f.used += n
	return true
}

func (f *floor) give(n int) {
	f.used -= n
	if f.limit > 0 {
		f.short.tell(false)
		f.r.castBell.Ring()
	}
}

// gang is a crew whose heads are taken several at a time by benches: casters.
type gang struct {
	r      *run
	in     *Crew
	places *des.Places
	hours  *shifts
	rule   inHand
	heads  int
	due    int // heads whose hours are open
	on     int // of them those who are not absent
	busy   int
	kept   jobs // heads that benches would have, but for what keeps them
	clock  stateClock
	away   *random.Gate
	parts  []*gangPart
}

// gangPart is the heads of a gang that share one set of hours.
type gangPart struct {
	g     *gang
	name  string
	hours *des.Hours
	heads int
	here  int // of them present today
	open  bool
}

// Gang states: those of hands without change-over and breakdown.
const (
	gangWorking = handsThere + iota
	gangAfter
)

var gangStateNames = append(restNames[:handsThere:handsThere], "working", "after hours")

func (r *run) newGang(in *Crew) *gang {
	g := &gang{r: r, in: in, rule: inHandNames[in.InHand], places: r.sim.Places(in.Name, 0), away: r.deal.Gate("crew.away")}
	var all []*des.Hours
	for _, name := range sortedKeys(in.Roster) {
		g.parts = append(g.parts, &gangPart{g: g, name: name, hours: r.p.hours[name], heads: in.Roster[name]})
		g.heads += in.Roster[name]
		all = append(all, r.p.hours[name])
	}
	g.hours = newShifts(r.p.union(all))
	g.clock = newStateClock(len(gangStateNames), int64(g.heads))
	r.addResource(in.Name, "crew", gangStateNames, int64(g.heads), &g.clock)
	return g
}

func (g *gang) start() {
	for _, part := range g.parts {
		part.arm()
	}
}

func (k *gangPart) arm() {
	sim := k.g.r.sim
	next := k.hours.NextOpen(sim.Now())
	if k.open {
		next = k.hours.NextClose(sim.Now())
	}
	if next != des.Never {
		sim.At(next, des.Calendar, k)
	}
}

// Fire opens or closes the hours of a part of the gang.
func (k *gangPart) Fire(now des.Time) {
	g := k.g
	k.open = !k.open
	if k.open {
		k.here = k.heads - k.absent(now)
		g.on += k.here
		g.due += k.heads
	} else {
		g.on -= k.here
		g.due -= k.heads
	}
	g.places.Resize(g.on)
	g.record()
	k.arm()
}

// absent draws how many heads are away on the day of an opening.
func (k *gangPart) absent(now des.Time) int {
	n := 0
	if k.g.in.Absence > 0 {
		crew := random.Name(k.g.in.Name + " " + k.name)
		for h := range k.heads {
			if k.g.away.Trial(float64(k.g.in.Absence), random.Object(crew, uint64(h)), uint32(now/des.Day)) {
				n++
			}
		}
	}
	return n
}

// record brings the gang's clock in line with who is on and who is busy.
func (g *gang) record() {
	g.clock.settle(g.r.sim.Now())
	worked, absent := min(g.busy, g.on), g.due-g.on
	after := g.busy - worked
	// Who is away today may still be at what the last shift began.
	twice := max(0, g.due+after-g.heads)
	worked, absent, after = worked+twice, absent-twice, after-twice
	none, waits, blocked := g.kept.apart(max(0, g.on-g.busy))
	for state, n := range [...]int{g.heads - g.due - after, absent, none, waits, blocked, worked, after} {
		g.clock.heads[state] = int64(n)
	}
}

// Ranks of those who ask for casters: moulds that hold slip or ware do not wait
// for empty ones to be filled or cleaned.
const (
	rankHolding = iota
	rankEmpty
)

// take waits for n heads.
func (g *gang) take(p *des.Process, n, rank int) {
	if rank == rankEmpty {
		p.PassAt(p.Now(), des.Start) // after those who have waited up to this instant
	}
	p.Take(g.places, n, rank)
	g.busy += n
	g.record()
}

// work passes a span of work of n heads that are taken. Under the pause rule it
// is laid down while the gang's hours are closed.
func (g *gang) work(p *des.Process, n int, span des.Time) {
	for g.rule == pauseInHand {
		end := p.Now() // of a piece that came out as the hours closed, the next is not begun
		if iv, open := g.hours.At(end); open {
			end = iv.Close
			if p.Now()+span <= end {
				break
			}
		}
		span -= end - p.Now()
		p.PassAt(end, des.Start)
		g.give(n)
		g.take(p, n, rankHolding)
	}
	p.Pass(span)
}

// mayBegin tells whether the rule for work in hand lets work of a span begin.
func (g *gang) mayBegin(now, span des.Time) bool {
	iv, open := g.hours.At(now)
	switch {
	case !open:
		return false
	case g.rule == halfFits:
		return span <= 2*(iv.Close-now)
	case g.rule == onlyIfFits:
		return now+span <= iv.Close
	}
	return true
}

func (g *gang) give(n int) {
	g.busy -= n
	g.places.Give(n)
	g.record()
}
