package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// Tunnel states.
const (
	kilnRunning = iota
	kilnHolding // a push held for want of a loaded car
	kilnStopped
)

var tunnelStateNames = []string{"running", "holding", "stopped"}

// noCar stands in a slot of a tunnel when the fleet had not even an empty car
// to spare.
const noCar = -1

// car is a kiln car, or a row of a roller kiln.
type car struct {
	pieces  []pieceID
	full    bool
	firings int
	no      uint64 // of its present load
	entered des.Time
}

// tunnel is a tunnel or roller kiln: a process that pushes without end. Its
// placers load cars from the buffer and draw those that come out.
type tunnel struct {
	r         *run
	in        *Kiln
	object    uint64
	feed      *feed
	placers   *crew
	slow      []slowPush
	cars      []car
	spare     []int32 // empty cars
	endless   bool    // the fleet has no limit: cars are made as needed
	short     *scarce // nil: no limit
	ahead     ring    // loaded, waiting
	loading   int     // cars being loaded
	drawing   int     // cars being drawn
	repairing int
	inside    ring
	out       ring // fired, waiting to be drawn
	loads     uint64
	stands    des.Time // until when it stands still
	ready     *des.Bell
	store     *store // nil: none to keep account of
	peak      int    // most cars in use at once since the week began
	clock     stateClock
	state     int

	pushes  [3]int // counters: full, part, empty
	most    int    // counter of the weeks' peaks
	fuel    int
	base    meter
	heat    meter
	mass    int64 // fired so far, g
	carsIn  int64 // pushes so far, with a car
	started bool
}

type slowPush struct {
	hours *des.Hours
	push  des.Time
}

func (r *run) newTunnel(in *Kiln) *tunnel {
	k := &tunnel{
		r: r, in: in, object: random.Name(in.Name), feed: r.newFeed(in),
		ready: r.sim.Bell(in.Name + " loaded car"), base: meter{per: int64(des.Hour)}, heat: meter{per: 1000},
		fuel: r.led.counter("fuel." + in.Name), most: r.led.counter("kiln." + in.Name + ".cars"), store: r.newStore(in),
	}
	for c, name := range []string{"full", "part", "empty"} {
		k.pushes[c] = r.led.counter("kiln." + in.Name + "." + name)
	}
	for _, name := range sortedKeys(in.SlowPush) {
		k.slow = append(k.slow, slowPush{r.p.hours[name], in.SlowPush[name]})
	}
	k.endless = in.Fleet == 0 || in.Kind == "roller"
	if !k.endless {
		k.short = r.newScarce(carsOf(in.Name))
	}
	for range max(0, in.Fleet-in.Inside) {
		k.spare = append(k.spare, k.newCar())
	}
	for range in.Inside {
		k.inside.push(k.newCar())
	}
	k.clock = newStateClock(len(tunnelStateNames), 1)
	r.addResource(in.Name, "kiln", tunnelStateNames, 1, &k.clock)
	if in.Placers != "" {
		k.placers = r.crewOf(in.Placers)
		k.placers.serve(k)
	}
	return k
}

func (k *tunnel) newCar() int32 {
	k.cars = append(k.cars, car{})
	return int32(len(k.cars) - 1)
}

func (k *tunnel) start() {
	k.r.sim.Go(k.in.Name, k.work)
	if k.in.Wrecks != nil {
		k.r.sim.Go(k.in.Name+" wrecks", k.wreck)
	}
	if k.in.Stops != nil {
		k.r.sim.Go(k.in.Name+" stops", k.stop)
	}
}

func (k *tunnel) turn(state int) {
	if state != k.state {
		k.r.tellKiln(k.in, 1, tunnelStateNames[state], nil, false)
	}
	k.clock.move(k.r.sim.Now(), k.state, state, 1)
	k.state = state
}

// work is the life of a tunnel kiln: it pushes without end.
func (k *tunnel) work(p *des.Process) {
	for {
		for k.stands > p.Now() {
			p.PassAt(k.stands, des.Start)
		}
		if k.placers == nil {
			k.loadAtOnce()
		}
		if k.ahead.n == 0 && k.in.Short == "hold" && k.started {
			k.turn(kilnHolding)
			k.ready.WaitWithin(p, k.slowest()-k.interval())
		}
		k.turn(kilnRunning)
		k.push()
		p.PassAt(p.Now()+k.interval(), des.Start)
	}
}

// interval is the time to the next push: that of the hours we are in, or
// stretched while few loaded cars wait.
func (k *tunnel) interval() des.Time {
	now, push := k.r.sim.Now(), k.in.Push
	for _, s := range k.slow {
		if s.hours.IsOpen(now) {
			push = s.push
		}
	}
	if k.in.Stretch > push && k.ahead.n < k.in.StretchN {
		push = k.in.Stretch
	}
	return push
}

