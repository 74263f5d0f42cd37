package plant

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// Hand is the estimate that a planner makes by hand: averages, no queues. It
// is told before any run and beside the simulated figures.
type Hand struct {
	Values      []HandValue
	Departments []Department
	Binding     string // which department binds, with its figures
}

// HandValue is one figure of the estimate, under the name of a measure.
type HandValue struct {
	Name  string
	Value float64
	Unit  string
	How   string // the sum in words
}

// Department is the load of one department by hand.
type Department struct {
	Name     string
	Capacity float64
	Need     float64
	Unit     string
	Load     float64 // need over capacity; +Inf where there is a need and no capacity
	How      string
}

// Value returns the figure of a measure, if the estimate has one.
func (h *Hand) Value(name string) (float64, bool) {
	for _, v := range h.Values {
		if v.Name == name {
			return v.Value, true
		}
	}
	return 0, false
}

// flow is the pieces of one ware at each stage, per week.
type flow struct {
	ware                                                       *Ware
	cast, dried, passed, glazed, fired, refires, good, seconds float64
	tested                                                     float64
	missed                                                     float64 // with a fault that white inspection missed
}

// estimator works out the estimate.
type estimator struct {
	p     *Plant
	w     *Works
	weeks float64
	flows []flow
	h     *Hand
	crew  map[string]float64 // hours needed, by crew
	fuel  map[string]float64 // GJ a week, by kiln or dryer
}

// estimate is the hand calculation of the works: flows from plan and yields,
// then the load of every department, then energy and cost.
func (p *Plant) estimate() *Hand {
	e := &estimator{p: p, w: p.works, weeks: float64(p.Weeks()), h: &Hand{}, crew: map[string]float64{}, fuel: map[string]float64{}}
	for i := range e.w.Ware {
		w := &e.w.Ware[i]
		e.flows = append(e.flows, e.through(w, e.weeklyCasts(w)))
	}
	e.casting()
	e.clay()
	e.kilns()
	e.firedWare()
	e.crews()
	e.bind()
	e.figures()
	return e.h
}

// through carries so many casts of a ware through its yields.
func (e *estimator) through(w *Ware, casts float64) flow {
	y := &w.Yields
	f := flow{ware: w, cast: casts}
	f.dried = f.cast * float64(y.Casting)
	good, finds, alarm := float64(y.White), 1.0, 0.0
	if e.w.White == nil {
		good = 1
	} else {
		finds, alarm = float64(e.w.White.Finds), float64(e.w.White.FalseAlarm)
	}
	missed := float64((1 - good) * (1 - finds))
	f.passed = f.dried * (float64(good*(1-alarm)) + missed)
	f.glazed = f.passed
	glaze := 1.0
	if e.w.Glazing != nil {
		glaze = float64(y.Glaze)
	}
	f.fired = float64(f.glazed * glaze)
	f.missed = float64(f.dried * missed * glaze)
	sound := f.fired - f.missed
	a, b := sound*float64(y.FirstFire.A), sound*float64(y.FirstFire.B)
	if again := sound * float64(y.FirstFire.Refire); e.w.Refire != nil {
		for range e.w.Refire.Most {
			f.refires += again
			a += float64(again * float64(y.LaterFire.A))
			b += float64(again * float64(y.LaterFire.B))
			again *= float64(y.LaterFire.Refire)
		}
	}
	f.tested = a
	f.good = a
	if e.isTested(w.Name) {
		f.good *= float64(y.Test)
	}
	f.good *= 1 - float64(y.Breakage)
	f.seconds = b * (1 - float64(y.Breakage))
	return f
}

// overallYield is the good pieces expected of one cast of a ware.
func (p *Plant) overallYield(w *Ware) float64 {
	e := &estimator{p: p, w: p.works}
	return e.through(w, 1).good
}

// Yield is the good pieces expected of one cast of a ware, refires included.
func (p *Plant) Yield(ware string) float64 { return p.overallYield(&p.works.Ware[p.wareNo(ware)]) }

func (e *estimator) isTested(ware string) bool {
	for k := range e.w.Tests {
		if e.p.waresOf(e.w.Tests[k].Ware)[e.p.wareNo(ware)] {
			return true
		}
	}
	return false
}

