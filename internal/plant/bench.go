package plant

import (
	"fmt"
	"math"

	"potbank/internal/des"
	"potbank/internal/random"
)

// Bench states.
const (
	benchIdle = iota // no plan, no shift, or no mould
	benchTouched
	benchBuilding // slip in the moulds, or ware setting in them
	benchForCrew  // waiting for casters
	benchDrying   // moulds drying back
	benchStates
)

var benchStateNames = []string{"idle", "in hand", "building", "waiting for casters", "drying back"}

// benchGroup is like benches that make one ware.
type benchGroup struct {
	r       *run
	in      *Bench
	object  uint64
	casters *gang
	touches Touches
	benches []*bench
	idle    *random.Gate
	clock   stateClock
	offered int // counters: places ready to be filled, places filled
	used    int
}

// bench is one bench: a process that fills, builds, drains, sets, opens,
// cleans and dries back. How often a day is an outcome: it depends on when
// casters are there for each touch.
type bench struct {
	g      *benchGroup
	no     int
	moulds []int32 // by place; -1: none
	out    []bool  // places out of use today
	day    int64   // for which out was drawn
	cast   []uint32
	opened des.Time // when the moulds were last emptied
	state  int
	kept   jobs  // heads that it would have at work, but for what keeps them
	spared int64 // day of the last fill, or of the last that was not wanted
	filled []pieceID
	left   des.Time // of the cast that stands in it at the start
	ware   int32
	plan   *castPlan
	law    random.Law // life of its moulds
	change int        // next of the group's change-overs
}

func (r *run) newBenchGroup(in *Bench) *benchGroup {
	g := &benchGroup{
		r: r, in: in, object: random.Name(in.Name), casters: r.gangs[in.Crew], touches: r.p.Touches(in),
		idle: r.deal.Gate("bench.place-idle"),
	}
	g.offered, g.used = r.led.counter("bench."+in.Name+".ready"), r.led.counter("bench."+in.Name+".filled")
	g.clock = newStateClock(benchStates, int64(in.Count))
	r.addResource(in.Name, "bench", benchStateNames, int64(in.Count), &g.clock)
	return g
}

// fit puts moulds on the benches of the group.
func (g *benchGroup) fit() {
	r, in := g.r, g.in
	n := in.Count * in.Moulds
	cases := r.p.caseCount(in.Ware)
	for k := range in.Count {
		b := &bench{g: g, no: k, day: -1, ware: r.p.wareNo(in.Ware), law: in.Life, opened: -des.Week}
		b.plan = r.plans[b.ware]
		for place := range in.Moulds {
			// Neighbouring ages go to different benches, so that no bench wears
			// out all at once.
			turn := place*in.Count + k
			m := r.moulds.add(b.ware, b.law, int32(turn%cases+1), 1)
			if in.Ages == "even" {
				life := int64(r.moulds.all[m].life)
				r.moulds.all[m].casts = int32(life * int64(2*turn+1) / int64(2*n))
			}
			b.moulds = append(b.moulds, m)
		}
		b.out = make([]bool, in.Moulds)
		b.cast = make([]uint32, in.Moulds)
		g.benches = append(g.benches, b)
	}
}

func (g *benchGroup) start() {
	for _, b := range g.benches {
		g.r.sim.Go(fmt.Sprintf("%s %d", g.in.Name, b.no+1), b.work)
	}
}

// refit puts dry moulds from the shelf on empty places.
func (g *benchGroup) refit(s *mouldShop) {
	for _, b := range g.benches {
		for place, m := range b.moulds {
			if m < 0 {
				if fresh, ok := s.issue(b.ware); ok {
					b.moulds[place] = fresh
					g.r.castBell.Ring()
				}
			}
		}
	}
}

func (b *bench) turn(state int) {
	b.g.clock.move(b.g.r.sim.Now(), b.state, state, 1)
	b.state = state
	switch heads := b.g.in.Casters; state {
	case benchBuilding:
		b.keep(jobs{waits: heads})
	case benchForCrew:
		b.keep(jobs{blocked: heads})
	default:
		b.keep(jobs{})
	}
}

// keep tells the casters what keeps the heads of this bench, for those who are
// idle.
func (b *bench) keep(k jobs) {
	g := b.g.casters
	g.kept.blocked += k.blocked - b.kept.blocked
	g.kept.waits += k.waits - b.kept.waits
	b.kept = k
	g.record()
}

// bide passes the time to an instant before which the next fill cannot begin. It
// keeps casters from their work only if the plan wants one.
func (b *bench) bide(p *des.Process, until des.Time) {
	if b.plan.allowed() > 0 {
		b.keep(jobs{waits: b.g.in.Casters})
	}
	p.PassAt(until, des.Start)
}