func (k *tunnel) slowest() des.Time {
	if k.in.Slowest > 0 {
		return k.in.Slowest
	}
	return 2 * k.in.Push
}

// push moves every car by one: one comes out, one goes in.
func (k *tunnel) push() {
	if k.store != nil {
		k.store.look(k.r)
	}
	k.exit(k.inside.pop())
	var c int32
	if k.ahead.n > 0 {
		c = k.ahead.pop()
		k.started = true
		k.enter(c)
	} else {
		c = k.emptyCar()
		k.r.led.add(k.pushes[2], 1)
	}
	k.inside.push(c)
	k.tellPush(c)
	if c != noCar {
		k.carsIn++
		k.r.led.add(k.fuel, int64(k.in.PerCar))
	}
	if k.placers != nil {
		k.placers.offer()
	}
}

// tellPush tells a lookout what has gone in.
func (k *tunnel) tellPush(c int32) {
	if c == noCar {
		k.r.tellKiln(k.in, 1, Pushed, nil, false)
		return
	}
	k.r.tellKiln(k.in, 1, Pushed, k.cars[c].pieces, k.cars[c].full)
}

// emptyCar takes an empty car from the fleet, or noCar if there is none.
func (k *tunnel) emptyCar() int32 {
	c := int32(noCar)
	if n := len(k.spare); n > 0 {
		c = k.spare[n-1]
		k.spare = k.spare[:n-1]
	} else if k.endless {
		c = k.newCar()
	}
	k.peak = max(k.peak, k.inUse())
	return c
}

// enter fires a loaded car.
func (k *tunnel) enter(c int32) {
	r, cr := k.r, &k.cars[c]
	cr.entered = r.sim.Now()
	kind := 0
	if !cr.full {
		kind = 1
	}
	r.led.add(k.pushes[kind], 1)
	var mass int64
	for _, i := range cr.pieces {
		mass += int64(r.wares[r.pieces[i].ware].in.Fired)
		r.charge(i, partPlace)
		r.intoKiln(i, random.Object(k.object, cr.no), k.in.Name, "car", cr.no)
	}
	k.mass += mass
	r.led.add(k.fuel, k.heat.take(int64(k.in.PerKg), mass))
}

// exit takes what comes out: a fired car to be drawn, an empty one to the fleet.
func (k *tunnel) exit(c int32) {
	if c == noCar {
		return
	}
	if len(k.cars[c].pieces) == 0 {
		k.carBack(c)
		return
	}
	for _, i := range k.cars[c].pieces {
		k.r.outOfKiln(i, k.in.Name)
	}
	if k.placers == nil {
		k.draw(c)
		return
	}
	k.out.push(c)
}

// take hands placers a car to load, as long as fewer than cars-ahead wait;
// else one to draw; else a part load, if no full one is to be had and none waits.
func (k *tunnel) take(h *hand) (work, bool) {
	lane, waiting := k.feed.best()
	room := k.ahead.n+k.loading < k.in.Ahead && k.carReady(enough(waiting, 1))
	if room && lane >= 0 && enough(waiting, 1) {
		return k.takeLoad(h, lane)
	}
	if k.out.n > 0 {
		c := k.out.at(0)
		span := k.pace(k.in.Draw, len(k.cars[c].pieces))
		if !h.fits(span) {
			return work{}, false
		}
		k.out.pop()
		for _, i := range k.cars[c].pieces {
			k.r.chargeWait(i, k.placers.hours, partCrew)
		}
		k.drawing++
		return work{ref: c<<1 | 1, span: span}, true
	}
	if room && k.takesPart(waiting) {
		return k.takeLoad(h, lane)
	}
	return work{}, false
}

// takesPart tells whether a part load may go on a car.
func (k *tunnel) takesPart(waiting int64) bool {
	return k.ahead.n == 0 && k.loading == 0 && enough(waiting, float64(k.in.PartCar))
}

// carReady tells whether an empty car is to be had, and notes that one is wanted
// for a full load.
func (k *tunnel) carReady(wanted bool) bool {
	if k.endless || len(k.spare) > 0 {
		return true
	}
	k.short.tell(wanted)
	return false
}

// pace is the time of placing or drawing so many pieces.
func (k *tunnel) pace(each des.Time, n int) des.Time {
	return stretched(float64(each)*float64(n), k.placers.pace)
}

// takeLoad takes the ware of one car out of the buffer, if the hand may begin.
func (k *tunnel) takeLoad(h *hand, lane int) (work, bool) {
	if !h.fits(k.pace(k.in.Place, k.feed.size(lane))) {
		return work{}, false
	}
	c := k.load(lane)
	for _, i := range k.cars[c].pieces {
		k.r.chargeWait(i, k.placers.hours, partPlace)
	}
	k.loading++
	return work{ref: c << 1, span: k.pace(k.in.Place, len(k.cars[c].pieces))}, true
}