// weeklyCasts is the plan of a ware, as far as its benches and presses can
// cast it; without a plan, all they can.
func (e *estimator) weeklyCasts(w *Ware) float64 {
	can := 0.0
	for k := range e.w.Benches {
		if b := &e.w.Benches[k]; b.Ware == w.Name {
			can += e.benchCasts(b)
		}
	}
	for k := range e.w.Presses {
		if m := &e.w.Presses[k]; m.Ware == w.Name {
			can += e.pressCasts(m)
		}
	}
	if w.Plan == 0 {
		return can
	}
	return min(can, e.planned(w))
}

// planned is the plan of a ware per week.
func (e *estimator) planned(w *Ware) float64 {
	days := 0
	for _, t := range e.p.castDays[w.Name] {
		if t < e.w.Run.Length {
			days++
		}
	}
	return float64(w.Plan) * float64(days) / e.weeks
}

// benchCasts is what a group of benches can cast in a week: places in use
// times the rounds that the shifts allow.
func (e *estimator) benchCasts(b *Bench) float64 {
	return float64(float64(b.Count*b.Moulds) * (1 - float64(b.Idle)) * e.p.BenchRounds(b))
}

// mostRounds is how many rounds of a bench are enough to know its rate.
const mostRounds = 10_000

// BenchRounds is how many casts a week a mould of the bench can make, from the
// hours of its casters alone: the staircase over cover hours.
func (p *Plant) BenchRounds(b *Bench) float64 {
	horizon := min(4*des.Week, p.works.Run.Length)
	n, last := 0, des.Time(0)
	p.rounds(b, horizon, func(_, emptied des.Time) { n, last = n+1, emptied })
	if n == mostRounds {
		horizon = max(1, last)
	}
	return float64(n) * float64(des.Week) / float64(horizon)
}

// rounds steps through the rounds that a bench can begin before a horizon, if
// casters and moulds are always to be had, and tells when each is opened and
// when its last piece is out.
func (p *Plant) rounds(b *Bench, horizon des.Time, each func(opened, emptied des.Time)) {
	h := p.crewHours(b.Crew)
	build, touches := p.buildSpan(b), p.Touches(b)
	open := touches.Open(b.Moulds)
	t := des.Time(0)
	for range mostRounds {
		fill := earliest(h, t, touches.Fill, touches.Fill+build, touches.Drain)
		if fill >= horizon {
			return
		}
		opened := earliest(h, fill+touches.Fill+build+touches.Drain+b.Set, open, 0, 0)
		if opened == des.Never {
			return
		}
		emptied := opened + open
		each(opened, emptied)
		cleaned := emptied
		if b.Clean > 0 {
			if cleaned = earliest(h, emptied, touches.Clean, 0, 0); cleaned == des.Never {
				return
			}
			cleaned += touches.Clean
		}
		t = max(cleaned, emptied+b.DryBack)
	}
}

// earliest is the first instant from t at which a touch of some span fits an
// opening, and so does a second touch a fixed time after the first begins.
func earliest(h *des.Hours, t, span, later, second des.Time) des.Time {
	fits := func(at, span des.Time) bool {
		iv, ok := h.At(at)
		return ok && at+span <= iv.Close
	}
	for range 100000 {
		t = h.NextOpen(t)
		if t == des.Never {
			return t
		}
		if !fits(t, span) {
			t = h.NextClose(t)
			continue
		}
		if second == 0 || fits(t+later, second) {
			return t
		}
		from := t + later
		if iv, ok := h.At(from); ok {
			from = iv.Close
		}
		next := h.NextOpen(from)
		if next == des.Never {
			return next
		}
		t = max(t+1, next-later)
	}
	return des.Never
}

// pressCasts is what a group of presses can cast in a week.
func (e *estimator) pressCasts(m *Press) float64 {
	hours := e.open(e.p.hours[m.Hours])
	cycle := m.Cycle.Mean() / float64(des.Hour) / float64(m.Effective)
	up := 1.0
	if m.Breakdowns != nil {
		b, r := m.Breakdowns.Between.Mean(), m.Breakdowns.Repair.Mean()
		up = b / (b + r)
	}
	return float64(m.Count*m.Cavities) * hours / cycle * up
}