// work is the life of a bench.
func (b *bench) work(p *des.Process) {
	p.Standby()
	in, touches := b.g.in, &b.g.touches
	if len(b.filled) > 0 {
		b.turn(benchBuilding)
		p.Pass(b.left)
		b.open(p)
		b.touch(p, rankEmpty, touches.Clean)
		b.dryBack(p)
	}
	for {
		b.changeOver(p)
		n := b.await(p)
		if n == 0 {
			continue
		}
		b.turn(benchTouched)
		b.fill(n)
		p.Pass(touches.Fill)
		b.g.casters.give(in.Casters)
		b.turn(benchBuilding)
		p.Pass(b.buildTime())
		b.touch(p, rankHolding, touches.Drain)
		b.turn(benchBuilding)
		p.Pass(in.Set)
		b.open(p)
		b.touch(p, rankEmpty, touches.Clean)
		b.dryBack(p)
	}
}

// await waits until the bench has something to cast, casters to fill it and
// time to drain it, and returns how many places to fill; 0 when its ware is to
// change first. It leaves with the casters taken.
func (b *bench) await(p *des.Process) int {
	for {
		b.turn(benchIdle)
		change := b.nextChange()
		if p.Now() >= change {
			return 0
		}
		now := p.Now()
		next := b.g.nextFill(now)
		if next > now {
			b.bide(p, min(next, change))
			continue
		}
		ready, allowed := b.ready(), b.plan.allowed()
		if n := min(ready, allowed); n > 0 && b.g.r.floor.room(n) {
			if n = b.hire(p); n > 0 {
				return n
			}
			continue
		}
		if allowed > 0 {
			b.keep(jobs{blocked: b.g.in.Casters}) // by the floor, or for want of moulds
		}
		if day := int64(now / des.Day); day != b.spared {
			// Moulds that stood ready on a day and were not wanted.
			b.spared = day
			b.g.r.led.add(b.g.offered, int64(ready))
		}
		b.g.r.castBell.WaitWithin(p, change-p.Now())
	}
}

// hire waits for casters and returns how many places they fill. What could be
// filled when they were asked for may be gone when they come: then it gives
// them back and returns 0.
func (b *bench) hire(p *des.Process) int {
	g, r := b.g, b.g.r
	b.turn(benchForCrew)
	g.casters.take(p, g.in.Casters, rankEmpty)
	now, ready := p.Now(), b.ready()
	n := min(ready, b.plan.allowed())
	if n == 0 || g.nextFill(now) > now || !r.floor.tryTake(n) {
		g.casters.give(g.in.Casters)
		return 0
	}
	b.plan.count(n)
	r.led.add(g.offered, int64(ready))
	r.led.add(g.used, int64(n))
	b.spared = int64(now / des.Day)
	return n
}

// nextFill returns the first instant from t at which a fill can begin so that
// the touch that ends it and the whole drain fall on shift: slip left in the
// moulds past its time builds too thick a wall.
func (g *benchGroup) nextFill(t des.Time) des.Time {
	h := g.casters.hours
	build := g.r.p.buildSpan(g.in)
	for range 10000 {
		t = h.NextOpen(t)
		if t == des.Never {
			return des.Never
		}
		end := h.NextClose(t)
		drain := t + g.touches.Fill + build
		if t+g.touches.Fill > end {
			t = end
			continue
		}
		at, ok := h.At(drain)
		if ok && drain+g.touches.Drain <= at.Close {
			return t
		}
		// Too late for this opening: go to where the drain would meet the next.
		from := drain
		if ok {
			from = at.Close
		}
		if open := h.NextOpen(from); open == des.Never {
			return des.Never
		} else {
			t = max(t+1, open-g.touches.Fill-build)
		}
	}
	return des.Never
}

// ready counts the places that can be filled, drawing which are out of use on
// a new day.
func (b *bench) ready() int {
	day := int64(b.g.r.sim.Now() / des.Day)
	n := 0
	for place := range b.moulds {
		if day != b.day {
			b.out[place] = b.outOfUse(place, day)
		}
		if b.moulds[place] < 0 && b.g.r.shop == nil {
			b.moulds[place] = b.g.r.moulds.add(b.ware, b.law, 1, 1)
		}
		if b.moulds[place] >= 0 && !b.out[place] {
			n++
		}
	}
	b.day = day
	return n
}

// outOfUse tells whether a place is out of use on a day. With randomness off
// the places take turns: each day the same share of them is out, and the golden
// ratio spreads the turns of one place evenly over the days.
func (b *bench) outOfUse(place int, day int64) bool {
	idle := float64(b.g.in.Idle)
	if idle == 0 {
		return false
	}
	if b.g.r.deal.Off() {
		n := b.g.in.Count * b.g.in.Moulds
		_, turn := math.Modf(float64(place*b.g.in.Count+b.no)/float64(n) + float64(float64(day)*(math.Phi-1)))
		return turn < idle
	}
	return b.g.idle.Trial(idle, random.Object(b.g.object, uint64(b.no), uint64(place)), uint32(day))
}

