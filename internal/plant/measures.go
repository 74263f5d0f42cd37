package plant

import (
	"strings"

	"potbank/internal/des"
)

// hourMS, weekly and the like scale counters to the units of measures.
const (
	perHour = 1 / float64(des.Hour)
	perDay  = 1 / float64(des.Day)
	percent = 100
	perGJ   = 1e-6 // of kJ
	perMJ   = 1e-3
	money   = 1e-6
)

// definitions are the measures by pattern. What stands in angle brackets is a
// name from the scenario. Formulas with a name in capitals are those of
// ISO 22400-2 (element names as in its published ontology).
var definitions = []Measure{
	{Name: "packed.total", Unit: "pieces/wk", Headline: true, Definition: "A pieces packed, all wares", Formula: "A pieces packed / weeks; good quantity GQ"},
	{Name: "packed.<ware>", Unit: "pieces/wk", Definition: "A pieces of one ware packed", Formula: "A pieces packed / weeks; GQ"},
	{Name: "seconds.<ware>", Unit: "pieces/wk", Definition: "B pieces of one ware packed", Formula: "B pieces packed / weeks"},
	{Name: "cast.total", Unit: "pieces/wk", Definition: "moulds filled, all wares", Formula: "fills / weeks; produced quantity PQ of casting"},
	{Name: "cast.<ware>", Unit: "pieces/wk", Definition: "moulds of one ware filled", Formula: "fills / weeks; PQ of casting"},
	{Name: "yield.total", Unit: "%", Definition: "A pieces packed of all cast", Formula: "packed / cast; QUALITY RATIO GQ/PQ over the works"},
	{Name: "yield.<ware>", Unit: "%", Definition: "A pieces packed of all cast, one ware", Formula: "packed / cast; QUALITY RATIO GQ/PQ"},
	{Name: "wip.total", Unit: "pieces", Headline: true, Definition: "pieces in the works, mean over all hours", Formula: "integral of pieces present / elapsed time; INVENTORY"},
	{Name: "wip.<section>", Unit: "pieces", Definition: "pieces in one section, mean over all hours", Formula: "integral of pieces present / elapsed time"},
	{Name: "wip_working.total", Unit: "pieces", Definition: "pieces in the works, mean over working time", Formula: "integral over working time / working time"},
	{Name: "wip_working.<section>", Unit: "pieces", Definition: "pieces in one section, mean over working time", Formula: "integral over working time / working time"},
	{Name: "lead_time.mean", Unit: "h", Headline: true, Definition: "from the fill to the pallet, A pieces, all hours", Formula: "sum of lead times / A pieces; ORDER EXECUTION TIME AOET of a piece"},
	{Name: "lead_time.p50", Unit: "h", Definition: "half of the A pieces take no longer", Formula: "0.50 quantile of lead times in a replication"},
	{Name: "lead_time.p80", Unit: "h", Definition: "four in five A pieces take no longer", Formula: "0.80 quantile of lead times in a replication"},
	{Name: "lead_time.p95", Unit: "h", Definition: "19 in 20 A pieces take no longer", Formula: "0.95 quantile of lead times in a replication"},
	{Name: "lead_time.working_days", Unit: "d", Definition: "mean lead time in working days of 24 h", Formula: "sum of working time within lead times / A pieces"},
	{Name: "lead.<part>", Unit: "h", Definition: "part of the mean lead time; the parts add up to it exactly", Formula: "time charged to the part / A pieces; working is APT, waiting AQT"},
	{Name: "window.late", Unit: "%", Definition: "pieces whose punching ended after the window, of those punched", Formula: "late / punched"},
	{Name: "window.late.<ware>", Unit: "%", Definition: "pieces of one ware whose punching, or only job, ended after the window", Formula: "late / punched"},
	{Name: "window.early", Unit: "%", Definition: "pieces punched before the window, of those punched", Formula: "early / punched"},
	{Name: "window.too_dry", Unit: "pieces/wk", Definition: "pieces too dry to punch, back to the slip", Formula: "refused / weeks"},
	{Name: "window.too_dry.<ware>", Unit: "pieces/wk", Definition: "pieces of one ware too dry to punch, back to the slip", Formula: "refused / weeks"},
	{Name: "lost.<stage>.<cause>", Unit: "pieces/wk", Definition: "pieces lost at a stage by one cause", Formula: "lost / weeks; SCRAP QUANTITY SQ"},
	{Name: "refires.total", Unit: "pieces/wk", Definition: "pieces sent to be fired again", Formula: "refires / weeks; REWORK QUANTITY RQ"},
	{Name: "firings.per_good", Unit: "firings/piece", Definition: "firings for one A piece packed", Formula: "pieces fired, refires included / A pieces packed"},
	{Name: "escaped", Unit: "pieces/wk", Definition: "functional faults that no test found", Formula: "faulty pieces packed / weeks"},
	{Name: "slip.poured", Unit: "kg/wk", Definition: "slip poured into moulds", Formula: "fills x slip-fill / weeks"},
	{Name: "slip.fresh", Unit: "kg/wk", Definition: "slip that must be made new", Formula: "(fills x slip-fill x (1 - slip-return) - pieces back to the slip x wet-mass) / weeks"},
	{Name: "moulds.worn.<ware>", Unit: "moulds/wk", Definition: "working moulds worn out", Formula: "moulds at the end of their life / weeks"},
	{Name: "kiln.<kiln>.full", Unit: "%", Definition: "cars pushed, or loads fired, that were full", Formula: "full / all"},
	{Name: "kiln.<kiln>.part", Unit: "%", Definition: "cars pushed, or loads fired, that were part full", Formula: "part / all"},
	{Name: "kiln.<kiln>.empty", Unit: "%", Definition: "cars pushed empty", Formula: "empty / all"},
	{Name: "kiln.<kiln>.firings", Unit: "1/wk", Definition: "cars with ware pushed, or loads fired", Formula: "(full + part) / weeks"},
	{Name: "kiln.<kiln>.cars", Unit: "cars", Definition: "cars in use at once, at most in a week: inside, loaded, fired, in hand, in repair", Formula: "sum of the weeks' peaks / weeks"},
	{Name: "kiln.<kiln>.weekend.held", Unit: "loads", Definition: "glazed ware before the kiln, coats drying included, at its first push of the week's longest rest of glazing", Formula: "sum of pieces / pieces of a full load, over rests / rests"},
	{Name: "kiln.<kiln>.weekend.pieces", Unit: "pieces", Definition: "the same in pieces: what the racks must hold", Formula: "pieces over rests / rests"},
	{Name: "kiln.<kiln>.weekend.least", Unit: "loads", Definition: "least dry glazed ware before the kiln, loaded cars included, from one such rest to the next", Formula: "sum of the least / rests"},
	{Name: "fuel.week", Unit: "GJ/wk", Definition: "fuel of kilns and dryers, net calorific value", Formula: "(base + per car or firing + per kg) / weeks"},
	{Name: "fuel.<place>", Unit: "GJ/wk", Definition: "fuel of one kiln or dryer", Formula: "(base + per car or firing + per kg) / weeks"},
	{Name: "energy.per_good", Unit: "MJ/piece", Definition: "fuel for one A piece packed; refires and scrap carry theirs to it", Formula: "fuel / A pieces packed; COMPREHENSIVE ENERGY E/GQ"},
	{Name: "co2.per_good", Unit: "kg/piece", Definition: "CO2 of the fuel for one A piece packed, at the works", Formula: "fuel x carbon factor / A pieces packed"},
	{Name: "cost.per_good", Unit: "money/piece", Definition: "direct cost of the works for one A piece packed", Formula: "(stages + wages + moulds + gas + disposal - reclaim) / A pieces packed"},
	{Name: "cost.<line>", Unit: "money/wk", Definition: "one line of the direct cost", Formula: "amount / weeks"},
	{Name: "contribution", Unit: "money/wk", Definition: "sales at works prices less direct cost", Formula: "(sales - cost) / weeks"},
	{Name: "load.<resource>", Unit: "%", Definition: "use of a resource in the time it could be used", Formula: "crew: worked / attended; press: cycling / open; bench: places filled / places ready; dryer: trolleys loaded / places offered at the loading times, or places used / places; tunnel: cars with ware / pushes; shuttle: not waiting / all; mould shop, case sets: moulds poured / moulds that could be poured; trolleys, casting floor, cars: time in which ware waits for one / all; UTILISATION EFFICIENCY APT/AUBT"},
	{Name: "state.<resource>.<state>", Unit: "%", Definition: "time of a resource in one state; the states add up to 100 %", Formula: "time in the state / all time"},
}

