package plant

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// kJPerKWh turns a price per kWh into one per kJ.
const kJPerKWh = 3600

// ErrStopped is returned by Simulate when Options.Stopped asked for the end.
var ErrStopped = errors.New("plant: run stopped before its end")

// StoppedError is ErrStopped with how far the run had come.
type StoppedError struct{ At des.Time }

func (e *StoppedError) Error() string { return fmt.Sprintf("%v, at %v", ErrStopped, e.At) }

// Is makes it ErrStopped.
func (e *StoppedError) Is(target error) bool { return target == ErrStopped }

// askEvery is how many events go by until a run looks whether it is to stop: a
// tenth of a second or so, whatever the works.
const askEvery = 1 << 17

// run is one replication: the works laid out, running, with its book.
type run struct {
	p    *Plant
	sim  *des.Sim
	deal *random.Dealer
	led  *ledger

	pieces []piece
	free   []pieceID
	timers []*pieceTimer
	serial uint64
	wares  []wareState
	herds  []herd

	castBell  *des.Bell
	plans     []*castPlan
	floor     floor
	air       *air
	moulds    mouldBook
	shop      *mouldShop
	benches   []*benchGroup
	presses   []*pressGroup
	finishing *finishing
	park      trolleyPark
	dryers    dryers
	white     *station
	glazing   *glazing
	buffer    buffer
	tunnels   []*tunnel
	shuttles  []*shuttles
	sorting   *station
	patching  *station
	patchCoat delay
	bays      []*bay
	packing   *packing
	orders    []*order
	bound     map[uint64]*order // pieces of the opening state that are for one order, by serial
	daily     *daily            // nil: not kept
	master    *master           // nil: no fault in the tooling is looked at

	crews     []*crew
	byName    map[string]*crew
	gangs     map[string]*gang
	gangOrder []*gang
	calls     []*crew // that look for work at this instant
	batch     int     // more than 0 while the pieces of a batch are passed on one by one
	resources []*resource
	payroll   payroll
	working   *des.Hours

	// Counters of the book.
	costs                                          [stages]int
	lost                                           losses
	lostValue, packedValue, reclaim, disposal, gas int
	revenue, escaped, leadSum, leadCount, leadWork int
	partCounts                                     [parts]int
	area, areaWork                                 []int // by herd
	timeOff, elapsed, weekCount                    int

	lostOf, openedOf []int64 // pieces, by ware
	gasMeter         meter
	fuelPaid         int64    // kJ
	atWork           bool     // working time is running
	offSince         des.Time // when off time was last booked
	leads            *LeadTimes
	allLeads         []*LeadTimes
	partsLaw         law
	watch            func(Observation)
	look             *Lookout
	sights           []sighting // by piece, while somebody watches
	stopped          func() bool
	weeks            int
}

// losses are the counters of the losses that any works may have.
type losses struct {
	casting, tooDry, falseAlarm, knocked, wrecked, missed, noRefire, broken int
}

// newRun lays out the works. Departments are laid out in the order of the
// flow, so that the counters of the book have the same numbers in every run.
func newRun(p *Plant, o Options) *run {
	w := p.works
	r := &run{
		p: p, sim: des.New(), deal: random.NewDealer(o.Source, o.Fixed), led: newLedger(),
		byName: map[string]*crew{}, gangs: map[string]*gang{}, leads: &LeadTimes{},
		watch: o.Observer, look: o.Lookout, stopped: o.Stopped, weeks: p.Weeks(), working: p.hours[w.WorkingTime],
	}
	if o.Weeks > 0 {
		r.weeks = o.Weeks
	}
	if o.Redeal != nil {
		r.deal.Redeal(o.Redeal.picks, o.Redeal.Source)
	}
	if o.Daily {
		r.daily = &daily{wares: len(w.Ware)}
	}
	r.castBell = r.sim.Bell("casting")
	r.layoutBook(w)
	r.master = r.newMaster(o.Master)
	r.air = newAir(&w.Shop, p.hours[w.Shop.Covered])
	r.floor = floor{r: r, limit: w.Shop.Floor}
	if r.floor.limit > 0 {
		r.floor.short = r.newScarce(floorName)
	}
	r.layoutCasting(w)
	r.layoutClay(w)
	r.layoutKilns(w)
	r.layoutFired(w)
	r.payroll = r.newPayroll(w.Crews)
	r.newOrders()
	if r.master != nil {
		r.master.lost = r.loss("quarantine", "bad master") // last: the other counters keep their numbers
	}
	return r
}