// fill pours slip into the first n ready places.
func (b *bench) fill(n int) {
	b.filled = b.filled[:0]
	r := b.g.r
	for place, m := range b.moulds {
		if len(b.filled) == n {
			break
		}
		if m < 0 || b.out[place] {
			continue
		}
		b.cast[place]++
		key := random.Object(b.g.object, uint64(b.no), uint64(place), uint64(b.cast[place]))
		r.moulds.all[m].refs++
		r.moulds.all[m].casts++
		if r.master != nil {
			r.master.moulds[m].bench = random.Object(b.g.object, uint64(b.no))
		}
		i := r.fillPiece(b.ware, key, m)
		b.filled = append(b.filled, i)
		r.led.add(r.wares[b.ware].cast, 1)
		r.observeFill(i, b.g.in.Name)
		if r.moulds.all[m].casts >= r.moulds.all[m].life {
			b.moulds[place] = -1
			r.moulds.wear(m)
		}
	}
}

// buildSpan is the build of a bench of dry, young moulds. By the square-root
// law L^2 = k t the time goes with the square of the wall (Adcock and McDowall
// 1957).
func (p *Plant) buildSpan(b *Bench) des.Time {
	if b.Build > 0 {
		return b.Build
	}
	wall := float64(b.Wall)
	return des.Time(float64(float64(wall*wall)/float64(b.Rate)*float64(des.Minute)) + 0.5)
}

// buildTime is the build of the present fill: slower for moulds that have not
// dried through and for old ones, by the mean rate over the bench, since all
// places are drained together.
func (b *bench) buildTime() des.Time {
	in := b.g.in
	rate := 1.0
	through := max(in.DryThru, in.DryBack)
	if b.g.r.sim.Now()-b.g.touches.Fill-b.opened < through {
		rate = float64(in.Damp)
	}
	if in.Old < 1 && len(b.filled) > 0 {
		sum := 0.0
		for _, i := range b.filled {
			m := &b.g.r.moulds.all[b.g.r.pieces[i].mould]
			if 5*m.casts > 4*m.life {
				sum += float64(in.Old)
			} else {
				sum++
			}
		}
		rate *= sum / float64(len(b.filled))
	}
	return des.Time(float64(b.g.r.p.buildSpan(in))/rate + 0.5)
}

// touch is a stretch of work by the bench's casters.
func (b *bench) touch(p *des.Process, rank int, span des.Time) {
	if span == 0 {
		return
	}
	b.turn(benchForCrew)
	b.call(p, rank, span)
	b.turn(benchTouched)
	b.g.casters.work(p, b.g.in.Casters, span)
	b.g.casters.give(b.g.in.Casters)
}

// call waits for the casters at a time when, under their rule, work of the span
// may be begun.
func (b *bench) call(p *des.Process, rank int, span des.Time) {
	g, heads := b.g.casters, b.g.in.Casters
	for {
		if open := g.hours.NextOpen(p.Now()); open > p.Now() {
			p.PassAt(open, des.Start)
		}
		b.turn(benchForCrew)
		g.take(p, heads, rank)
		now := p.Now()
		if g.mayBegin(now, span) {
			return
		}
		g.give(heads)
		if iv, open := g.hours.At(now); open {
			b.keep(jobs{waits: heads}) // for the next shift
			p.PassAt(iv.Close, des.Start)
		}
	}
}

// open takes the pieces out of their moulds one by one.
func (b *bench) open(p *des.Process) {
	in, r, touches := b.g.in, b.g.r, &b.g.touches
	touched := touches.Fill + r.p.buildSpan(in) + touches.Drain + in.Set
	b.turn(benchForCrew)
	b.call(p, rankHolding, touches.Open(len(b.filled)))
	b.turn(benchTouched)
	for k, i := range b.filled {
		b.g.casters.work(p, in.Casters, touches.Open(k+1)-touches.Open(k))
		r.demould(i, touched+touches.Open(k+1), b.g.casters.hours)
	}
	b.g.casters.give(in.Casters)
	b.filled = b.filled[:0]
	b.opened = p.Now()
}

// dryBack lets the moulds give up the water of the cast.
func (b *bench) dryBack(p *des.Process) {
	b.turn(benchDrying)
	if ready := b.opened + b.g.in.DryBack; ready > p.Now() {
		b.bide(p, ready)
	}
}

// nextChange is the date of the bench's next change of ware.
func (b *bench) nextChange() des.Time {
	if b.change == len(b.g.in.Change) {
		return des.Never
	}
	return b.g.r.p.changes[b.g.in][b.change]
}

// changeOver turns the bench to another ware when its date has come: the old
// moulds go, new ones come from the shelf as the mould shop can give them.
func (b *bench) changeOver(p *des.Process) {
	g := b.g
	for p.Now() >= b.nextChange() {
		c := &g.in.Change[b.change]
		b.change++
		b.touch(p, rankEmpty, g.touches.of(c.Takes))
		for place, m := range b.moulds {
			if m >= 0 {
				g.r.moulds.wear(m)
				b.moulds[place] = -1
			}
		}
		b.ware = g.r.p.wareNo(c.Ware)
		b.plan = g.r.plans[b.ware]
		if g.r.shop != nil {
			b.law = g.r.p.mouldLife(c.Ware)
		}
	}
}