// open is the mean open hours of a week.
func (e *estimator) open(h *des.Hours) float64 {
	if h == nil {
		return 168
	}
	return float64(h.OpenBetween(0, e.w.Run.Length)) / float64(des.Hour) / e.weeks
}

// department adds the load of one.
func (e *estimator) department(name string, capacity, need float64, unit, how string, args ...any) {
	load := 0.0
	if need > 0 {
		load = need / capacity
	}
	e.h.Departments = append(e.h.Departments, Department{Name: name, Capacity: capacity, Need: need, Unit: unit, Load: load, How: fmt.Sprintf(how, args...)})
}

// casting is the load of benches, presses, casters and the mould shop.
func (e *estimator) casting() {
	share := func(ware string, mine float64) float64 {
		can := 0.0
		for k := range e.w.Benches {
			if e.w.Benches[k].Ware == ware {
				can += e.benchCasts(&e.w.Benches[k])
			}
		}
		for k := range e.w.Presses {
			if e.w.Presses[k].Ware == ware {
				can += e.pressCasts(&e.w.Presses[k])
			}
		}
		w := &e.w.Ware[e.p.wareNo(ware)]
		need := can
		if w.Plan > 0 {
			need = e.planned(w)
		}
		if can == 0 {
			return need
		}
		return need * mine / can
	}
	for k := range e.w.Benches {
		b := &e.w.Benches[k]
		can := e.benchCasts(b)
		e.department(b.Name, can, share(b.Ware, can), "casts/wk", "%d x %d places, %.3g %% idle, %.3g casts a week each", b.Count, b.Moulds, 100*float64(b.Idle), e.p.BenchRounds(b))
		perPiece := (float64(b.Fill+b.Drain+b.Clean)*float64(b.Casters)/float64(b.Moulds) + float64(b.Open)) / float64(des.Hour)
		e.crew[b.Crew] += float64(perPiece * min(can, share(b.Ware, can)))
	}
	for k := range e.w.Presses {
		m := &e.w.Presses[k]
		can := e.pressCasts(m)
		e.department(m.Name, can, share(m.Ware, can), "casts/wk", "%d x %d cavities, cycle %.4g min of effective time", m.Count, m.Cavities, m.Cycle.Mean()/float64(des.Minute)/float64(m.Effective))
	}
	s := e.w.MouldShop
	if s == nil {
		return
	}
	openings := 0
	for _, t := range e.p.workingDays(e.p.hours[s.Hours]) {
		if t < e.w.Run.Length {
			openings++
		}
	}
	need := 0.0
	for _, m := range s.Moulds {
		worn := e.flows[e.p.wareNo(m.Name)].cast / e.p.mouldLife(m.Name).Mean()
		e.department(caseSets(m.Name), float64(m.Cases*m.PoursDay*openings)/e.weeks, worn, "moulds/wk", "%d sets, %d pours a day from each", m.Cases, m.PoursDay)
		need += worn
	}
	e.department(mouldShopName, float64(s.PerDay*openings)/e.weeks, need, "moulds/wk", "%d a day; casts over mould life", s.PerDay)
}

// mean returns the mean of a law of times for a ware in hours.
func mean(p PerWare[random.Law], ware string) float64 {
	if l, ok := p.For(ware); ok && l != nil {
		return l.Mean() / float64(des.Hour)
	}
	return 0
}

// clay is the load of finishing, dryers, white inspection and glazing.
func (e *estimator) clay() {
	for _, f := range e.flows {
		w := f.ware.Name
		if in := e.w.Finishing; in != nil {
			e.crew[in.Crew] += float64(f.cast * (mean(in.Punch, w) + mean(in.Finish, w)))
		}
		if in := e.w.White; in != nil {
			e.crew[in.Crew] += float64(f.dried * mean(in.Time, w))
		}
	}
	e.windowLoad()
	for k := range e.w.Dryers {
		e.dryer(&e.w.Dryers[k])
	}
	if e.w.Glazing == nil {
		return
	}
	for k := range e.w.Glazing.Booths {
		e.booth(&e.w.Glazing.Booths[k])
	}
}

