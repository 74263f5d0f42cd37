package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// finishing is the desk of the finishers: punching and sticking inside the
// window first, then fettling and sponging. Among like jobs the piece whose
// window closes first goes first.
type finishing struct {
	r      *run
	in     *Finishing
	crew   *crew
	punch  []random.Law // by ware; nil: one job only
	finish []random.Law
	open   soonest       // window open, to be punched
	rest   soonest       // to be fettled
	early  soonest       // window not yet open, for hands with nothing else to do
	stiff  int           // that wait for their window to open
	busy   int           // hands punching
	onOpen func(pieceID) // onTime, made once: a method value is garbage each time
	times  *random.Gate
	odd    *random.Gate
	tools  []toolSet
}

// toolSet is the punches of one ware.
type toolSet struct {
	in    *Tool
	holes int // punched since the last change
	sets  int // counter of tool sets worn
}

func (r *run) newFinishing(in *Finishing) *finishing {
	f := &finishing{r: r, in: in, crew: r.crewOf(in.Crew), times: r.deal.Gate("finishing.time"), odd: r.deal.Gate("finishing.worn-punch")}
	for i := range r.wares {
		w := &r.wares[i]
		f.punch = append(f.punch, lawFor(in.Punch, w.name))
		f.finish = append(f.finish, lawFor(in.Finish, w.name))
		t := toolSet{}
		for k := range in.Tools {
			if in.Tools[k].Name == w.name {
				t = toolSet{in: &in.Tools[k], sets: r.led.counter("tools.worn." + w.name)}
			}
		}
		f.tools = append(f.tools, t)
	}
	f.onOpen = f.onTime
	f.crew.serve(f)
	return f
}

// arrive takes a piece that has just left its mould, or the dryer where it stiffened.
func (f *finishing) arrive(i pieceID) {
	p := &f.r.pieces[i]
	if p.opens <= f.r.sim.Now() {
		f.opened(i)
		return
	}
	f.r.timer(i).at(p.opens, f.onOpen)
	f.stiff++
	f.crew.tellApart()
	if f.r.wares[p.ware].in.Window.Eager {
		f.early.push(entry{p.rank, p.opens, p.serial, i})
		f.crew.offer()
	}
}

// onTime is called when the window of a piece opens for which it has waited.
func (f *finishing) onTime(i pieceID) {
	f.stiff--
	f.early.remove(i)
	f.opened(i)
}

// opened takes a piece whose window is open.
func (f *finishing) opened(i pieceID) {
	p := &f.r.pieces[i]
	f.r.charge(i, partWindow)
	if f.punch[p.ware] != nil {
		f.open.push(entry{p.rank, p.closes, p.serial, i})
	} else {
		f.rest.push(entry{p.rank, p.closes, p.serial, i})
	}
	f.crew.offer()
}

// jobRest marks in the low bit of a work's ref that it is not punching.
const jobRest = 1

// take hands out punching before anything else.
func (f *finishing) take(h *hand) (work, bool) {
	if f.in.Places == 0 || f.busy < f.in.Places {
		if w, ok := f.takePunch(h, &f.open); ok {
			return w, true
		}
	}
	if w, ok := f.takeRest(h); ok {
		return w, true
	}
	if f.early.n() > 0 && (f.in.Places == 0 || f.busy < f.in.Places) {
		return f.takePunch(h, &f.early)
	}
	return work{}, false
}

func (f *finishing) takePunch(h *hand, q *soonest) (work, bool) {
	for q.n() > 0 {
		i := q.top().piece
		p := &f.r.pieces[i]
		if f.r.master.pulled(i) {
			q.pop()
			f.foreclose(q, i)
			continue
		}
		if f.r.tooDry(p, f.r.sim.Now()) {
			q.pop()
			f.foreclose(q, i)
			f.scrapDry(i)
			continue
		}
		span := f.crew.span(f.times, f.punch[p.ware], p.key, 0)
		if !h.fits(span) {
			return work{}, false
		}
		q.pop()
		f.foreclose(q, i)
		f.busy++
		f.begin(i)
		return work{ref: i << 1, key: p.ware + 1, setup: f.setup(h, p.ware), span: span}, true
	}
	return work{}, false
}

// foreclose ends the wait for a window of a piece taken off the early ones.
func (f *finishing) foreclose(q *soonest, i pieceID) {
	if q == &f.early {
		f.r.timer(i).cancel()
		f.stiff--
	}
}

// setup is the time to change tools for a ware: from those of another, or a
// worn set for a fresh one.
func (f *finishing) setup(h *hand, ware int32) des.Time {
	var t des.Time
	if h.tools != 0 && h.tools != ware+1 {
		t = f.in.Change
	}
	if s := &f.tools[ware]; s.in != nil && s.holes >= s.in.Life {
		s.holes = 0
		f.r.led.add(s.sets, 1)
		t += s.in.Takes
	}
	return t
}