// MeasureCatalogue returns the measures by pattern, with their definitions.
func MeasureCatalogue() []*Measure {
	var all []*Measure
	for i := range definitions {
		m := definitions[i]
		all = append(all, &m)
	}
	return all
}

// catalogue builds the measures of one plant from the counters of a layout.
type catalogue struct {
	r   *run
	p   *Plant
	all []*Measure
}

func newCatalogue(p *Plant, layout *run) *catalogue {
	c := &catalogue{r: layout, p: p}
	c.output()
	c.stock()
	c.leads()
	c.windows()
	c.losses()
	c.kilns()
	c.money()
	c.resources()
	return c
}

// add makes the measure of a pattern under its name in this plant.
func (c *catalogue) add(pattern, name string, scale float64, num, den []term) *Measure {
	for i := range definitions {
		if definitions[i].Name == pattern {
			m := definitions[i]
			m.Name, m.scale, m.num, m.den = name, scale, num, den
			m.Unit = strings.Replace(m.Unit, "money", c.p.works.Currency, 1)
			c.all = append(c.all, &m)
			return &m
		}
	}
	panic("plant: no definition of measure " + pattern)
}

// of sums counters by name, each once.
func (c *catalogue) of(names ...string) []term {
	var sum []term
	for _, n := range names {
		k, ok := c.r.led.index[n]
		if !ok {
			panic("plant: no counter " + n)
		}
		sum = append(sum, term{k, 1})
	}
	return sum
}

