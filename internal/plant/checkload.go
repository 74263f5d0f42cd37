package plant

import (
	"fmt"
	"strings"

	"potbank/internal/des"
	"potbank/internal/random"
)

// mostEvents is the number of events of one replication above which a run is
// refused: some ten minutes of one processor.
const mostEvents = 1e9

// events refuses a works that would take for ever to simulate.
func (c *checker) events() {
	total, path := c.p.eventsByHand()
	if total > mostEvents {
		c.faults = append(c.faults, Fault{
			Path: path, What: fmt.Sprintf("the run would take about %.2g events, above the limit of %.0g for one replication", total, mostEvents),
			Hint: "shorten the run, or check the times here", Limit: true,
		})
	}
}

// What a run may have at once, by the memory that it takes: a mould place about 100
// bytes, a piece 200.
const (
	mostPlaces = 1_000_000
	mostPieces = 5_000_000 // in the opening state
)

// sizes refuses a works whose moulds or whose ware at the start would fill the
// memory of the machine.
func (c *checker) sizes() {
	tooMany := func(path, hint, format string, n, most int64) {
		if n > most {
			c.faults = append(c.faults, Fault{Path: path, What: fmt.Sprintf(format, n, most), Hint: hint, Limit: true})
		}
	}
	places, largest, path := int64(0), int64(0), ""
	add := func(at string, n int64) {
		if places += n; n > largest {
			largest, path = n, at
		}
	}
	for k := range c.w.Benches {
		b := &c.w.Benches[k]
		add("benches."+b.Name, int64(b.Count)*int64(b.Moulds))
	}
	for k := range c.w.Presses {
		m := &c.w.Presses[k]
		add("presses."+m.Name, int64(m.Count)*int64(m.Cavities))
	}
	tooMany(path, "check the numbers here", "the works has %d mould places, above the limit of %d", places, mostPlaces)
	pieces := int64(0)
	for _, g := range c.w.Opening.groups() {
		for _, name := range sortedKeys(g.pieces) {
			pieces += int64(g.pieces[name])
		}
	}
	for _, l := range c.w.Opening.Listed {
		pieces += int64(min(l.Count, mostPieces+1)) // of as many rows as a table has
	}
	tooMany("opening-state", "check the numbers here", "%d pieces are there at the start, above the limit of %d", pieces, mostPieces)
}

// Events is the number of events of one replication by hand: rather too many,
// since ware is taken to be lost nowhere.
func (p *Plant) Events() float64 {
	total, _ := p.eventsByHand()
	return total
}

// eventsByHand counts events from the rates of benches, presses and tunnels, and of
// what breaks, and names the one with the most. A piece takes about twenty events, a
// round of a bench ten, a push three, a failure and its repair four.
func (p *Plant) eventsByHand() (total float64, path string) {
	weeks, worst := float64(p.Weeks()), 0.0
	add := func(at string, perWeek float64) {
		n := float64(perWeek * weeks)
		total += n
		if n > worst {
			worst, path = n, at
		}
	}
	failures := func(at string, machines int, b *Breakdowns) {
		if b != nil {
			add(at, 4*float64(machines)*float64(des.Week)/(b.Between.Mean()+b.Repair.Mean()))
		}
	}
	e := &estimator{p: p, w: p.works, weeks: weeks}
	for k := range p.works.Benches {
		b := &p.works.Benches[k]
		add("benches."+b.Name, float64(20*e.benchCasts(b))+float64(10*float64(b.Count)*p.BenchRounds(b)))
	}
	for k := range p.works.Presses {
		m := &p.works.Presses[k]
		add("presses."+m.Name+".cycle", 20*e.pressCasts(m))
		failures("presses."+m.Name+".breakdowns", m.Count, m.Breakdowns)
	}
	for k := range p.works.Kilns {
		in := &p.works.Kilns[k]
		if in.Kind == "shuttle" {
			continue // it fires only what comes
		}
		add("kilns."+in.Name, 3*e.slots(in))
		failures("kilns."+in.Name+".stops", 1, in.Stops)
	}
	if g := p.works.Glazing; g != nil {
		for k := range g.Booths {
			failures("glazing.booths."+g.Booths[k].Name+".breakdowns", g.Booths[k].Count, g.Booths[k].Breakdowns)
		}
	}
	return total, path
}

// mostMoney is the money, in units of the currency, above which a run is refused:
// it is counted in millionths, and 9.2e12 units fill the counters.
const mostMoney = 4e12

// money refuses a works whose money would not fit into the counters: wages if
// everybody worked round the clock, and ware if all that can be cast were sold.
func (c *checker) money() {
	weeks, perWeek := float64(c.p.Weeks()), 0.0
	for k := range c.w.Crews {
		for _, name := range sortedKeys(c.w.Crews[k].Roster) {
			perWeek += float64(float64(c.w.Crews[k].Roster[name]) * 168 * float64(c.w.Crews[k].Wage))
		}
	}
	e := &estimator{p: c.p, w: c.w, weeks: weeks}
	worth := func(ware string) float64 {
		in := &c.w.Ware[c.p.wareNo(ware)]
		s := &in.Costs
		return float64(max(in.Price, s.Casting+s.Finishing+s.Drying+s.White+s.Glazing+s.Firing+2*s.Refire+s.Sorting+s.Packing))
	}
	for k := range c.w.Benches {
		perWeek += float64(e.benchCasts(&c.w.Benches[k]) * worth(c.w.Benches[k].Ware))
	}
	for k := range c.w.Presses {
		perWeek += float64(e.pressCasts(&c.w.Presses[k]) * worth(c.w.Presses[k].Ware))
	}
	if total := perWeek / 1e6 * weeks; total > mostMoney {
		c.faults = append(c.faults, Fault{
			Path: "currency", What: fmt.Sprintf("up to %.2g %s would pass through the works, above the limit of %.0g", total, c.w.Currency, mostMoney),
			Hint: "shorten the run, or write all amounts in thousands", Limit: true,
		})
	}
}