// load puts one load of a lane's group on an empty car.
func (k *tunnel) load(lane int) int32 {
	c := k.emptyCar()
	cr := &k.cars[c]
	k.loads++
	cr.no = k.loads
	cr.pieces, cr.full = k.feed.gather(lane, cr.pieces[:0])
	return c
}

// loadAtOnce loads the next car without placers, for a works that has not set
// them out.
func (k *tunnel) loadAtOnce() {
	lane, waiting := k.feed.best()
	if k.ahead.n == 0 && lane >= 0 && k.carReady(enough(waiting, 1)) && enough(waiting, float64(k.in.PartCar)) {
		k.ahead.push(k.load(lane))
	}
}

// done takes back a loaded or a drawn car.
func (k *tunnel) done(h *hand, w work) {
	c := w.ref >> 1
	for _, i := range k.cars[c].pieces {
		k.r.chargeWork(i, h)
	}
	if w.ref&1 == 1 {
		k.drawing--
		k.draw(c)
		return
	}
	k.loading--
	k.ahead.push(c)
	k.ready.Ring()
}

// draw sends the ware of a fired car on and the car back to the fleet, or to
// repair.
func (k *tunnel) draw(c int32) {
	cr := &k.cars[c]
	cr.firings++
	k.r.batch++
	for _, i := range cr.pieces {
		k.r.fired(i)
	}
	k.r.batch--
	cr.pieces = cr.pieces[:0]
	if k.in.Repair > 0 && cr.firings%k.in.Repair == 0 {
		k.repairing++
		k.r.sim.After(k.in.RepairT, des.Finish, des.TimerFunc(func(des.Time) {
			k.repairing--
			k.carBack(c)
		}))
		return
	}
	k.carBack(c)
}

// carBack returns an empty car to the fleet.
func (k *tunnel) carBack(c int32) {
	k.spare = append(k.spare, c)
	k.short.tell(false)
	if k.placers != nil {
		k.placers.offer()
	}
}

// arrived is called when ware has come into the buffer. Placers are called only
// if it makes a load: most pieces do not.
func (k *tunnel) arrived() {
	if k.placers == nil || len(k.placers.idle) == 0 {
		return
	}
	_, waiting := k.feed.best()
	if enough(waiting, 1) || k.takesPart(waiting) {
		k.placers.offer()
		return
	}
	k.placers.tellApart()
}

// wreck is the process of car wrecks: the kiln stands and the ware of the cars
// concerned is lost.
func (k *tunnel) wreck(p *des.Process) {
	between, stop := k.r.deal.Gate("kiln.wreck-between"), k.r.deal.Gate("kiln.wreck-stop")
	for n := uint32(1); ; n++ {
		p.Pass(des.Time(between.Time(k.in.Wrecks.Between, k.object, n)))
		stands := des.Time(stop.Time(k.in.Wrecks.Stop, k.object, n))
		k.halt(stands)
		lost := 0
		for s := 0; s < k.inside.n && lost < k.in.Wrecks.Cars; s++ {
			if c := k.inside.at(s); c >= 0 {
				for _, i := range k.cars[c].pieces {
					k.r.charge(i, partWorking)
					k.r.scrapFired(i, k.r.lost.wrecked)
				}
				k.cars[c].pieces = k.cars[c].pieces[:0]
				lost++
			}
		}
		p.Pass(stands)
		k.goOn()
	}
}

// halt stops the kiln for a span. A push that falls due meanwhile waits.
func (k *tunnel) halt(span des.Time) {
	k.stands = max(k.stands, k.r.sim.Now()+span)
	k.turn(kilnStopped)
}

// goOn ends a stop, unless another goes on.
func (k *tunnel) goOn() {
	if k.stands <= k.r.sim.Now() {
		k.turn(kilnRunning)
	}
}

// stop is the process of stops of pusher, doors and burners.
func (k *tunnel) stop(p *des.Process) {
	between, repair := k.r.deal.Gate("breakdown.between"), k.r.deal.Gate("breakdown.repair")
	for n := uint32(1); ; n++ {
		p.Pass(des.Time(between.Time(k.in.Stops.Between, k.object, n)))
		stands := des.Time(repair.Time(k.in.Stops.Repair, k.object, n))
		k.halt(stands)
		p.Pass(stands)
		k.goOn()
	}
}

// burn books the base fuel of a stretch of time.
func (k *tunnel) burn(span des.Time) {
	k.r.led.add(k.fuel, k.base.take(int64(k.in.Base), int64(span)))
}