// windowLoad is the load of the punching places over the span of the windows
// of one day's bench: the least people that hours alone do not show.
func (e *estimator) windowLoad() {
	in := e.w.Finishing
	if in == nil || in.Places == 0 {
		return
	}
	for k := range e.w.Benches {
		b := &e.w.Benches[k]
		w := &e.w.Ware[e.p.wareNo(b.Ware)]
		if w.Window == nil || mean(in.Punch, w.Name) == 0 {
			continue
		}
		long := w.Window.Until - w.Window.After
		if w.Window.Until == 0 {
			air := newAir(&e.w.Shop, nil)
			long = des.Time(drying(float64(w.Window.Opens), float64(w.Window.Closes), air.rate))
		}
		touches := e.p.Touches(b)
		whole := float64(long+touches.Open(b.Moulds)) / float64(des.Hour)
		rounds := e.p.BenchRounds(b)
		days := min(rounds, e.castDays(w.Name))
		e.department("punching "+w.Name+" in its window", float64(in.Places)*whole*days/mean(in.Punch, w.Name), e.flows[e.p.wareNo(w.Name)].cast, "pieces/wk",
			"%d places x %.3g h from the first opening to the last closing of a day", in.Places, whole)
	}
}

func (e *estimator) castDays(ware string) float64 {
	days := 0
	for _, t := range e.p.castDays[ware] {
		if t < e.w.Run.Length {
			days++
		}
	}
	return float64(days) / e.weeks
}

func (e *estimator) dryer(d *Dryer) {
	need := 0.0
	for i, takes := range e.p.waresOf(d.Ware) {
		if takes {
			need += e.flows[i].dried / float64(e.flows[i].ware.PerTrolley) / float64(e.sharing(func(o *Dryer) bool { return e.p.waresOf(o.Ware)[i] }))
		}
		if takes {
			e.fuel[d.Name] += float64(e.flows[i].dried * float64(d.Energy) * 1e-6)
		}
	}
	e.fuel[d.Name] += float64(float64(d.Hot) * 168 * 1e-6)
	cycle := d.Cycle.Mean() / float64(des.Hour)
	loads := 168 / cycle
	places := d.Trolleys
	if d.Kind == "chamber" {
		places *= d.Count
		if d.Load == "clock" {
			openings := 0
			for _, iv := range e.p.hours[d.At].Intervals() {
				if iv.Open < e.w.Run.Length {
					openings++
				}
			}
			loads = min(loads, float64(openings)/e.weeks)
		}
	}
	e.department(d.Name, float64(places)*loads, need, "trolleys/wk", "%d places x %.3g loads a week", places, loads)
}

// sharing counts the dryers that may take the same ware.
func (e *estimator) sharing(takes func(*Dryer) bool) int {
	n := 0
	for k := range e.w.Dryers {
		if takes(&e.w.Dryers[k]) {
			n++
		}
	}
	return max(1, n)
}

// booth shares each ware among the booths that glaze it.
func (e *estimator) booth(b *Booth) {
	need := 0.0
	for i, takes := range e.p.waresOf(b.Ware) {
		if !takes {
			continue
		}
		n := 0
		for k := range e.w.Glazing.Booths {
			o := &e.w.Glazing.Booths[k]
			if e.p.waresOf(o.Ware)[i] {
				n += o.Count
			}
		}
		need += e.flows[i].glazed * mean(b.Time, e.flows[i].ware.Name) * float64(b.Count) / float64(n)
	}
	if b.Crew != "" && b.Breakdowns == nil {
		e.crew[b.Crew] += need
		return
	}
	hours := e.p.hours[b.Hours]
	if b.Crew != "" {
		hours = e.p.crewHours(b.Crew)
	}
	e.department(b.Name, float64(b.Count)*e.open(hours)*float64(b.Effective), need, "h/wk", "%d booths x %.4g h x %.3g %% effective", b.Count, e.open(hours), 100*float64(b.Effective))
}

