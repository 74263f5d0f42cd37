package plant

import (
	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// wareState is one ware in a run: its description and its counters.
type wareState struct {
	in     *Ware
	name   string
	cast   int
	packed int
	second int
	worn   int // moulds worn out
	clay   int // pieces returned to the slip
	dried  int
	glazed int
	fired  int // firings
	refire int // pieces sent to be fired again

	punched, early, late, tooDry int

	stage       [stages]int64 // cost added by each stage
	demould     *random.Gate
	casting     *random.Gate
	white       *random.Gate
	finds       *random.Gate
	alarm       *random.Gate
	dayLuck     *random.Gate
	carLuck     *random.Gate
	grade       [2]*random.Gate // first fire, later fires
	whiteWhy    *random.Gate
	firedWhy    *random.Gate
	whiteLoss   []int // counters, by fault
	whiteShares []float64
	firedLoss   []int
	firedShares []float64
	luck        wareLuck
	testGate    *random.Gate
	breakGate   *random.Gate
	disposal    meter
}

// stage is a step that adds cost to a piece.
type stage int

const (
	stageCasting stage = iota
	stageFinishing
	stageDrying
	stageWhite
	stageGlazing
	stageFiring
	stageRefire
	stageSorting
	stagePacking
	stages
)

var stageNames = [stages]string{"casting", "finishing", "drying", "white", "glazing", "firing", "refire", "sorting", "packing"}

func (r *run) newWare(in *Ware) wareState {
	w := wareState{in: in, name: in.Name, disposal: meter{per: 1_000_000}}
	c := &in.Costs
	for s, m := range []int64{int64(c.Casting), int64(c.Finishing), int64(c.Drying), int64(c.White), int64(c.Glazing), int64(c.Firing), int64(c.Refire), int64(c.Sorting), int64(c.Packing)} {
		w.stage[s] = m
	}
	count := func(what string) int { return r.led.counter(what + "." + in.Name) }
	w.cast, w.packed, w.second, w.worn = count("cast"), count("packed"), count("seconds"), count("moulds.worn")
	w.clay = count("clay")
	w.dried, w.glazed, w.fired, w.refire = count("dried"), count("glazed"), count("firings"), count("refires")
	w.punched, w.early, w.late, w.tooDry = count("window.punched"), count("window.early"), count("window.late"), count("window.too_dry")
	w.demould, w.white, w.finds = r.deal.Gate("demould.moisture"), r.deal.Gate("white.fault"), r.deal.Gate("white.finds")
	w.casting = r.deal.Gate("casting.fault")
	w.alarm, w.dayLuck, w.carLuck = r.deal.Gate("white.false-alarm"), r.deal.Gate("white.day"), r.deal.Gate("firing.car")
	w.grade = [2]*random.Gate{r.deal.Gate("firing.grade"), r.deal.Gate("firing.grade")}
	w.whiteWhy, w.firedWhy = r.deal.Gate("white.which"), r.deal.Gate("firing.which")
	w.testGate, w.breakGate = r.deal.Gate("test.fault"), r.deal.Gate("packing.breakage")
	w.whiteLoss, w.whiteShares = r.causes("white", in.Yields.WhiteFault)
	w.firedLoss, w.firedShares = r.causes("firing", in.Yields.FiredFault)
	w.luck = r.p.lucks[in.Name]
	return w
}

// noScrap is a share that is zero but for the rounding of sums of shares.
const noScrap = 1e-9

// wareLuck is how the shares of a ware vary from batch to batch. Its tables are
// made once for all replications.
type wareLuck struct {
	day *random.Overdispersed    // white faults of a day; nil: they do not vary
	car [2]*random.Overdispersed // fired scrap of a load, in the first and in later fires
}

func newWareLuck(y *Yields) wareLuck {
	return wareLuck{
		day: overdispersed(1-float64(y.White), float64(y.DayLuck)),
		car: [2]*random.Overdispersed{
			overdispersed(y.FirstFire.scrap(), float64(y.CarLuck)),
			overdispersed(y.LaterFire.scrap(), float64(y.CarLuck)),
		},
	}
}

// overdispersed is the share of a batch, or nil where it does not vary.
func overdispersed(p, correlation float64) *random.Overdispersed {
	if correlation == 0 || p < noScrap || p > 1-noScrap {
		return nil
	}
	o, err := random.NewOverdispersed(p, correlation)
	if err != nil {
		panic("plant: " + err.Error()) // New has checked the shares
	}
	return &o
}

// causes lists the faults of a table in the order of their names, as counters
// of loss at a stage. Without a table there is one, called fault.
func (r *run) causes(stage string, table map[string]quantity.Share) (counters []int, shares []float64) {
	if len(table) == 0 {
		return []int{r.loss(stage, "fault")}, []float64{1}
	}
	for _, name := range sortedKeys(table) {
		counters = append(counters, r.loss(stage, name))
		shares = append(shares, float64(table[name]))
	}
	return counters, shares
}

// scrap is what is left of the grades.
func (g *Grades) scrap() float64 { return 1 - float64(g.A) - float64(g.B) - float64(g.Refire) }

// addValue books what a stage adds to a piece.
func (r *run) addValue(i pieceID, s stage) {
	p := &r.pieces[i]
	if m := r.wares[p.ware].stage[s]; m != 0 {
		p.value += m
		r.led.add(r.costs[s], m)
	}
}

// loss returns the counter of a loss, by stage and cause.
func (r *run) loss(stage, cause string) int { return r.led.counter("lost." + stage + "." + cause) }

// lose books the loss of a piece and takes it out of the works.
func (r *run) lose(i pieceID, loss int) {
	p := &r.pieces[i]
	r.led.add(loss, 1)
	r.led.add(r.lostValue, p.value)
	r.lostOf[p.ware]++
	r.observe(i, "lost", r.led.names[loss])
	r.retire(i)
}

// scrapClay sends an unfired piece back to the slip, with its credit.
func (r *run) scrapClay(i pieceID, loss int) {
	p := &r.pieces[i]
	r.led.add(r.wares[p.ware].clay, 1)
	r.led.add(r.reclaim, -int64(r.wares[p.ware].in.Costs.Reclaim))
	r.lose(i, loss)
}

// scrapFired throws a fired piece away, at a price.
func (r *run) scrapFired(i pieceID, loss int) {
	w := &r.wares[r.pieces[i].ware]
	r.led.add(r.disposal, w.disposal.take(int64(w.in.Costs.Disposal), int64(w.in.Fired)))
	r.lose(i, loss)
}

// demould takes a piece out of its mould; worked is how much of its time in
// the mould was work, the rest was waiting for the hands whose hours are given.
func (r *run) demould(i pieceID, worked des.Time, hours *shifts) {
	p := &r.pieces[i]
	r.chargeUntil(p, min(p.mark+worked, r.sim.Now()), partWorking)
	r.chargeWait(i, hours, partCrew)
	r.addValue(i, stageCasting)
	w := &r.wares[p.ware]
	p.out = r.sim.Now()
	p.wet = w.demould.Value(w.in.Demould, p.key, 0)
	r.enter(i, atFinishing)
	r.setWindow(p)
	r.observe(i, "demoulded", "")
	switch {
	case r.master.pulled(i):
	case r.finishing == nil:
		r.finished(i)
	case w.in.Window != nil && w.in.Window.InDryer:
		r.park.add(i, true)
	default:
		r.finishing.arrive(i)
	}
}

// stiffened takes a piece back from the dryer at leather-hard, to be punched.
func (r *run) stiffened(i pieceID) {
	p := &r.pieces[i]
	r.enter(i, atFinishing)
	r.floor.used++ // back on the floor; there is no refusing it
	p.out = r.sim.Now()
	p.wet = float64(r.wares[p.ware].in.Window.Opens)
	r.setWindow(p)
	r.finishing.arrive(i)
}

// finished judges the casting and puts the piece on its way to the dryer.
func (r *run) finished(i pieceID) {
	p := &r.pieces[i]
	w := &r.wares[p.ware]
	r.addValue(i, stageFinishing)
	if w.casting.Trial(1-float64(w.in.Yields.Casting), p.key, 0) {
		r.floor.give(1)
		r.scrapClay(i, r.lost.casting)
		return
	}
	if r.master.takes(i, placeFirstOff) || r.master.takes(i, placeLeatherHard) {
		return
	}
	r.advance(i, toWhite)
	r.toDryers(i)
}

// dried takes a dry piece to white inspection, or past it.
func (r *run) dried(i pieceID) {
	if r.master.pulled(i) {
		return
	}
	if r.white == nil {
		r.passWhite(i)
		return
	}
	r.white.arrive(i)
}

// inspect judges a dry piece: true faults found, faults missed, false alarms.
func (r *run) inspect(i pieceID) {
	p := &r.pieces[i]
	w := &r.wares[p.ware]
	in := r.p.works.White
	rate := 1 - float64(w.in.Yields.White)
	if w.luck.day != nil {
		rate = w.dayLuck.Share(*w.luck.day, random.Name(w.name), uint32(r.sim.Now()/des.Day))
	}
	r.addValue(i, stageWhite)
	fault := w.white.Trial(rate+p.extra, p.key, 0) || p.hidden
	p.hidden = false
	switch {
	case fault && w.finds.Trial(float64(in.Finds), p.key, 0):
		r.scrapClay(i, w.whiteLoss[w.whiteWhy.Choice(w.whiteShares, p.key, 0)])
	case !fault && in.FalseAlarm > 0 && w.alarm.Trial(float64(in.FalseAlarm), p.key, 0):
		r.scrapClay(i, r.lost.falseAlarm)
	default:
		p.hidden = fault
		if r.master.takes(i, placeWhite) {
			return
		}
		r.observe(i, "passed white inspection", "")
		r.passWhite(i)
	}
}

func (r *run) passWhite(i pieceID) {
	r.advance(i, toGlaze)
	r.park.unload(i)
	if r.glazing == nil {
		r.coatDry(i)
		return
	}
	r.glazing.arrive(i)
}

// coatDry puts a glazed, dry piece into the buffer before the kilns.
func (r *run) coatDry(i pieceID) {
	r.charge(i, partWorking)
	if r.master.pulled(i) {
		return
	}
	r.advance(i, toFire)
	r.enter(i, inBuffer)
	p := &r.pieces[i]
	r.buffer.first[p.ware].push(i, p.rank)
	r.observe(i, "in the buffer", "")
	r.kilnsArrived()
}

// patchDry puts a patched, dry piece into the buffer of the refire.
func (r *run) patchDry(i pieceID) {
	r.charge(i, partWorking)
	if r.master.pulled(i) {
		return
	}
	p := &r.pieces[i]
	r.buffer.refire[p.ware].push(i, p.rank)
	r.observe(i, "waiting for refire", "")
	r.kilnsArrived()
}

func (r *run) kilnsArrived() {
	for _, k := range r.tunnels {
		k.arrived()
	}
	for _, k := range r.shuttles {
		k.arrived()
	}
}

// intoKiln books the beginning of a fire.
func (r *run) intoKiln(i pieceID, load uint64, kiln, what string, no uint64) {
	p := &r.pieces[i]
	p.load = load
	if p.fires == 0 {
		r.enter(i, inKiln)
		r.addValue(i, stageFiring)
	} else {
		r.addValue(i, stageRefire)
	}
	p.fires++
	r.led.add(r.wares[p.ware].fired, 1)
	if r.watch != nil {
		r.observeLoad(i, kiln, what, no)
	}
}

// outOfKiln books the end of a fire.
func (r *run) outOfKiln(i pieceID, kiln string) {
	r.charge(i, partWorking)
	if !r.pieces[i].refire {
		r.enter(i, atSorting)
	}
	r.observe(i, "out of the kiln", kiln)
}

// fired takes a drawn piece to the sorters.
func (r *run) fired(i pieceID) {
	if r.master.pulled(i) {
		return
	}
	if r.sorting == nil {
		if !r.pieces[i].refire {
			r.enter(i, atSorting)
		}
		r.sort(i)
		return
	}
	if r.pieces[i].refire {
		// It stays in the refire loop until it is sorted again.
		r.sorting.queue.push(i, r.pieces[i].rank)
		r.sorting.crew.offer()
		return
	}
	r.sorting.arrive(i)
}

// Grades of a fire, as the gate deals them.
const (
	gradeA = iota
	gradeB
	gradeRefire
	gradeScrap
)

// sort grades a fired piece.
func (r *run) sort(i pieceID) {
	p := &r.pieces[i]
	w := &r.wares[p.ware]
	r.addValue(i, stageSorting)
	if r.master.pulled(i) {
		return
	}
	p.refire = false
	grade := r.grade(p, w)
	switch {
	case p.hidden:
		r.scrapFired(i, r.lost.missed)
	case grade == gradeScrap:
		r.scrapFired(i, w.firedLoss[w.firedWhy.Choice(w.firedShares, p.key, uint32(p.fires))])
	case p.fires == 1 && r.master.takes(i, placeFired):
	case grade == gradeRefire && r.patching == nil, grade == gradeRefire && int(p.fires) > r.p.works.Refire.Most:
		r.scrapFired(i, r.lost.noRefire)
	case grade == gradeRefire:
		r.led.add(w.refire, 1)
		p.refire = true
		r.advance(i, toFireAgain+step(p.fires-1))
		r.observe(i, "sent to refire", "")
		r.patching.arrive(i)
	case grade == gradeB:
		p.second = true
		r.advance(i, noGood)
		r.observe(i, "sorted: B", "")
		r.toPacking(i)
	default:
		if r.master.takes(i, placeTest) {
			return
		}
		r.observe(i, "sorted: A", "")
		r.advance(i, toTest)
		r.bear(p, w.testGate, float64(w.in.Yields.Test))
		r.toTest(i, 0)
	}
}

// grade draws what a fire has made of a piece. With luck by the car, the
// scrap of a load is drawn first and the other grades share what is left.
func (r *run) grade(p *piece, w *wareState) int {
	g, k := &w.in.Yields.FirstFire, 0
	if p.fires > 1 {
		g, k = &w.in.Yields.LaterFire, 1
	}
	shares := [4]float64{float64(g.A), float64(g.B), float64(g.Refire), max(0, g.scrap())}
	if o := w.luck.car[k]; o != nil {
		scrap := w.carLuck.Share(*o, p.load, uint32(p.ware))
		for s := range shares[:gradeScrap] {
			shares[s] *= (1 - scrap) / (1 - shares[gradeScrap])
		}
		shares[gradeScrap] = scrap
	}
	return w.grade[k].Choice(shares[:], p.key, uint32(p.fires))
}