// layoutBook registers the counters that belong to no department.
func (r *run) layoutBook(w *Works) {
	n := len(w.Ware)
	for s, name := range stageNames {
		r.costs[s] = r.led.counter("cost." + name)
	}
	r.reclaim, r.disposal = r.led.counter("cost.reclaim"), r.led.counter("cost.disposal")
	r.lostValue, r.packedValue = r.led.counter("value.lost"), r.led.counter("value.packed")
	r.revenue, r.escaped = r.led.counter("revenue"), r.led.counter("escaped")
	r.lost = losses{
		casting: r.loss("finishing", "casting fault"), tooDry: r.loss("finishing", "too dry to punch"),
		falseAlarm: r.loss("white", "false alarm"), knocked: r.loss("glazing", "knock or wash-off"),
		wrecked: r.loss("firing", "car wreck"), missed: r.loss("firing", "fault missed at white"),
		noRefire: r.loss("firing", "no further refire"), broken: r.loss("packing", "breakage"),
	}
	for i := range w.Ware {
		r.wares = append(r.wares, r.newWare(&w.Ware[i]))
	}
	r.lostOf, r.openedOf = make([]int64, n), make([]int64, n)
	r.herds = make([]herd, n*int(sections))
	for i := range r.herds {
		name := sectionNames[i%int(sections)] + "." + w.Ware[i/int(sections)].Name
		r.area = append(r.area, r.led.counter("area."+name))
		r.areaWork = append(r.areaWork, r.led.counter("area.off."+name))
	}
	r.timeOff, r.elapsed, r.weekCount = r.led.counter("time.off"), r.led.counter("time.elapsed"), r.led.counter("weeks")
	r.gas, r.gasMeter = r.led.counter("cost.gas"), meter{per: kJPerKWh}
	for k, name := range partNames {
		r.partCounts[k] = r.led.counter("lead." + name)
	}
	r.leadSum, r.leadCount, r.leadWork = r.led.counter("lead.sum"), r.led.counter("lead.count"), r.led.counter("lead.working-time")
	r.partsLaw.name = "lead time: parts add up to the whole, for each piece"
}

func (r *run) layoutCasting(w *Works) {
	r.moulds = mouldBook{r: r, made: make([]int32, len(w.Ware)), fitted: make([]int64, len(w.Ware)), worn: make([]int64, len(w.Ware))}
	for i := range w.Ware {
		r.moulds.life = append(r.moulds.life, r.deal.Gate("mould.life"))
		r.plans = append(r.plans, r.newCastPlan(&w.Ware[i]))
	}
	for k := range w.Benches {
		b := &w.Benches[k]
		if r.gangs[b.Crew] == nil {
			r.gangs[b.Crew] = r.newGang(r.p.crewNamed(b.Crew))
			r.gangOrder = append(r.gangOrder, r.gangs[b.Crew])
		}
		r.benches = append(r.benches, r.newBenchGroup(b))
	}
	for k := range w.Presses {
		r.presses = append(r.presses, r.newPressGroup(&w.Presses[k]))
	}
	// Moulds get their numbers, and casters are asked for, in the order of
	// names: the order of a file changes nothing.
	byName(r.benches, func(g *benchGroup) string { return g.in.Name })
	byName(r.presses, func(g *pressGroup) string { return g.in.Name })
	for _, g := range r.benches {
		g.fit()
	}
	for _, g := range r.presses {
		g.fit()
	}
	if w.MouldShop != nil {
		r.shop = r.newMouldShop(w.MouldShop)
	}
}

// byName sorts departments by their names.
func byName[T any](all []T, name func(T) string) {
	slices.SortFunc(all, func(a, b T) int { return cmp.Compare(name(a), name(b)) })
}

// layoutClay lays out the departments of unfired ware.
func (r *run) layoutClay(w *Works) {
	if w.Finishing != nil {
		r.finishing = r.newFinishing(w.Finishing)
	}
	n := len(w.Ware)
	r.park = trolleyPark{r: r, limit: w.Shop.Trolleys, ready: [2][]lane{make([]lane, n), make([]lane, n)}}
	if r.park.limit > 0 {
		r.park.short = r.newScarce(trolleysName)
	}
	r.dryers.r = r
	for k := range w.Dryers {
		r.dryers.all = append(r.dryers.all, r.newDryer(&w.Dryers[k]))
	}
	if w.White != nil {
		r.white = newStation(r, "white inspection", r.crewOf(w.White.Crew), w.White.Time, atWhite, r.inspect)
		r.white.taken = r.park.unload
	}
	if w.Glazing != nil {
		r.glazing = r.newGlazing(w.Glazing)
	}
	r.buffer = buffer{first: make([]lane, n), refire: make([]lane, n)}
}