func (f *finishing) takeRest(h *hand) (work, bool) {
	for f.rest.n() > 0 {
		i := f.rest.top().piece
		p := &f.r.pieces[i]
		if f.r.master.pulled(i) {
			f.rest.pop()
			continue
		}
		if f.punch[p.ware] == nil && f.r.tooDry(p, f.r.sim.Now()) {
			f.rest.pop()
			f.scrapDry(i)
			continue
		}
		span := f.crew.span(f.times, f.finish[p.ware], p.key, 1)
		if !h.fits(span) {
			return work{}, false
		}
		f.rest.pop()
		f.begin(i)
		return work{ref: i<<1 | jobRest, span: span}, true
	}
	return work{}, false
}

// begin charges the wait of a piece that a hand takes up.
func (f *finishing) begin(i pieceID) {
	f.r.chargeWait(i, f.crew.hours, partCrew)
	f.r.observe(i, "taken up", f.crew.name)
}

// scrapDry sends a piece that nobody dares punch back to the slip.
func (f *finishing) scrapDry(i pieceID) {
	f.r.led.add(f.r.wares[f.r.pieces[i].ware].tooDry, 1)
	f.r.chargeWait(i, f.crew.hours, partCrew)
	f.r.floor.give(1)
	f.r.scrapClay(i, f.r.lost.tooDry)
}

// done takes back a piece.
func (f *finishing) done(h *hand, w work) {
	i := w.ref >> 1
	p := &f.r.pieces[i]
	f.r.chargeWork(i, h)
	if w.ref&jobRest == 0 {
		f.busy--
		late := f.r.judgeWindow(p, h.begun, f.r.sim.Now())
		f.strike(i)
		f.r.observe(i, "punched", f.crew.name)
		if late {
			f.r.observe(i, "missed its window", f.crew.name)
		}
		f.rest.push(entry{p.rank, p.closes, p.serial, i})
		return
	}
	late := false
	if f.punch[p.ware] == nil {
		late = f.r.judgeWindow(p, h.begun, f.r.sim.Now())
		f.strike(i)
	}
	f.r.observe(i, "finished", f.crew.name)
	if late {
		f.r.observe(i, "missed its window", f.crew.name)
	}
	f.r.finished(i)
}

// strike punches the holes of a piece: a worn punch leaves them undersized,
// in proportion to the holes it has made, and nobody sees it before the test.
func (f *finishing) strike(i pieceID) {
	p := &f.r.pieces[i]
	if f.r.master != nil {
		f.r.master.punched(i)
	}
	s := &f.tools[p.ware]
	if s.in == nil {
		return
	}
	s.holes += s.in.Holes
	wear := min(1, float64(s.holes)/float64(s.in.Life))
	p.oddHole = f.odd.Trial(float64(s.in.Fault)*wear, p.key, 0)
}

// soonest is a heap of pieces, the one with the nearest time first.
type soonest struct{ e []entry }

type entry struct {
	rank   uint8
	at     des.Time
	serial uint64
	piece  pieceID
}

func (a entry) before(b entry) bool {
	switch {
	case a.rank != b.rank:
		return a.rank < b.rank
	case a.at != b.at:
		return a.at < b.at
	}
	return a.serial < b.serial
}

func (q *soonest) n() int     { return len(q.e) }
func (q *soonest) top() entry { return q.e[0] }

func (q *soonest) push(x entry) {
	q.e = append(q.e, x)
	k := len(q.e) - 1
	for k > 0 && x.before(q.e[(k-1)/2]) {
		q.e[k] = q.e[(k-1)/2]
		k = (k - 1) / 2
	}
	q.e[k] = x
}

func (q *soonest) pop() entry {
	top := q.e[0]
	last := q.e[len(q.e)-1]
	q.e = q.e[:len(q.e)-1]
	if len(q.e) > 0 {
		q.sink(0, last)
	}
	return top
}

// sink places x at k or below.
func (q *soonest) sink(k int, x entry) {
	for {
		c := 2*k + 1
		if c >= len(q.e) {
			break
		}
		if c+1 < len(q.e) && q.e[c+1].before(q.e[c]) {
			c++
		}
		if !q.e[c].before(x) {
			break
		}
		q.e[k] = q.e[c]
		k = c
	}
	q.e[k] = x
}

// remove takes a piece out of the middle; false if it is not there.
func (q *soonest) remove(i pieceID) bool {
	for k := range q.e {
		if q.e[k].piece == i {
			last := q.e[len(q.e)-1]
			q.e = q.e[:len(q.e)-1]
			if k < len(q.e) {
				rest := append([]entry(nil), q.e...)
				rest[k] = last
				q.e = q.e[:0]
				for _, x := range rest {
					q.push(x)
				}
			}
			return true
		}
	}
	return false
}