// wares sums a counter over all wares.
func (c *catalogue) wares(what string) []term {
	var names []string
	for i := range c.r.wares {
		names = append(names, what+"."+c.r.wares[i].name)
	}
	return c.of(names...)
}

func (c *catalogue) weeks() []term { return c.of("weeks") }

func (c *catalogue) output() {
	c.add("packed.total", "packed.total", 1, c.wares("packed"), c.weeks())
	for i := range c.r.wares {
		w := c.r.wares[i].name
		c.add("packed.<ware>", "packed."+w, 1, c.of("packed."+w), c.weeks())
		if g := &c.r.wares[i].in.Yields; g.FirstFire.B > 0 || g.LaterFire.B > 0 {
			c.add("seconds.<ware>", "seconds."+w, 1, c.of("seconds."+w), c.weeks())
		}
	}
	c.add("cast.total", "cast.total", 1, c.wares("cast"), c.weeks())
	for i := range c.r.wares {
		w := c.r.wares[i].name
		c.add("cast.<ware>", "cast."+w, 1, c.of("cast."+w), c.weeks())
	}
	c.add("yield.total", "yield.total", percent, c.wares("packed"), c.wares("cast"))
	for i := range c.r.wares {
		w := c.r.wares[i].name
		c.add("yield.<ware>", "yield."+w, percent, c.of("packed."+w), c.of("cast."+w))
	}
}

// stock is work in process, over all hours and over working time.
func (c *catalogue) stock() {
	area := func(what, section string) []term {
		var names []string
		for i := range c.r.wares {
			names = append(names, what+section+"."+c.r.wares[i].name)
		}
		return c.of(names...)
	}
	less := func(all, off []term) []term {
		out := append([]term(nil), all...)
		for _, t := range off {
			out = append(out, term{t.counter, -t.times})
		}
		return out
	}
	var total, off []term
	for _, s := range sectionNames {
		total = append(total, area("area.", s)...)
		off = append(off, area("area.off.", s)...)
	}
	time := c.of("time.elapsed")
	c.add("wip.total", "wip.total", 1, total, time)
	for _, s := range sectionNames {
		c.add("wip.<section>", "wip."+s, 1, area("area.", s), time)
	}
	if c.p.works.WorkingTime == "" {
		return
	}
	work := less(time, c.of("time.off"))
	c.add("wip_working.total", "wip_working.total", 1, less(total, off), work)
	for _, s := range sectionNames {
		c.add("wip_working.<section>", "wip_working."+s, 1, less(area("area.", s), area("area.off.", s)), work)
	}
}

