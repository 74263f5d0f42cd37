package plant

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/random"
)

// Shuttle states.
const (
	shuttleWaiting = iota // for ware, or for the hours of loading
	shuttleLoading
	shuttleFiring
	shuttleCooling
	shuttleDrawing
	shuttleStates
)

var shuttleStateNames = []string{"waiting", "loading", "firing", "cooling", "drawing"}

// shuttles is a group of like shuttle kilns over one buffer.
type shuttles struct {
	r      *run
	in     *Kiln
	object uint64
	feed   *feed
	bell   *des.Bell
	hours  *shifts
	at     *des.Hours
	clock  stateClock
	loads  uint64
	counts [3]int // full, part, empty (never)
	fuel   int
	heat   meter
	mass   int64
	fires  int64

	opening []openLoad // in the fire at the start
}

// openLoad is a load that is in the fire at the start, and how long it still is.
type openLoad struct {
	*kilnLoad
	left des.Time
}

// kilnLoad is one load of a shuttle.
type kilnLoad struct {
	no     uint64
	pieces []pieceID
	full   bool
}

func (r *run) newShuttles(in *Kiln) *shuttles {
	k := &shuttles{
		r: r, in: in, object: random.Name(in.Name), feed: r.newFeed(in), bell: r.sim.Bell(in.Name + " load"),
		hours: newShifts(r.p.hours[in.Hours]), at: r.p.hours[in.At], fuel: r.led.counter("fuel." + in.Name), heat: meter{per: 1000},
	}
	for c, name := range []string{"full", "part", "empty"} {
		k.counts[c] = r.led.counter("kiln." + in.Name + "." + name)
	}
	k.clock = newStateClock(shuttleStates, int64(in.Count))
	r.addResource(in.Name, "kiln", shuttleStateNames, int64(in.Count), &k.clock)
	return k
}

func (k *shuttles) start() {
	for n := range k.in.Count {
		name := fmt.Sprintf("%s %d", k.in.Name, n+1)
		if k.in.CarSets < 2 {
			k.r.sim.Go(name, func(p *des.Process) { k.work(p, n+1) })
			continue
		}
		free := k.r.sim.Places(name+" free car sets", k.in.CarSets)
		ready := des.NewRack[*kilnLoad](k.r.sim, name+" loaded car sets", k.in.CarSets)
		k.r.sim.Go(name+" placing", func(p *des.Process) { k.place(p, free, ready) })
		k.r.sim.Go(name, func(p *des.Process) { k.fireSets(p, n+1, free, ready) })
	}
}

// turning returns what takes a shuttle from state to state.
func (k *shuttles) turning(p *des.Process, unit int) func(to int, load *kilnLoad) {
	state := 0
	return func(to int, load *kilnLoad) {
		k.clock.move(p.Now(), state, to, 1)
		state = to
		if load == nil {
			k.r.tellKiln(k.in, unit, shuttleStateNames[to], nil, false)
			return
		}
		k.r.tellKiln(k.in, unit, shuttleStateNames[to], load.pieces, load.full)
	}
}

// work is the life of a shuttle with one set of cars.
func (k *shuttles) work(p *des.Process, unit int) {
	p.Standby()
	turn := k.turning(p, unit)
	k.finishOpening(p, turn)
	for {
		turn(shuttleWaiting, nil)
		load := k.await(p)
		k.touch(p, load, k.in.Loading, func() { turn(shuttleLoading, load) })
		turn(shuttleFiring, load)
		k.light(load)
		p.Pass(k.in.Firing)
		turn(shuttleCooling, load)
		p.Pass(k.in.Cooling)
		k.cooled(load)
		turn(shuttleWaiting, load)
		k.touch(p, load, k.in.Drawing, func() { turn(shuttleDrawing, load) })
		k.drawn(load)
	}
}

// place loads sets of cars, as long as one is free, while others are in the
// fire or being drawn.
func (k *shuttles) place(p *des.Process, free *des.Places, ready *des.Rack[*kilnLoad]) {
	p.Standby()
	for {
		p.Take(free, 1, 0)
		load := k.await(p)
		k.touch(p, load, k.in.Loading, func() {})
		for _, i := range load.pieces {
			k.r.charge(i, partWorking)
		}
		ready.Put(p, load)
	}
}

// fireSets is the life of a shuttle whose cars are loaded and drawn outside.
func (k *shuttles) fireSets(p *des.Process, unit int, free *des.Places, ready *des.Rack[*kilnLoad]) {
	p.Standby()
	turn := k.turning(p, unit)
	k.finishOpening(p, turn)
	for {
		turn(shuttleWaiting, nil)
		load := ready.Get(p)
		for _, i := range load.pieces {
			k.r.charge(i, partPlace) // for the kiln
		}
		turn(shuttleFiring, load)
		k.light(load)
		p.Pass(k.in.Firing)
		turn(shuttleCooling, load)
		p.Pass(k.in.Cooling)
		k.cooled(load)
		k.r.sim.Go(k.in.Name+" drawing", func(d *des.Process) {
			k.touch(d, load, k.in.Drawing, func() {})
			k.drawn(load)
			free.Give(1)
		})
	}
}

