package plant

import (
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// Dryer states, of its trolley places.
var dryerStateNames = []string{"free", "drying"}

// trolley is a full ware trolley. It is held from the first piece put on it
// until the last is taken off at white inspection.
type trolley struct {
	no     uint64
	ware   int32
	pieces []pieceID
	left   int  // pieces still on it
	loose  bool // on its way to stiffen, not to dry
	passed bool // left behind by a load for want of a place
	full   des.Time
}

// trolleyPark is the trolleys of the works and the ware that waits for one.
type trolleyPark struct {
	r     *run
	limit int
	used  int
	short *scarce // nil: no limit
	all   []trolley
	free  []int32
	ready [2][]lane // finished pieces by ware, to be dried and to be stiffened
	count uint64
}

// add puts a piece with its like; when there are enough and a trolley is free,
// they go to the dryers.
func (t *trolleyPark) add(i pieceID, loose bool) {
	p := &t.r.pieces[i]
	kind := 0
	if loose {
		kind = 1
	}
	t.ready[kind][p.ware].push(i, p.rank)
	t.load(kind, p.ware)
}

// load fills trolleys of one ware while pieces and trolleys last.
func (t *trolleyPark) load(kind int, ware int32) {
	q, per := &t.ready[kind][ware], t.r.wares[ware].in.PerTrolley
	for q.n >= per && (t.limit == 0 || t.used < t.limit) {
		n := t.take()
		tr := &t.all[n]
		t.count++
		tr.no, tr.ware, tr.loose, tr.left, tr.full, tr.passed = t.count, ware, kind == 1, per, t.r.sim.Now(), false
		tr.pieces = tr.pieces[:0]
		var last des.Time
		for range per {
			i := q.pop()
			tr.pieces = append(tr.pieces, i)
			last = max(last, t.r.pieces[i].mark)
			t.r.pieces[i].trolley = n
		}
		for _, i := range tr.pieces {
			t.r.chargeUntil(&t.r.pieces[i], last, partBatch)
			t.r.charge(i, partPlace) // for want of a trolley
			t.r.observe(i, "on trolley", "")
		}
		t.r.floor.give(per)
		t.r.dryers.arrive(n)
	}
	if q.n >= per {
		t.short.tell(true)
	}
}

// take finds a free trolley record.
func (t *trolleyPark) take() int32 {
	t.used++
	if n := len(t.free); n > 0 {
		i := t.free[n-1]
		t.free = t.free[:n-1]
		return i
	}
	t.all = append(t.all, trolley{})
	return int32(len(t.all) - 1)
}

// unload takes one piece off its trolley; an empty trolley goes back to work.
func (t *trolleyPark) unload(i pieceID) {
	n := t.r.pieces[i].trolley
	if n < 0 {
		return
	}
	t.r.pieces[i].trolley = -1
	if t.all[n].left--; t.all[n].left > 0 {
		return
	}
	t.used--
	t.free = append(t.free, n)
	if t.limit > 0 {
		t.short.tell(false) // until one is wanted again
		for kind := range t.ready {
			for w := range t.ready[kind] {
				t.load(kind, int32(w))
			}
		}
	}
}

// dryers is all dryers and the full trolleys that wait for them, first in
// first out.
type dryers struct {
	r     *run
	all   []*dryer
	queue []int32
}

// dryer is a group of chambers, or a tunnel or floor where each trolley stays
// its own time.
type dryer struct {
	r              *run
	in             *Dryer
	object         uint64
	takes          []bool // by ware
	cycle          *random.Gate
	cracks         *random.Gate
	free           int // chambers, or trolley places
	loads          uint64
	clock          stateClock
	hours          *shifts
	at             *des.Hours
	latest         des.Event
	fuel           int // counter kJ
	offered, taken int // counters: places offered by the clock, trolleys loaded
	pieces         int64
	base           meter
	batches        []*dryerLoad // records of loads, reused
}

// dryerLoad is what one chamber dries, or one trolley on a floor.
type dryerLoad struct {
	d        *dryer
	trolleys []int32
}

func (r *run) newDryer(in *Dryer) *dryer {
	d := &dryer{r: r, in: in, object: random.Name(in.Name), cycle: r.deal.Gate("dryer.cycle"), cracks: r.deal.Gate("dryer.crack"), base: meter{per: int64(des.Hour)}}
	d.takes = r.p.waresOf(in.Ware)
	d.fuel = r.led.counter("fuel." + in.Name)
	d.offered, d.taken = r.led.counter("dryer."+in.Name+".offered"), r.led.counter("dryer."+in.Name+".taken")
	d.free = in.Trolleys
	places := int64(in.Trolleys)
	if in.Kind == "chamber" {
		d.free = in.Count
		places *= int64(in.Count)
	}
	d.clock = newStateClock(len(dryerStateNames), places)
	r.addResource(in.Name, "dryer", dryerStateNames, places, &d.clock)
	d.hours, d.at = newShifts(r.p.hours[in.Hours]), r.p.hours[in.At]
	return d
}

func (d *dryer) start() {
	if h := d.bell(); h != nil {
		d.r.atFirstOpening(h, des.Start, d)
	}
}

// bell is the hours at whose openings the dryer looks for a load: those of the
// loading by the clock, or those in which it may be loaded at all.
func (d *dryer) bell() *des.Hours {
	if d.byClock() {
		return d.at
	}
	if d.hours != nil {
		return d.hours.Hours
	}
	return nil
}

func (d *dryer) byClock() bool { return d.in.Load == "clock" && d.in.Kind == "chamber" }

// Fire is a loading time.
func (d *dryer) Fire(des.Time) {
	d.r.atNextOpening(d.bell(), des.Start, d)
	if d.byClock() {
		d.r.led.add(d.offered, int64(d.free*d.in.Trolleys))
		for d.free > 0 && d.loadChamber(1) {
		}
		d.leaveBehind()
		return
	}
	d.offer()
}

// arrive takes a full trolley.
func (s *dryers) arrive(n int32) {
	s.queue = append(s.queue, n)
	for _, d := range s.all {
		if d.mayTake(n) {
			d.offer()
		}
	}
}

// mayTake tells whether a trolley may go into this dryer at all.
func (d *dryer) mayTake(n int32) bool {
	t := &d.r.park.all[n]
	return d.takes[t.ware] && !(t.loose && d.in.Kind == "chamber")
}

// offer loads what may be loaded now.
func (d *dryer) offer() {
	if d.hours != nil && !d.hours.IsOpen(d.r.sim.Now()) {
		return
	}
	if d.in.Kind != "chamber" {
		for d.free > 0 && d.loadPlace() {
		}
		return
	}
	if d.in.Load == "clock" {
		return
	}
	for d.free > 0 && d.loadChamber(d.least()) {
	}
	d.armLatest()
}

// least is how many trolleys a chamber waits for: all its places, unless the
// first trolley has waited too long.
func (d *dryer) least() int {
	if i := d.first(); i >= 0 && d.in.Latest > 0 && d.r.sim.Now()-d.r.park.all[d.r.dryers.queue[i]].full >= d.in.Latest {
		return 1
	}
	return d.in.Trolleys
}

// first returns the place in the queue of the first trolley for this dryer, or -1.
func (d *dryer) first() int {
	return slices.IndexFunc(d.r.dryers.queue, d.mayTake)
}

// armLatest sees to it that a part load starts in time.
func (d *dryer) armLatest() {
	i := d.first()
	if d.in.Latest == 0 || i < 0 || d.free == 0 {
		return
	}
	d.r.sim.Cancel(d.latest)
	due := d.r.park.all[d.r.dryers.queue[i]].full + d.in.Latest
	if due > d.r.sim.Now() {
		d.latest = d.r.sim.At(due, des.Start, des.TimerFunc(func(des.Time) { d.offer() }))
	}
}

// loadChamber loads one chamber if at least so many trolleys wait for it.
func (d *dryer) loadChamber(least int) bool {
	q := d.r.dryers.queue
	count := 0
	for _, n := range q {
		if d.mayTake(n) {
			count++
		}
	}
	if count < least || count == 0 {
		return false
	}
	load := d.newLoad()
	keep := q[:0]
	for _, n := range q {
		if len(load.trolleys) < d.in.Trolleys && d.mayTake(n) {
			load.trolleys = append(load.trolleys, n)
		} else {
			keep = append(keep, n)
		}
	}
	d.r.dryers.queue = keep
	d.begin(load, des.Time(d.cycle.Time(d.in.Cycle, d.object, uint32(d.loads))))
	return true
}

// leaveBehind marks trolleys that a load by the clock had no place for.
func (d *dryer) leaveBehind() {
	for _, n := range d.r.dryers.queue {
		if t := &d.r.park.all[n]; d.mayTake(n) && !t.passed {
			t.passed = true
			for _, i := range t.pieces {
				d.r.charge(i, partBatch)
			}
		}
	}
}

// loadPlace puts the first trolley for this dryer on a free place.
func (d *dryer) loadPlace() bool {
	k := d.first()
	if k < 0 {
		return false
	}
	n := d.r.dryers.queue[k]
	d.r.dryers.queue = slices.Delete(d.r.dryers.queue, k, k+1)
	load := d.newLoad()
	load.trolleys = append(load.trolleys, n)
	span := des.Time(d.cycle.Time(d.in.Cycle, random.Object(d.object, uint64(d.r.pieces[d.r.park.all[n].pieces[0]].key)), 0))
	if t := &d.r.park.all[n]; t.loose {
		span = d.stiffening(t)
	}
	d.begin(load, span)
	return true
}

// stiffening is the time until the wettest piece of a trolley is leather-hard.
func (d *dryer) stiffening(t *trolley) des.Time {
	var longest des.Time
	for _, i := range t.pieces {
		p := &d.r.pieces[i]
		w := d.r.wares[p.ware].in.Window
		longest = max(longest, stretched(drying(d.r.moisture(p, d.r.sim.Now()), float64(w.Opens), float64(d.in.Rate)), 1))
	}
	return longest
}

func (d *dryer) newLoad() *dryerLoad {
	if n := len(d.batches); n > 0 {
		load := d.batches[n-1]
		d.batches = d.batches[:n-1]
		load.trolleys = load.trolleys[:0]
		return load
	}
	return &dryerLoad{d: d}
}

// begin starts the drying of a load.
func (d *dryer) begin(load *dryerLoad, span des.Time) {
	r := d.r
	d.loads++
	d.free--
	r.led.add(d.taken, int64(len(load.trolleys)))
	d.clock.move(r.sim.Now(), 0, 1, int64(len(load.trolleys)))
	for _, n := range load.trolleys {
		t := &r.park.all[n]
		for _, i := range t.pieces {
			wait := partPlace
			if d.in.Kind == "chamber" && !t.passed {
				wait = partBatch
			}
			r.chargeWait(i, d.hours, wait)
			r.enter(i, atDryers)
			r.addValue(i, stageDrying)
			if !t.loose {
				d.pieces++
				r.led.add(d.fuel, int64(d.in.Energy))
				r.led.add(r.wares[t.ware].dried, 1)
			}
			r.observe(i, "into dryer", d.in.Name)
		}
	}
	r.sim.After(span, des.Finish, load)
}

// Fire ends the drying of a load.
func (load *dryerLoad) Fire(now des.Time) {
	d := load.d
	r := d.r
	r.batch++
	defer func() { r.batch-- }()
	d.clock.move(now, 1, 0, int64(len(load.trolleys)))
	for _, n := range load.trolleys {
		loose := r.park.all[n].loose
		for _, i := range r.park.all[n].pieces {
			r.charge(i, partWorking)
			r.observe(i, "out of dryer", d.in.Name)
			if loose {
				r.park.unload(i)
				r.stiffened(i)
				continue
			}
			if d.in.Cracks > 0 {
				p := &r.pieces[i]
				p.hidden = p.hidden || d.cracks.Trial(float64(d.in.Cracks), p.key, 0)
			}
			r.dried(i)
		}
	}
	d.batches = append(d.batches, load)
	d.free++ // only now: the trolleys it frees do not go in one by one
	d.offer()
}