func (r *run) layoutKilns(w *Works) {
	for k := range w.Kilns {
		if w.Kilns[k].Kind == "shuttle" {
			r.shuttles = append(r.shuttles, r.newShuttles(&w.Kilns[k]))
		} else {
			r.tunnels = append(r.tunnels, r.newTunnel(&w.Kilns[k]))
		}
	}
}

// layoutFired lays out the departments of fired ware.
func (r *run) layoutFired(w *Works) {
	if w.Sorting != nil {
		r.sorting = newStation(r, "sorting", r.crewOf(w.Sorting.Crew), w.Sorting.Time, atSorting, r.sort)
	}
	if w.Refire != nil {
		r.patching = newStation(r, "patching", r.crewOf(w.Refire.Crew), w.Refire.Time, inRefire, func(i pieceID) { r.patchCoat.add(i) })
		r.patchCoat = delay{r: r, span: w.Refire.Dry, next: r.patchDry}
	}
	for k := range w.Tests {
		r.bays = append(r.bays, r.newBay(&w.Tests[k], k))
	}
	if w.Packing != nil {
		r.packing = r.newPacking(w.Packing)
	}
}

// crewOf returns the crew of a name, laying it out when first asked for: the
// departments that name one crew share its hands, the earlier department first.
func (r *run) crewOf(name string) *crew {
	c := r.byName[name]
	if c == nil {
		c = r.newCrew(r.p.crewNamed(name))
		r.byName[name] = c
	}
	return c
}

// start sets everything going.
func (r *run) start() {
	for _, p := range r.plans {
		p.start()
	}
	byName(r.gangOrder, func(g *gang) string { return g.in.Name })
	byName(r.crews, func(c *crew) string { return c.name })
	for _, g := range r.gangOrder {
		g.start()
	}
	for _, c := range r.crews {
		c.start()
	}
	if r.shop != nil {
		r.shop.start()
	}
	for _, d := range r.dryers.all {
		d.start()
	}
	for _, g := range r.benches {
		g.start()
	}
	for _, g := range r.presses {
		g.start()
	}
	for _, k := range r.tunnels {
		k.start()
	}
	for _, k := range r.shuttles {
		k.start()
	}
	if r.working != nil {
		r.sim.At(0, des.Calendar, (*workingClock)(r))
	}
	r.open(&r.p.works.Opening)
	if r.master != nil {
		r.master.start()
	}
}

// Fire, at the start rank of an instant, has the crews that were called look
// for work, in the order in which they were called.
func (r *run) Fire(des.Time) {
	for k := 0; k < len(r.calls); k++ {
		r.calls[k].serveIdle()
	}
	r.calls = r.calls[:0]
}

// atFirstOpening arms a timer for the first opening of some hours, at once if
// they are open at the start.
func (r *run) atFirstOpening(h *des.Hours, rank des.Rank, t des.Timer) {
	if open := h.NextOpen(0); open != des.Never {
		r.sim.At(open, rank, t)
	}
}

// atNextOpening arms a timer for the first opening after now.
func (r *run) atNextOpening(h *des.Hours, rank des.Rank, t des.Timer) {
	if open := nextOpening(h, r.sim.Now()); open != des.Never {
		r.sim.At(open, rank, t)
	}
}

// nextOpening is the first opening after t.
func nextOpening(h *des.Hours, t des.Time) des.Time {
	if h.IsOpen(t) {
		t = h.NextClose(t)
	}
	return h.NextOpen(t)
}

// workingClock keeps work in process on working time: what the areas grow by
// while working time stands still is booked apart.
type workingClock run

// Fire is the beginning or the end of working time.
func (w *workingClock) Fire(now des.Time) {
	r := (*run)(w)
	r.bookOff(now)
	r.atWork = r.working.IsOpen(now)
	next := r.working.NextOpen(now)
	if r.atWork {
		next = r.working.NextClose(now)
	}
	if next != des.Never {
		r.sim.At(next, des.Calendar, w)
	}
}

// bookOff books what has passed outside working time since it was last booked.
func (r *run) bookOff(now des.Time) {
	if r.working == nil {
		return
	}
	for i := range r.herds {
		h := &r.herds[i]
		h.settle(now)
		if !r.atWork {
			r.led.add(r.areaWork[i], h.area-h.mark)
		}
		h.mark = h.area
	}
	if !r.atWork {
		r.led.add(r.timeOff, int64(now-r.offSince))
	}
	r.offSince = now
}

