package plant

import (
	"math"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// departments checks each department against the rest of the works.
func (c *checker) departments() {
	for i := range c.w.Ware {
		c.ware(&c.w.Ware[i])
	}
	c.crews()
	c.distinct()
	c.shop()
	for k := range c.w.Benches {
		c.bench(&c.w.Benches[k])
	}
	for k := range c.w.Presses {
		c.press(&c.w.Presses[k])
	}
	c.mouldShop()
	c.suites()
	c.clayTimes()
	for k := range c.w.Dryers {
		c.dryer(&c.w.Dryers[k])
	}
	c.firedTimes()
	for k := range c.w.Kilns {
		c.kiln(&c.w.Kilns[k])
	}
	c.covered()
}

// ware checks masses, grades and the window of a ware.
func (c *checker) ware(w *Ware) {
	path := "ware." + w.Name
	if w.Name == "total" || w.Name == "others" {
		c.fault(path, "choose another name", "%q means all wares together and cannot name one", w.Name)
	}
	positive(c, path+".per-trolley", w.PerTrolley, "give the pieces on one trolley")
	if !(w.Fired < w.Dry && w.Dry < w.Wet) {
		c.fault(path+".fired-mass", "give fired-mass, dry-mass and wet-mass of the same piece", "a piece loses mass in drying and firing: wet %v, dry %v, fired %v", w.Wet, w.Dry, w.Fired)
	}
	for name, g := range map[string]*Grades{"first-fire": &w.Yields.FirstFire, "refire": &w.Yields.LaterFire} {
		if g.scrap() < -1e-9 {
			c.fault(path+".yields."+name, "what a, b and refire leave over is scrap", "the grades add up to more than 100 %%")
		}
	}
	for name, faults := range map[string]map[string]quantity.Share{"white-faults": w.Yields.WhiteFault, "fired-faults": w.Yields.FiredFault} {
		sum := 0.0
		for _, k := range sortedKeys(faults) {
			sum += float64(faults[k])
		}
		if len(faults) > 0 && math.Abs(sum-1) > 1e-6 {
			c.fault(path+".yields."+name, "give the share of each fault in all of them", "the shares add up to %.4g %%, not to 100 %%", 100*sum)
		}
	}
	if w.Yields.FirstFire.Refire > 0 && c.w.Refire == nil {
		c.warn(path+".yields.first-fire.refire", "add refire: with a crew and a time, or send them to scrap", "pieces are to be fired again but there is no refire section: they are scrap")
	}
	c.luck(path+".yields.day-correlation", 1-float64(w.Yields.White), float64(w.Yields.DayLuck))
	c.luck(path+".yields.car-correlation", w.Yields.FirstFire.scrap(), float64(w.Yields.CarLuck))
	c.luck(path+".yields.car-correlation", w.Yields.LaterFire.scrap(), float64(w.Yields.CarLuck))
	if win := w.Window; win != nil {
		c.window(path+".window", win, w.Name)
	}
}

// luck checks that a share can vary from batch to batch as it is asked to.
func (c *checker) luck(path string, p, correlation float64) {
	if correlation == 0 || p < noScrap || p > 1-noScrap {
		return
	}
	if _, err := random.NewOverdispersed(p, correlation); err != nil {
		c.fault(path, "give a smaller correlation, or none", "a share of %.3g %% cannot vary with a correlation of %.3g %%", 100*p, 100*correlation)
	}
}

func (c *checker) window(path string, w *Window, ware string) {
	if _, punched := c.punchTime(ware); w.Eager && !punched {
		c.fault(path+".punch-early", "give finishing a punch time for the ware, or leave it out", "%s is not punched", ware)
	}
	switch {
	case w.Until > 0 && w.Until <= w.After:
		c.fault(path+".until", "give after, then a later until", "the window closes before it opens")
	case w.Until == 0 && w.Opens == 0:
		c.fault(path, "give opens and closes in % moisture, or after and until in time", "the window has no bounds")
	case w.Until == 0 && w.Closes >= w.Opens:
		c.fault(path+".closes", "ware dries: closes must be below opens", "the window closes at %v, before it opens at %v", w.Closes, w.Opens)
	case w.Until == 0 && w.Refuse > w.Closes:
		c.fault(path+".refuse-below", "it must lie below closes", "ware is refused while its window is still open")
	}
	if w.InDryer && w.Until > 0 {
		c.fault(path+".stiffen-in-dryer", "give opens and closes in % moisture", "stiffening in a dryer needs a window by moisture")
	}
	if w.InDryer {
		for _, d := range c.w.Dryers {
			if d.Kind != "chamber" && c.p.waresOf(d.Ware)[c.p.wareNo(ware)] {
				return
			}
		}
		c.fault(path+".stiffen-in-dryer", "add a dryer of kind tunnel or floor", "no dryer can be visited twice: chambers keep their load to the end")
	}
}

// crews checks rosters, and that casters do nothing else.
func (c *checker) crews() {
	cast := map[string]bool{}
	for _, b := range c.w.Benches {
		cast[b.Crew] = true
	}
	for _, u := range c.desks() {
		if cast[u.crew] {
			c.fault(u.path, "give the department a crew of its own", "crew %s casts at benches and cannot serve here too", u.crew)
		}
	}
	for _, k := range c.w.Crews {
		path := "crews." + k.Name
		if len(k.Roster) == 0 {
			c.fault(path+".roster", "write heads by working hours, e.g. {day: 4}", "the crew has no heads")
		}
		for _, h := range sortedKeys(k.Roster) {
			if k.Roster[h] < 0 || k.Roster[h] > 100_000 {
				c.fault(path+".roster."+h, "give a whole number of heads", "heads must lie between 0 and 100000, got %d", k.Roster[h])
			}
			// Who is away is drawn as hours open, so of hours that never close only once.
			if hours := c.p.hours[h]; k.Absence > 0 && hours != nil && hours.Longest() > 2*des.Day {
				c.fault(path+".absence", "roster the crew by hours that close each day, one for each shift", "hours %s stay open for %v, but absence is drawn when they open", h, hours.Longest())
			}
		}
		if k.Effective <= 0 {
			c.fault(path+".effective", "leave it out for 100 %", "a crew that never works cannot be used")
		}
	}
}

// use is a crew named by a department.
type use struct{ path, crew string }

// desks lists the departments at which single hands work.
func (c *checker) desks() []use {
	var all []use
	add := func(path, crew string) {
		if crew != "" {
			all = append(all, use{path, crew})
		}
	}
	w := c.w
	if w.Finishing != nil {
		add("finishing.crew", w.Finishing.Crew)
	}
	if w.White != nil {
		add("white-inspection.crew", w.White.Crew)
	}
	if w.Glazing != nil {
		for _, b := range w.Glazing.Booths {
			add("glazing.booths."+b.Name+".crew", b.Crew)
		}
	}
	for _, k := range w.Kilns {
		add("kilns."+k.Name+".placers", k.Placers)
	}
	if w.Sorting != nil {
		add("sorting.crew", w.Sorting.Crew)
	}
	if w.Refire != nil {
		add("refire.crew", w.Refire.Crew)
	}
	for _, t := range w.Tests {
		add("tests."+t.Name+".crew", t.Crew)
	}
	if w.Packing != nil {
		add("packing.crew", w.Packing.Crew)
	}
	return all
}

// positive faults a count or a time that must be above zero.
func positive[T ~int | ~int64 | ~float64](c *checker, path string, v T, hint string) bool {
	if v > 0 {
		return true
	}
	c.fault(path, hint, "%s must be above zero", lastKey(path))
	return false
}

// lastKey is the last key of a path.
func lastKey(path string) string {
	for k := len(path) - 1; k >= 0; k-- {
		if path[k] == '.' {
			return path[k+1:]
		}
	}
	return path
}

// bench checks that each touch of a bench can be done on some shift.
func (c *checker) bench(b *Bench) {
	path := "benches." + b.Name
	ok := positive(c, path+".benches", b.Count, "give the benches of this kind") &&
		positive(c, path+".moulds", b.Moulds, "give the mould places of one bench") &&
		positive(c, path+".casters", b.Casters, "give the casters at one bench")
	if b.Build == 0 && b.Wall == 0 {
		c.fault(path+".build", "give wall and build-rate, or build", "how long the wall takes to build is not said")
		return
	}
	if b.Build == 0 && !positive(c, path+".build-rate", b.Rate, "give k in wall^2 = k x time") {
		return
	}
	if !ok || b.Damp <= 0 || b.Old <= 0 {
		if b.Damp <= 0 || b.Old <= 0 {
			c.fault(path+".damp-rate", "give a share above 0 %", "a mould that does not build casts nothing")
		}
		return
	}
	crew := c.p.crewNamed(b.Crew)
	heads, longest := 0, c.p.crewHours(b.Crew).Longest()
	for _, h := range sortedKeys(crew.Roster) {
		heads = max(heads, crew.Roster[h])
	}
	if heads < b.Casters {
		c.fault(path+".casters", "roster more casters, or fewer to a bench", "%d casters are wanted at once but crew %s has %d", b.Casters, b.Crew, heads)
	}
	touches := c.p.Touches(b)
	if c.p.BenchRounds(b) == 0 {
		c.fault(path, "lengthen the casters' shift, or shorten fill and drain", "no shift of crew %s lets a bench be filled and, %v later, drained", b.Crew, touches.Fill+c.p.buildSpan(b))
		return
	}
	if n := c.w.Shop.Floor; n > 0 && n < b.Moulds {
		c.fault("casting-shop.floor", "give room for at least one bench", "the floor holds %d pieces but one bench of %s casts %d", n, b.Name, b.Moulds)
	}
	if crew.InHand == "finish" || crew.InHand == "pause" {
		return
	}
	for _, ch := range b.Change {
		if need := touches.of(ch.Takes); crew.InHand == "fits" && need > longest || need/2 > longest {
			c.fault(path+".change-over."+ch.Name+".takes", "lengthen the shift, or let work in hand be finished", "the change takes %v, longer than any opening of crew %s (%v)", need, b.Crew, longest)
		}
	}
	for _, t := range []struct {
		key  string
		span des.Time
	}{{"fill", touches.Fill}, {"drain", touches.Drain}, {"demould", touches.Open(b.Moulds)}, {"clean", touches.Clean}} {
		if need := t.span; crew.InHand == "fits" && need > longest || need/2 > longest {
			c.fault(path+"."+t.key, "lengthen the shift, roster more casters, or let work in hand be finished", "%s takes %v, longer than any opening of crew %s (%v)", t.key, need, b.Crew, longest)
		}
	}
}

func (c *checker) press(m *Press) {
	path := "presses." + m.Name
	positive(c, path+".machines", m.Count, "give the machines of this kind")
	positive(c, path+".cavities", m.Cavities, "give the pieces of one cycle")
	positive(c, path+".effective", m.Effective, "leave it out for 100 %")
	c.lawAbove(path+".cycle", m.Cycle)
	c.breakdowns(path+".breakdowns", m.Breakdowns)
	if half := des.Time(m.Cycle.Mean() / 2 / max(0.01, float64(m.Effective))); half > c.p.hours[m.Hours].Longest() {
		c.fault(path+".cycle", "lengthen the hours", "half a cycle takes %v and never fits into the machine's hours (%v)", half, c.p.hours[m.Hours].Longest())
	}
}

// lawAbove faults a time that can be zero where it must pass.
func (c *checker) lawAbove(path string, l random.Law) {
	c.wild(path, l)
	if l.Mean() <= 0 || l.Max() < 1 {
		c.fault(path, "give a time of at least 1 ms", "%s must be above zero", lastKey(path))
	}
}

func (c *checker) breakdowns(path string, b *Breakdowns) {
	if b != nil {
		c.lawAbove(path+".between", b.Between)
	}
}

// times faults a table of times that leaves out a ware.
func (c *checker) times(path string, p PerWare[random.Law], takes []bool) {
	for i := range c.w.Ware {
		l, ok := p.For(c.w.Ware[i].Name)
		c.wild(path, l)
		if !ok && takes[i] {
			c.fault(path, "add it, or others: for all the rest", "no time is given for %s", c.w.Ware[i].Name)
		}
	}
}

// clayTimes checks the departments of unfired ware.
func (c *checker) clayTimes() {
	all := c.p.waresOf(nil)
	if f := c.w.Finishing; f != nil {
		c.times("finishing.finish", f.Finish, all)
		for i := range f.Tools {
			positive(c, "finishing.tools."+f.Tools[i].Name+".life", f.Tools[i].Life, "give the holes of one set")
		}
	}
	if w := c.w.White; w != nil {
		c.times("white-inspection.time", w.Time, all)
	}
	g := c.w.Glazing
	if g == nil {
		return
	}
	served := make([]bool, len(c.w.Ware))
	for k := range g.Booths {
		b := &g.Booths[k]
		path := "glazing.booths." + b.Name
		takes := c.p.waresOf(b.Ware)
		for i, t := range takes {
			served[i] = served[i] || t
		}
		c.times(path+".time", b.Time, takes)
		positive(c, path+".booths", b.Count, "give the booths of this kind")
		positive(c, path+".effective", b.Effective, "leave it out for 100 %")
		if b.Crew == "" && b.Hours == "" {
			c.fault(path, "name a crew, or hours for robots", "nobody works at %s", b.Name)
		}
		c.breakdowns(path+".breakdowns", b.Breakdowns)
	}
	for i, ok := range served {
		if !ok {
			c.fault("glazing.booths", "add it to the ware of a booth", "no booth glazes %s", c.w.Ware[i].Name)
		}
	}
}

func (c *checker) dryer(d *Dryer) {
	path := "dryers." + d.Name
	positive(c, path+".trolleys", d.Trolleys, "give a capacity of at least one trolley")
	positive(c, path+".chambers", d.Count, "give the chambers")
	c.lawAbove(path+".cycle", d.Cycle)
	if d.Load == "clock" && d.At == "" {
		c.fault(path+".at", "name the hours at whose opening chambers are loaded", "loading by the clock needs a time")
	}
	if d.Residual > 1 {
		c.warn(path+".residual-moisture", "dry longer; under 1 % is common practice", "ware leaves with %v moisture: a fast kiln may crack it", d.Residual)
	}
	if d.Rate <= 0 {
		c.fault(path+".stiffening-rate", "give a rate such as 3 %/h", "ware would never stiffen")
	}
}

// firedTimes checks the departments of fired ware.
func (c *checker) firedTimes() {
	all := c.p.waresOf(nil)
	if s := c.w.Sorting; s != nil {
		c.times("sorting.time", s.Time, all)
	}
	if f := c.w.Refire; f != nil {
		c.times("refire.time", f.Time, all)
		if f.Most < 0 || f.Most > 5 {
			c.fault("refire.most", "give a whole number from 0 to 5", "refires of one piece must lie between 0 and 5, got %d", f.Most)
		}
	}
	for k := range c.w.Tests {
		t := &c.w.Tests[k]
		c.times("tests."+t.Name+".time", t.Time, c.p.waresOf(t.Ware))
		positive(c, "tests."+t.Name+".one-in", t.OneIn, "1 tests every piece")
	}
	if k := c.w.Packing; k != nil {
		c.times("packing.time", k.Time, all)
	}
}

// covered checks that every ware is cast and fired somewhere.
func (c *checker) covered() {
	cast := map[string]bool{}
	for _, b := range c.w.Benches {
		cast[b.Ware] = true
		for _, ch := range b.Change {
			cast[ch.Ware] = true
		}
	}
	for _, m := range c.w.Presses {
		cast[m.Ware] = true
	}
	for i := range c.w.Ware {
		w := &c.w.Ware[i]
		if !cast[w.Name] {
			c.warn("ware."+w.Name, "add a bench or a press that casts it", "no bench makes %s", w.Name)
		}
		first, again := false, false
		for k := range c.w.Kilns {
			if _, ok := c.w.Kilns[k].Load.For(w.Name); ok && c.p.waresOf(c.w.Kilns[k].Ware)[i] {
				first = first || c.w.Kilns[k].Fires != "refire"
				again = again || c.w.Kilns[k].Fires != "first"
			}
		}
		if !first {
			c.fault("kilns", "add it to the load of a kiln", "no kiln fires %s", w.Name)
		}
		if !again && w.Yields.FirstFire.Refire > 0 && c.w.Refire != nil {
			c.fault("kilns", "let a kiln fire refires or both", "no kiln refires %s", w.Name)
		}
	}
	for i := range c.w.Ware {
		for _, d := range c.w.Dryers {
			if c.p.waresOf(d.Ware)[i] {
				goto dried
			}
		}
		if len(c.w.Dryers) > 0 {
			c.fault("dryers", "add it to the ware of a dryer", "no dryer takes %s", c.w.Ware[i].Name)
		}
	dried:
	}
}

// plausible warns of what the estimate by hand already shows.
func (c *checker) plausible(h *Hand) {
	c.windowCover()
	c.barren()
	c.burning(h)
	for i := range h.Departments {
		d := &h.Departments[i]
		switch load := d.Load; {
		case load > 1:
			c.warn("", "add capacity or plan less", "%s cannot do what is asked: %s %s needed of %s (%.0f %%)", d.Name, quantity.Grouped(d.Need, 0), d.Unit, quantity.Grouped(d.Capacity, 0), 100*load)
		case load > 0.98:
			c.warn("", "any stop there costs output", "%s runs at %.0f %% by hand", d.Name, 100*load)
		}
	}
}

// punchTime is the punching time of a ware, if it has one.
func (c *checker) punchTime(ware string) (random.Law, bool) {
	if c.w.Finishing == nil {
		return nil, false
	}
	return c.w.Finishing.Punch.For(ware)
}

// shop checks the air of the casting shop.
func (c *checker) shop() {
	s := &c.w.Shop
	if s.Humidity >= 1 {
		c.fault("casting-shop.humidity", "give the relative humidity of the shop air", "nothing dries at 100 %%")
	}
	positive(c, "casting-shop.drying-rate", s.Rate, "give a rate such as 1 %/h")
	if s.Temperature < 0 || s.Temperature > 60 {
		c.fault("casting-shop.temperature", "give the air temperature of the shop", "nobody casts at %v", s.Temperature)
	}
}

// mouldShop checks that every bench gets moulds, and from what.
func (c *checker) mouldShop() {
	m := c.w.MouldShop
	if m == nil {
		return
	}
	supplied := map[string]bool{}
	for i := range m.Moulds {
		s := &m.Moulds[i]
		path := "mould-shop.moulds." + s.Name
		supplied[s.Name] = true
		positive(c, path+".cases", s.Cases, "give the case sets in use")
		positive(c, path+".case-pours", s.CasePours, "give the pours in the life of a case")
		positive(c, path+".pours-per-case-day", s.PoursDay, "give the pours from one case in a day")
		positive(c, path+".block-sets", s.BlockSets, "give the case sets in the life of a block")
		if c.p.mouldLife(s.Name) == nil {
			c.fault(path, "cast it on a bench, or leave its moulds out", "no bench casts %s", s.Name)
		}
	}
	c.oneLife()
	for k := range c.w.Benches {
		b := &c.w.Benches[k]
		wares := []string{b.Ware}
		for _, ch := range b.Change {
			wares = append(wares, ch.Ware)
		}
		for _, w := range wares {
			if !supplied[w] {
				c.fault("mould-shop.moulds", "add "+w+": with order-up-to", "the mould shop makes no moulds of %s for %s", w, b.Name)
			}
		}
	}
}

// oneLife checks that the moulds of a ware, which the mould shop makes for all
// its benches, are said to last alike on each.
func (c *checker) oneLife() {
	first := map[string]*Bench{}
	for k := range c.w.Benches {
		b := &c.w.Benches[k]
		if o := first[b.Ware]; o == nil {
			first[b.Ware] = b
		} else if o.Life.String() != b.Life.String() {
			c.fault("benches."+b.Name+".mould-life", "give the moulds of one ware one life", "moulds of %s are said to last otherwise on %s", b.Ware, o.Name)
		}
	}
}

// suites checks that a piece belongs to one suite.
func (c *checker) suites() {
	if c.w.Packing == nil {
		return
	}
	owner := map[string]string{}
	for _, s := range c.w.Packing.Suites {
		for _, ware := range sortedKeys(s.Pieces) {
			path := "packing.suites." + s.Name + ".pieces." + ware
			positive(c, path, s.Pieces[ware], "give the pieces of it in one suite")
			if o := owner[ware]; o != "" {
				c.fault(path, "sell it in one suite only, or as a ware of its own name", "%s is already in suite %s", ware, o)
			}
			owner[ware] = s.Name
		}
	}
}

// distinct checks that no two things whose time is told share a name.
func (c *checker) distinct() {
	seen := map[string]string{}
	name := func(path, n string) {
		if first := seen[n]; first != "" {
			c.fault(path, "give each a name of its own", "%q also names %s", n, first)
			return
		}
		seen[n] = path
	}
	for _, k := range c.w.Crews {
		name("crews."+k.Name, k.Name)
	}
	for _, b := range c.w.Benches {
		name("benches."+b.Name, b.Name)
	}
	for _, m := range c.w.Presses {
		name("presses."+m.Name, m.Name)
	}
	for _, d := range c.w.Dryers {
		name("dryers."+d.Name, d.Name)
	}
	if c.w.Glazing != nil {
		for _, b := range c.w.Glazing.Booths {
			name("glazing.booths."+b.Name, b.Name)
		}
	}
	for _, k := range c.w.Kilns {
		name("kilns."+k.Name, k.Name)
	}
}