func (c *catalogue) leads() {
	count := c.of("lead.count")
	c.add("lead_time.mean", "lead_time.mean", perHour, c.of("lead.sum"), count)
	for _, q := range []struct {
		name string
		p    float64
	}{{"lead_time.p50", 0.50}, {"lead_time.p80", 0.80}, {"lead_time.p95", 0.95}} {
		c.add(q.name, q.name, perHour, nil, nil).quantile = q.p
	}
	if c.p.works.WorkingTime != "" {
		c.add("lead_time.working_days", "lead_time.working_days", perDay, c.of("lead.working-time"), count)
	}
	for _, part := range partNames {
		c.add("lead.<part>", "lead."+part, perHour, c.of("lead."+part), count)
	}
}

func (c *catalogue) windows() {
	told := false
	for i := range c.r.wares {
		if c.r.wares[i].in.Window == nil {
			continue
		}
		w := c.r.wares[i].name
		if !told {
			c.add("window.late", "window.late", percent, c.wares("window.late"), c.wares("window.punched"))
			c.add("window.early", "window.early", percent, c.wares("window.early"), c.wares("window.punched"))
			c.add("window.too_dry", "window.too_dry", 1, c.wares("window.too_dry"), c.weeks())
			told = true
		}
		c.add("window.late.<ware>", "window.late."+w, percent, c.of("window.late."+w), c.of("window.punched."+w))
		c.add("window.too_dry.<ware>", "window.too_dry."+w, 1, c.of("window.too_dry."+w), c.weeks())
	}
}

func (c *catalogue) losses() {
	for _, name := range c.r.led.names {
		if strings.HasPrefix(name, "lost.") {
			c.add("lost.<stage>.<cause>", name, 1, c.of(name), c.weeks())
		}
	}
	c.add("refires.total", "refires.total", 1, c.wares("refires"), c.weeks())
	c.add("firings.per_good", "firings.per_good", 1, c.wares("firings"), c.wares("packed"))
	c.add("escaped", "escaped", 1, c.of("escaped"), c.weeks())
	c.slip()
	for i := range c.r.wares {
		w := c.r.wares[i].name
		c.add("moulds.worn.<ware>", "moulds.worn."+w, 1, c.of("moulds.worn."+w), c.weeks())
	}
}

// slip is what is poured, and what of it is neither drained back nor reclaimed.
func (c *catalogue) slip() {
	var poured, fresh []term
	for i := range c.r.wares {
		in := c.r.wares[i].in
		cast, clay := c.r.wares[i].cast, c.r.wares[i].clay
		poured = append(poured, term{cast, int64(in.Slip)})
		fresh = append(fresh, term{cast, int64(float64(float64(in.Slip)*(1-float64(in.SlipReturn))) + 0.5)}, term{clay, -int64(in.Wet)})
	}
	const perKg = 1e-3
	c.add("slip.poured", "slip.poured", perKg, poured, c.weeks())
	c.add("slip.fresh", "slip.fresh", perKg, fresh, c.weeks())
}

// kilns is what kilns and dryers burn and how full the kilns run.
func (c *catalogue) kilns() {
	var fuel []string
	for k := range c.p.works.Kilns {
		kiln := &c.p.works.Kilns[k]
		name := "kiln." + kiln.Name
		all := c.of(name+".full", name+".part", name+".empty")
		c.add("kiln.<kiln>.full", name+".full", percent, c.of(name+".full"), all)
		c.add("kiln.<kiln>.part", name+".part", percent, c.of(name+".part"), all)
		if kiln.Kind != "shuttle" {
			c.add("kiln.<kiln>.empty", name+".empty", percent, c.of(name+".empty"), all)
		}
		c.add("kiln.<kiln>.firings", name+".firings", 1, c.of(name+".full", name+".part"), c.weeks())
		if kiln.Kind == "tunnel" {
			c.add("kiln.<kiln>.cars", name+".cars", 1, c.of(name+".cars"), c.weeks())
		}
		c.weekend(name + ".weekend.")
		fuel = append(fuel, "fuel."+kiln.Name)
	}
	for k := range c.p.works.Dryers {
		fuel = append(fuel, "fuel."+c.p.works.Dryers[k].Name)
	}
	c.add("fuel.week", "fuel.week", perGJ, c.of(fuel...), c.weeks())
	for _, f := range fuel {
		c.add("fuel.<place>", f, perGJ, c.of(f), c.weeks())
	}
	c.add("energy.per_good", "energy.per_good", perMJ, c.of(fuel...), c.wares("packed"))
	c.add("co2.per_good", "co2.per_good", perGJ*float64(c.p.works.Fuel.Carbon), c.of(fuel...), c.wares("packed"))
}

