package plant

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/random"
)

// Press states.
const (
	pressOff  = iota
	pressIdle // plan met
	pressCasting
	pressChanging
	pressDown
	pressStates
)

var pressStateNames = []string{"off shift", "idle", "casting", "mould change", "down"}

// pressGroup is like pressure casting machines that make one ware.
type pressGroup struct {
	r     *run
	in    *Press
	obj   uint64
	plan  *castPlan
	hours *des.Hours
	ware  int32
	cycle *random.Gate
	clock stateClock
	all   []*press
	money int
}

// press is one machine: a process that goes from cycle to cycle while its
// hours are open and the plan wants casts.
type press struct {
	g      *pressGroup
	no     int
	moulds []int32
	cycles uint32
	fails  *failures
	ids    []pieceID
	left   des.Time // of the cycle that runs at the start
	state  int
}

func (r *run) newPressGroup(in *Press) *pressGroup {
	g := &pressGroup{
		r: r, in: in, obj: random.Name(in.Name), ware: r.p.wareNo(in.Ware), hours: r.p.hours[in.Hours],
		cycle: r.deal.Gate("press.cycle"), money: r.led.counter("cost.moulds"),
	}
	g.plan = r.plans[g.ware]
	g.clock = newStateClock(pressStates, int64(in.Count))
	r.addResource(in.Name, "press", pressStateNames, int64(in.Count), &g.clock)
	return g
}

// fit puts resin moulds into the machines of the group, ages spread evenly.
func (g *pressGroup) fit() {
	r, in := g.r, g.in
	n := in.Count * in.Cavities
	for k := range in.Count {
		m := &press{g: g, no: k, fails: r.newFailures(in.Breakdowns, random.Object(g.obj, uint64(k)))}
		for c := range in.Cavities {
			i := r.moulds.add(g.ware, in.Life, int32(c+1), 1)
			turn := int64(c*in.Count + k)
			r.moulds.all[i].casts = int32(int64(r.moulds.all[i].life) * (2*turn + 1) / int64(2*n))
			m.moulds = append(m.moulds, i)
		}
		g.all = append(g.all, m)
	}
}

func (g *pressGroup) start() {
	for _, m := range g.all {
		g.r.sim.Go(fmt.Sprintf("%s %d", g.in.Name, m.no+1), m.work)
	}
}

func (m *press) turn(state int) {
	m.g.clock.move(m.g.r.sim.Now(), m.state, state, 1)
	m.state = state
}

// work is the life of a machine. The machines of a group start a fraction of
// a cycle apart at each opening, so that their openings do not coincide.
func (m *press) work(p *des.Process) {
	g := m.g
	p.Standby()
	stagger := des.Time(int64(g.span(0))*int64(m.no)) / des.Time(len(g.all))
	if len(m.ids) > 0 {
		m.turn(pressCasting)
		p.Pass(m.left)
		m.demould(g.span(0))
	}
	for {
		if !g.hours.IsOpen(p.Now()) {
			m.turn(pressOff)
			next := g.hours.NextOpen(p.Now())
			p.PassAt(next, des.Start)
			m.turn(pressIdle)
			p.Pass(stagger)
			continue
		}
		span := g.span(random.Object(g.obj, uint64(m.no), uint64(m.cycles+1)))
		n := min(len(m.moulds), g.plan.allowed())
		if span > 2*(g.hours.NextClose(p.Now())-p.Now()) {
			m.turn(pressIdle)
			p.PassAt(g.hours.NextClose(p.Now()), des.Start)
			continue
		}
		if n == 0 || !g.r.floor.tryTake(n) {
			m.turn(pressIdle)
			g.r.castBell.WaitWithin(p, g.hours.NextClose(p.Now())-p.Now())
			continue
		}
		g.plan.count(n)
		m.castCycle(p, n, span)
	}
}

// span draws one effective cycle.
func (g *pressGroup) span(object uint64) des.Time {
	return stretched(g.cycle.Value(g.in.Cycle, object, 0), 1/float64(g.in.Effective))
}

// demould opens the cavities.
func (m *press) demould(span des.Time) {
	r := m.g.r
	r.batch++
	for _, i := range m.ids {
		r.demould(i, span, nil)
	}
	r.batch--
}

// castCycle fills n cavities, opens them a cycle later and changes what has worn.
func (m *press) castCycle(p *des.Process, n int, span des.Time) {
	g, r := m.g, m.g.r
	m.cycles++
	m.turn(pressCasting)
	ids := m.ids[:0]
	for c := range n {
		key := random.Object(g.obj, uint64(m.no), uint64(c), uint64(m.cycles))
		r.moulds.all[m.moulds[c]].refs++
		r.moulds.all[m.moulds[c]].casts++
		i := r.fillPiece(g.ware, key, m.moulds[c])
		ids = append(ids, i)
		r.led.add(r.wares[g.ware].cast, 1)
		r.observeFill(i, g.in.Name)
	}
	m.ids = ids
	m.fails.work(p, span, func() { m.turn(pressDown) }, func() { m.turn(pressCasting) })
	m.demould(span)
	for c := range n {
		if w := m.moulds[c]; r.moulds.all[w].casts >= r.moulds.all[w].life {
			m.turn(pressChanging)
			p.Pass(g.in.Change)
			r.moulds.wear(w)
			m.moulds[c] = r.moulds.add(g.ware, g.in.Life, int32(c+1), 1)
			r.led.add(g.money, int64(g.in.MouldPrice))
		}
	}
}