// firedWare is the load of sorters, patchers, testers and packers.
func (e *estimator) firedWare() {
	for _, f := range e.flows {
		w := f.ware.Name
		if in := e.w.Sorting; in != nil {
			e.crew[in.Crew] += float64((f.fired + f.refires) * mean(in.Time, w))
		}
		if in := e.w.Refire; in != nil {
			e.crew[in.Crew] += float64(f.refires * mean(in.Time, w))
		}
		for k := range e.w.Tests {
			t := &e.w.Tests[k]
			if e.p.waresOf(t.Ware)[e.p.wareNo(w)] {
				e.crew[t.Crew] += float64(f.tested / float64(t.OneIn) * mean(t.Time, w))
			}
		}
		if in := e.w.Packing; in != nil {
			e.crew[in.Crew] += float64((f.good + f.seconds) * mean(in.Time, w))
		}
	}
}

// crews is the load of each crew: hours needed over hours attended and worked.
func (e *estimator) crews() {
	for k := range e.w.Crews {
		c := &e.w.Crews[k]
		need, ok := e.crew[c.Name]
		if !ok {
			continue
		}
		hours := 0.0
		for _, name := range sortedKeys(c.Roster) {
			hours += float64(float64(c.Roster[name]) * e.open(e.p.hours[name]))
		}
		e.department(c.Name, hours*(1-float64(c.Absence))*float64(c.Effective), need, "h/wk", "%.5g h rostered, %.3g %% absent, %.3g %% effective", hours, 100*float64(c.Absence), 100*float64(c.Effective))
	}
}

// bind names the department with the highest load.
func (e *estimator) bind() {
	best := -1
	for i := range e.h.Departments {
		if best < 0 || e.h.Departments[i].Load > e.h.Departments[best].Load {
			best = i
		}
	}
	if best < 0 {
		return
	}
	d := &e.h.Departments[best]
	verb := "is the tightest department"
	if d.Load > 1 {
		verb = "cannot do what is asked"
	}
	e.h.Binding = fmt.Sprintf("%s %s: %s %s needed of %s (%.0f %%)", d.Name, verb, quantity.Grouped(d.Need, 0), d.Unit, quantity.Grouped(d.Capacity, 0), 100*d.Load)
}

// figures writes the estimate under the names of the measures.
func (e *estimator) figures() {
	add := func(name string, value float64, unit, how string) {
		e.h.Values = append(e.h.Values, HandValue{name, value, unit, how})
	}
	var good, cast, refires, fired float64
	for _, f := range e.flows {
		w := f.ware.Name
		good, cast, refires, fired = good+f.good, cast+f.cast, refires+f.refires, fired+f.fired+f.refires
		add("packed."+w, f.good, "pieces/wk", "casts x yields")
		add("cast."+w, f.cast, "pieces/wk", "plan, or what the moulds allow")
		if f.cast > 0 {
			add("yield."+w, 100*f.good/f.cast, "%", "product of the yields, refires included")
		}
	}
	add("packed.total", good, "pieces/wk", "casts x yields")
	add("cast.total", cast, "pieces/wk", "plan, or what the moulds allow")
	add("refires.total", refires, "pieces/wk", "first fires x refire share")
	var fuel float64
	for _, name := range sortedKeys(e.fuel) {
		fuel += e.fuel[name]
		add("fuel."+name, e.fuel[name], "GJ/wk", "base + per car or firing + per kg")
	}
	add("fuel.week", fuel, "GJ/wk", "kilns and dryers")
	for i := range e.h.Departments {
		d := &e.h.Departments[i]
		if e.p.measured("load." + d.Name) {
			add("load."+d.Name, 100*d.Load, "%", d.How)
		}
	}
	if good == 0 {
		return
	}
	add("yield.total", 100*good/cast, "%", "packed / cast")
	add("energy.per_good", 1000*fuel/good, "MJ/piece", "fuel / good pieces")
	add("co2.per_good", fuel*float64(e.w.Fuel.Carbon)/good, "kg/piece", "fuel x carbon factor / good pieces")
	add("firings.per_good", fired/good, "firings/piece", "first fires and refires / good pieces")
	e.wip(add)
	e.cost(add, good, fuel)
}

// measured tells whether the plant has a measure of the name.
func (p *Plant) measured(name string) bool {
	for _, m := range p.measures {
		if m.Name == name {
			return true
		}
	}
	return false
}