// wild warns of a law whose mean is hardly ever sampled: a unit or an sd that
// is wrong by a factor.
func (c *checker) wild(path string, l random.Law) {
	if l != nil && l.Mean() > 0 && l.SD() > 20*l.Mean() {
		c.warn(path, "check the sd and its unit", "the sd is %.3g times the mean: most draws lie near zero and the mean is hardly ever met", l.SD()/l.Mean())
	}
}

// windowCover warns when ware leaves its punching window with no finisher on
// shift, whatever the work load: it looks at the pieces of the second week,
// when each comes out of its mould.
func (c *checker) windowCover() {
	if c.w.Finishing == nil {
		return
	}
	air := newAir(&c.w.Shop, c.p.hours[c.w.Shop.Covered])
	on := c.p.crewHours(c.w.Finishing.Crew)
	check := func(ware string, out []des.Time) {
		w := &c.w.Ware[c.p.wareNo(ware)]
		if w.Window == nil || w.Window.InDryer || len(out) == 0 {
			return
		}
		missed, example := 0, des.Time(0)
		for _, t := range out {
			opens, closes := w.Window.span(air, t, w.Demould.Mean())
			if on.OpenBetween(opens, closes) == 0 {
				missed, example = missed+1, t
			}
		}
		if missed > 0 {
			c.warn("ware."+w.Name+".window", "move the fills or the finishers, or cover the ware",
				"%.0f %% of %s leave their window with no finisher on shift, e.g. what is demoulded on %s", 100*float64(missed)/float64(len(out)), w.Name, c.p.clock.Civil(example).Format("Mon 15:04"))
		}
	}
	for k := range c.w.Benches {
		check(c.w.Benches[k].Ware, c.p.demouldTimes(&c.w.Benches[k]))
	}
	for k := range c.w.Presses {
		m := &c.w.Presses[k]
		var out []des.Time
		for t := des.Week; t < 2*des.Week; t += 30 * des.Minute {
			if c.p.hours[m.Hours].IsOpen(t) {
				out = append(out, t)
			}
		}
		check(m.Ware, out)
	}
}

// demouldTimes is when the first and the last pieces of a bench's rounds of the
// second week come out, if casters are always to be had.
func (p *Plant) demouldTimes(b *Bench) []des.Time {
	var out []des.Time
	touches := p.Touches(b)
	p.rounds(b, 2*des.Week, func(opened, emptied des.Time) {
		if opened >= des.Week {
			out = append(out, opened+touches.Open(1), emptied)
		}
	})
	return out
}

// barren warns of a ware of which no cast can become a good piece, and names the
// orders that wait for it.
func (c *checker) barren() {
	for i := range c.w.Ware {
		w := &c.w.Ware[i]
		if c.p.overallYield(w) > 0 {
			continue
		}
		what := fmt.Sprintf("no cast of %s can become a good piece", w.Name)
		var orders []string
		for k := range c.w.Orders {
			if c.w.Orders[k].Ware == w.Name {
				orders = append(orders, c.w.Orders[k].Name)
			}
		}
		if orders != nil {
			what += "; these orders can never be finished: " + strings.Join(orders, ", ")
		}
		c.warn("ware."+w.Name+".yields", "check the yields", "%s", what)
	}
}

// Fuel for a kilogram of ware, in MJ, outside of which a unit is wrong by a
// factor of a thousand rather than the works a poor one: to dry it takes some 0.3
// to 3, to fire it 3 to 15. Common practice.
const (
	dryingLeast, dryingMost = 0.01, 100
	firingLeast, firingMost = 0.1, 500
)

// burning warns of fuel that no dryer or kiln can mean, by the estimate by hand.
// None at all means that fuel is not counted.
func (c *checker) burning(h *Hand) {
	look := func(path, name, does string, grams, least, most float64) {
		burnt, ok := h.Value("fuel." + name)
		perKg := 1e6 * burnt / grams // of GJ a week over g a week
		if !ok || burnt == 0 || grams == 0 || perKg >= least && perKg <= most {
			return
		}
		c.warn(path, "check the unit of its energy", "%s burns %.3g MJ a kg of ware; %s takes between %g and %g", name, perKg, does, least, most)
	}
	for k := range c.w.Dryers {
		d := &c.w.Dryers[k]
		look("dryers."+d.Name, d.Name, "drying", c.castMass(h, d.Ware), dryingLeast, dryingMost)
	}
	refires, _ := h.Value("refires.total")
	casts, _ := h.Value("cast.total")
	for k := range c.w.Kilns {
		in := &c.w.Kilns[k]
		grams := c.castMass(h, in.Ware)
		if in.Fires == "refire" {
			grams = c.castMass(h, nil) / casts * refires
		}
		look("kilns."+in.Name, in.Name, "firing", grams, firingLeast, firingMost)
	}
}

// castMass is the dry mass of what is cast of some wares a week, in g; no names
// mean all.
func (c *checker) castMass(h *Hand, wares []string) (grams float64) {
	for i, takes := range c.p.waresOf(wares) {
		if w := &c.w.Ware[i]; takes {
			casts, _ := h.Value("cast." + w.Name)
			grams += float64(casts * float64(w.Dry))
		}
	}
	return grams
}
