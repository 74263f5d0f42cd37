package plant

import (
	"math/bits"

	"potbank/internal/des"
)

// ledger is the integer book of one replication: named counters, and a copy of
// what each grew by in every week. Departments register their counters while
// the works is laid out and write to them while it runs; every measure is
// computed from the weekly copies afterwards. Counters are pieces, piece-ms,
// head-ms, kJ or millionths of the currency: never floats, so that laws can be
// checked as equalities.
type ledger struct {
	names  []string
	index  map[string]int
	value  []int64
	closed []int64   // value at the last closing
	weeks  [][]int64 // growth by week
}

func newLedger() *ledger { return &ledger{index: map[string]int{}} }

// counter returns the number of the named counter, making it when new.
func (l *ledger) counter(name string) int {
	if c, ok := l.index[name]; ok {
		return c
	}
	c := len(l.names)
	l.names = append(l.names, name)
	l.index[name] = c
	l.value = append(l.value, 0)
	l.closed = append(l.closed, 0)
	return c
}

// add books an amount.
func (l *ledger) add(c int, amount int64) { l.value[c] += amount }

// close ends a week.
func (l *ledger) close() {
	week := make([]int64, len(l.value))
	for c, v := range l.value {
		week[c] = v - l.closed[c]
		l.closed[c] = v
	}
	l.weeks = append(l.weeks, week)
}

// stateClock measures how long the parts of a resource (hands, benches,
// places) have been in each of its states. The states exclude one another and
// exhaust the time: their sum is always parts x elapsed time, exactly.
type stateClock struct {
	heads []int64    // parts now in each state
	spent []int64    // part-ms so far, up to last
	last  []des.Time // by state, so that a move touches two states only
}

// newStateClock starts with all parts in state 0.
func newStateClock(states int, parts int64) stateClock {
	c := stateClock{heads: make([]int64, states), spent: make([]int64, states), last: make([]des.Time, states)}
	c.heads[0] = parts
	return c
}

// settle brings the time spent in all states up to now.
func (c *stateClock) settle(now des.Time) {
	for s := range c.heads {
		c.settleOne(s, now)
	}
}

func (c *stateClock) settleOne(s int, now des.Time) {
	c.spent[s] += c.heads[s] * int64(now-c.last[s])
	c.last[s] = now
}

// move takes n parts from one state to another.
func (c *stateClock) move(now des.Time, from, to int, n int64) {
	if from == to {
		return
	}
	c.settleOne(from, now)
	c.settleOne(to, now)
	c.heads[from] -= n
	c.heads[to] += n
}

// resource is a thing whose time by state is told: a crew, benches, presses,
// places of a dryer, a kiln.
type resource struct {
	name   string
	kind   string
	states []string
	parts  int64
	clock  *stateClock
	counts []int // ledger counters, by state
	booked []int64
}

// Resource names one thing whose time by state is measured.
type Resource struct {
	Name   string
	Kind   string // crew, bench, press, dryer, kiln, scarce
	Parts  int64
	States []string
	Before []string // sections that it takes ware out of
	Hands  string   // crew that serves it: of a bench, its casters
}

// addResource registers a resource; its time by state is booked each week.
func (r *run) addResource(name, kind string, states []string, parts int64, clock *stateClock) {
	res := &resource{name: name, kind: kind, states: states, parts: parts, clock: clock, booked: make([]int64, len(states))}
	for _, s := range states {
		res.counts = append(res.counts, r.led.counter("state."+name+"."+s))
	}
	r.resources = append(r.resources, res)
}

// book writes the time by state since the last booking.
func (res *resource) book(l *ledger, now des.Time) {
	res.clock.settle(now)
	for s, spent := range res.clock.spent {
		l.add(res.counts[s], spent-res.booked[s])
		res.booked[s] = spent
	}
}

// meter turns a rate and an amount into whole units without losing a fraction:
// what is left of a division is carried to the next. It keeps energy and money
// exact in integers.
type meter struct {
	per  int64 // amount that makes one unit at rate 1
	rest int64
}

// take returns the whole units in rate x amount, with the rest of last time;
// neither may be negative. The product takes 128 bits: a week of a thousand
// heads at a wage in millionths, by the millisecond, does not fit into 64.
func (m *meter) take(rate, amount int64) int64 {
	high, low := bits.Mul64(uint64(rate), uint64(amount))
	low, carry := bits.Add64(low, uint64(m.rest), 0)
	units, rest := bits.Div64(high+carry, low, uint64(m.per))
	m.rest = int64(rest)
	return int64(units)
}

// whole is the whole units in rate x amount, in one go.
func whole(rate, amount, per int64) int64 {
	m := meter{per: per}
	return m.take(rate, amount)
}