// finishOpening ends the fire that burns at the start, if there is one left.
func (k *shuttles) finishOpening(p *des.Process, turn func(to int, load *kilnLoad)) {
	if len(k.opening) == 0 {
		return
	}
	load := k.opening[0]
	k.opening = k.opening[1:]
	turn(shuttleFiring, load.kilnLoad)
	p.Pass(load.left)
	k.cooled(load.kilnLoad)
	k.drawn(load.kilnLoad)
}

// touch is loading or drawing: within the kiln's hours, begun only if half of
// it fits before they end.
func (k *shuttles) touch(p *des.Process, load *kilnLoad, span des.Time, begun func()) {
	if k.hours != nil {
		p.PassAt(earliest(k.hours.Hours, p.Now(), (span+1)/2, 0, 0), des.Start)
	}
	for _, i := range load.pieces {
		k.r.chargeWait(i, k.hours, partPlace)
	}
	begun()
	p.Pass(span)
}

// await waits until a load may be taken under the kiln's rule, and takes it.
func (k *shuttles) await(p *des.Process) *kilnLoad {
	for {
		if lane := k.choose(p.Now()); lane >= 0 && k.isOpen(p.Now()) {
			k.loads++
			load := &kilnLoad{no: k.loads}
			load.pieces, load.full = k.feed.gather(lane, nil)
			for _, i := range load.pieces {
				k.r.chargeWait(i, k.hours, partPlace)
				k.r.observe(i, "set on", k.in.Name)
			}
			return load
		}
		k.bell.WaitWithin(p, k.nextLook(p.Now())-p.Now())
	}
}

// isOpen tells whether a load may be begun now.
func (k *shuttles) isOpen(now des.Time) bool { return k.hours == nil || k.hours.IsOpen(now) }

// choose returns the lane whose group makes a load under the kiln's rule, its
// hours apart, or -1.
func (k *shuttles) choose(now des.Time) int {
	lane, waiting := k.feed.best()
	share := 1.0
	switch k.in.Start {
	case "clock":
		if iv, ok := k.at.At(now); ok && iv.Open == now {
			return lane
		}
		return -1
	case "least":
		share = float64(k.in.Least)
	}
	if enough(waiting, share) {
		return lane
	}
	if oldest, since := k.feed.oldest(); k.in.Latest > 0 && oldest >= 0 && now-since >= k.in.Latest {
		return oldest // the piece that has waited long enough goes with this load
	}
	return -1
}

// nextLook is when time alone may let a load start: an opening, the clock, or
// the longest wait of the first piece.
func (k *shuttles) nextLook(now des.Time) des.Time {
	next := des.Never
	if !k.isOpen(now) {
		next = k.hours.NextOpen(now)
	}
	if k.in.Start == "clock" {
		return nextOpening(k.at, now)
	}
	if k.in.Latest > 0 {
		if lane, since := k.feed.oldest(); lane >= 0 && since+k.in.Latest > now {
			next = min(next, since+k.in.Latest)
		}
	}
	return next
}

// arrived is called when ware has come into the buffer.
func (k *shuttles) arrived() {
	if k.in.Latest > 0 || k.choose(k.r.sim.Now()) >= 0 {
		k.bell.Ring()
	}
}

// light starts the fire under a load.
func (k *shuttles) light(load *kilnLoad) {
	kind := 0
	if !load.full {
		kind = 1
	}
	k.r.led.add(k.counts[kind], 1)
	k.fires++
	var mass int64
	for _, i := range load.pieces {
		mass += int64(k.r.wares[k.r.pieces[i].ware].in.Fired)
		k.r.charge(i, partWorking) // loading
		k.r.intoKiln(i, random.Object(k.object, load.no), k.in.Name, "load", load.no)
	}
	k.mass += mass
	k.r.led.add(k.fuel, int64(k.in.PerFire)+k.heat.take(int64(k.in.PerKg), mass))
}

// cooled ends the stay of a load in the kiln.
func (k *shuttles) cooled(load *kilnLoad) {
	for _, i := range load.pieces {
		k.r.outOfKiln(i, k.in.Name)
	}
}

// drawn sends the ware of a load on.
func (k *shuttles) drawn(load *kilnLoad) {
	k.r.batch++
	for _, i := range load.pieces {
		k.r.charge(i, partWorking)
		k.r.fired(i)
	}
	k.r.batch--
}