// closeWeek writes the week into the book.
func (r *run) closeWeek(from, to des.Time) {
	r.bookOff(to)
	for i := range r.herds {
		h := &r.herds[i]
		h.settle(to)
		r.led.add(r.area[i], h.area-h.booked)
		h.booked = h.area
	}
	for _, res := range r.resources {
		res.book(r.led, to)
	}
	r.payroll.pay(r.led, from, to)
	for _, d := range r.dryers.all {
		r.led.add(d.fuel, d.base.take(int64(d.in.Hot), int64(to-from)))
	}
	for _, k := range r.tunnels {
		k.burn(to - from)
		k.bookCars()
	}
	r.led.add(r.gas, r.gasMeter.take(int64(r.p.works.Fuel.Price), r.fuelSince()))
	r.led.add(r.elapsed, int64(to-from))
	r.led.add(r.weekCount, 1)
	r.led.close()
	r.allLeads = append(r.allLeads, r.leads)
	r.leads = &LeadTimes{}
}

// fuelSince is the fuel metered since it was last asked for, kJ.
func (r *run) fuelSince() int64 {
	var sum int64
	for _, d := range r.dryers.all {
		sum += r.led.value[d.fuel]
	}
	for _, k := range r.tunnels {
		sum += r.led.value[k.fuel]
	}
	for _, k := range r.shuttles {
		sum += r.led.value[k.fuel]
	}
	burned := sum - r.fuelPaid
	r.fuelPaid = sum
	return burned
}

// Simulate runs one replication. It returns a *StoppedError if it was asked to
// stop, and an error if the works got stuck or a department failed; the error
// then says who waits for what, or which process failed at what time.
func (p *Plant) Simulate(o Options) (*Result, error) {
	if p.recall != nil && o.Observer == nil && o.Lookout == nil {
		if o.Weeks == 0 {
			o.Weeks = p.Weeks()
		}
		return p.recall.Recall(o, p.simulate)
	}
	return p.simulate(o)
}

// simulate runs one replication here.
func (p *Plant) simulate(o Options) (*Result, error) {
	if o.Master != nil {
		if err := o.Master.Check(p.works); err != nil {
			return nil, err
		}
	}
	r := newRun(p, o)
	defer r.sim.Close()
	r.sim.AskEvery(askEvery, r.goOn)
	r.start()
	for w := range r.weeks {
		from, to := des.Time(w)*des.Week, des.Time(w+1)*des.Week
		// A week is [from, to): what happens at its end belongs to the next.
		err := r.sim.Run(to - des.Millisecond)
		switch {
		case errors.Is(err, ErrStopped):
			return nil, err
		case err != nil:
			return nil, fmt.Errorf("replication at %v: %w", r.sim.Now(), err)
		}
		r.closeWeek(from, to)
		if err := r.goOn(); err != nil {
			return nil, err
		}
		if len(o.Until) > 0 && r.allDone(o.Until) {
			r.weeks = w + 1
			break
		}
	}
	return &Result{
		Week: r.led.weeks, Leads: r.allLeads, Orders: r.orderResults(), Days: r.daily.result(r.end()),
		Audit: r.audit(), Notes: r.notes(), Events: r.sim.Events(),
		Master: r.master.result(),
	}, nil
}

// goOn says why the run should not go on, if it should not: it is asked to stop, or
// takes more events than any works that passed [New] was thought to.
func (r *run) goOn() error {
	switch {
	case r.stopped != nil && r.stopped():
		return &StoppedError{At: r.sim.Now()}
	case r.sim.Events() > mostEvents:
		return fmt.Errorf("more than %.0g events in one replication; what happens every few milliseconds?", float64(mostEvents))
	}
	return nil
}

// toDryers sends a finished piece on.
func (r *run) toDryers(i pieceID) {
	if len(r.dryers.all) == 0 {
		r.floor.give(1)
		r.dried(i)
		return
	}
	r.park.add(i, false)
}

// pieceTimer waits for one piece; each record of the slab keeps its own, so
// that waiting makes no garbage.
type pieceTimer struct {
	r     *run
	i     pieceID
	event des.Event
	call  func(i pieceID)
}

func (r *run) timer(i pieceID) *pieceTimer {
	for len(r.timers) <= int(i) {
		r.timers = append(r.timers, &pieceTimer{r: r, i: pieceID(len(r.timers))})
	}
	return r.timers[i]
}

func (t *pieceTimer) at(when des.Time, call func(pieceID)) {
	if when == des.Never {
		return
	}
	t.call = call
	t.event = t.r.sim.At(when, des.Finish, t)
}

func (t *pieceTimer) cancel() { t.r.sim.Cancel(t.event) }

// Fire calls what the piece waited for.
func (t *pieceTimer) Fire(des.Time) { t.call(t.i) }

// sortedKeys returns the keys of a map in order, so that nothing depends on
// the order of a map.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