// weekend is the store before a kiln over the rests, if it keeps account of one.
func (c *catalogue) weekend(name string) {
	if _, ok := c.r.led.index[name+"rests"]; !ok {
		return
	}
	const perLoad = 1e-3
	rests := c.of(name + "rests")
	c.add("kiln.<kiln>.weekend.held", name+"held", perLoad, c.of(name+"held"), rests)
	c.add("kiln.<kiln>.weekend.pieces", name+"pieces", 1, c.of(name+"pieces"), rests)
	c.add("kiln.<kiln>.weekend.least", name+"least", perLoad, c.of(name+"least"), rests)
}

// costLines are the lines of the direct cost.
func costLines() []string {
	var lines []string
	for _, s := range stageNames {
		lines = append(lines, "cost."+s)
	}
	return append(lines, "cost.wages", "cost.moulds", "cost.cases", "cost.gas", "cost.disposal", "cost.reclaim")
}

func (c *catalogue) money() {
	var have []string
	for _, line := range costLines() {
		if _, ok := c.r.led.index[line]; ok {
			have = append(have, line)
		}
	}
	c.add("cost.per_good", "cost.per_good", money, c.of(have...), c.wares("packed"))
	for _, line := range have {
		c.add("cost.<line>", line, money, c.of(line), c.weeks())
	}
	sold := false
	for i := range c.p.works.Ware {
		sold = sold || c.p.works.Ware[i].Price > 0
	}
	if !sold {
		return // without prices there is nothing to contribute
	}
	less := c.of("revenue")
	for _, t := range c.of(have...) {
		less = append(less, term{t.counter, -1})
	}
	c.add("contribution", "contribution", money, less, c.weeks())
}

// resources is the time by state and the load of each resource.
func (c *catalogue) resources() {
	for _, res := range c.r.resources {
		var all []string
		for _, s := range res.states {
			all = append(all, "state."+res.name+"."+s)
		}
		num, den := c.load(res, all)
		c.add("load.<resource>", "load."+res.name, percent, num, den)
		for k, s := range res.states {
			c.add("state.<resource>.<state>", "state."+res.name+"."+s, percent, c.of(all[k]), c.of(all...))
		}
	}
	c.mouldShop()
}

// mouldShopName and caseSets name what pours moulds where its load is told.
const mouldShopName = "mould shop"

func caseSets(ware string) string { return "case sets of " + ware }

// mouldShop is the load of the mould shop: of its people, and of the case sets of
// each ware. Benches that lack moulds are not ready, so that only this shows what
// keeps them back.
func (c *catalogue) mouldShop() {
	s := c.p.works.MouldShop
	if s == nil {
		return
	}
	var poured []string
	for k := range s.Moulds {
		ware := s.Moulds[k].Name
		poured = append(poured, "moulds.poured."+ware)
		c.add("load.<resource>", "load."+caseSets(ware), percent, c.of("moulds.poured."+ware), c.of("moulds.could."+ware))
	}
	c.add("load.<resource>", "load."+mouldShopName, percent, c.of(poured...), c.of("moulds.could"))
}

// loadsByClock tells whether a dryer of chambers is loaded at fixed times.
func (p *Plant) loadsByClock(name string) bool {
	for k := range p.works.Dryers {
		if d := &p.works.Dryers[k]; d.Name == name {
			return d.Kind == "chamber" && d.Load == "clock"
		}
	}
	return false
}

// load is the use of a resource and the time, or the chances, it was there to
// be used. State 0 is off shift, or free, or waiting; state 1 of presses is idle.
func (c *catalogue) load(res *resource, states []string) (num, den []term) {
	switch {
	case res.kind == "crew":
		return c.of(states[handsThere:]...), c.of(states[handIdle:]...)
	case res.kind == "press":
		return c.of(states[2:]...), c.of(states[1:]...)
	case res.kind == "bench":
		return c.of("bench." + res.name + ".filled"), c.of("bench." + res.name + ".ready")
	case res.kind == "dryer" && c.p.loadsByClock(res.name):
		return c.of("dryer." + res.name + ".taken"), c.of("dryer." + res.name + ".offered")
	case res.kind == "kiln" && len(res.states) == len(tunnelStateNames):
		k := "kiln." + res.name
		return c.of(k+".full", k+".part"), c.of(k+".full", k+".part", k+".empty")
	}
	return c.of(states[1:]...), c.of(states...)
}
