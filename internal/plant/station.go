package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// station is a desk with one queue, first in first out by rank: white
// inspection, sorting, patching, each test, packing.
type station struct {
	r     *run
	name  string
	crew  *crew
	times []random.Law // by ware
	gate  *random.Gate
	at    section
	queue lane
	taken func(i pieceID) // called when a hand takes the piece up; may be nil
	mates func() int      // pieces that wait for their mates; may be nil
	after func(i pieceID)
}

func newStation(r *run, name string, crew *crew, times PerWare[random.Law], at section, after func(pieceID)) *station {
	s := &station{r: r, name: name, crew: crew, gate: r.deal.Gate(name + ".time"), at: at, after: after}
	for i := range r.wares {
		s.times = append(s.times, lawFor(times, r.wares[i].name))
	}
	crew.serve(s)
	return s
}

// arrive takes a piece into the queue.
func (s *station) arrive(i pieceID) {
	s.r.enter(i, s.at)
	s.queue.push(i, s.r.pieces[i].rank)
	s.crew.offer()
}

// take hands out the head of the queue.
func (s *station) take(h *hand) (work, bool) {
	i := s.queue.head()
	if i == nobody {
		return work{}, false
	}
	p := &s.r.pieces[i]
	span := s.crew.span(s.gate, s.times[p.ware], p.key, uint32(p.fires))
	if !h.fits(span) {
		return work{}, false
	}
	s.queue.pop()
	s.r.chargeWait(i, s.crew.hours, partCrew)
	if s.taken != nil {
		s.taken(i)
	}
	s.r.observe(i, "taken up", s.name)
	return work{ref: i, span: span}, true
}

// done passes the piece on.
func (s *station) done(h *hand, w work) {
	s.r.chargeWork(w.ref, h)
	s.after(w.ref)
}

// lawFor returns the law for a ware, or nil.
func lawFor(p PerWare[random.Law], ware string) random.Law {
	l, _ := p.For(ware)
	return l
}

// glazing is the booths, their shared queue and the drying of the coat.
type glazing struct {
	r      *run
	queues []lane // by ware
	booths []*boothGroup
	coat   delay
	fault  []*random.Gate
}

// boothGroup is the desk of like booths.
type boothGroup struct {
	g       *glazing
	in      *Booth
	crew    *crew
	takes   []bool
	times   []random.Law
	gate    *random.Gate
	busy    int
	colours []int32 // by ware, from 1
}

// hoursOf are the hours of the first booths that take a ware; nil if none does.
func (g *glazing) hoursOf(ware int32) *des.Hours {
	for _, b := range g.booths {
		if b.takes[ware] {
			return b.crew.hours.Hours
		}
	}
	return nil
}

func (r *run) newGlazing(in *Glazing) *glazing {
	g := &glazing{r: r, queues: make([]lane, len(r.wares))}
	g.coat = delay{r: r, span: in.Dry, next: r.coatDry}
	colours := map[string]int32{}
	for i := range r.wares {
		g.fault = append(g.fault, r.deal.Gate("glazing.fault"))
		if c := r.wares[i].in.Colour; colours[c] == 0 {
			colours[c] = int32(len(colours) + 1)
		}
	}
	for k := range in.Booths {
		b := &in.Booths[k]
		bg := &boothGroup{g: g, in: b, takes: r.p.waresOf(b.Ware), gate: r.deal.Gate("glazing.time")}
		if b.Crew != "" && b.Breakdowns == nil {
			bg.crew = r.crewOf(b.Crew)
		} else {
			bg.crew = r.boothCrew(b)
		}
		for i := range r.wares {
			bg.times = append(bg.times, lawFor(b.Time, r.wares[i].name))
			bg.colours = append(bg.colours, colours[r.wares[i].in.Colour])
		}
		bg.crew.serve(bg)
		g.booths = append(g.booths, bg)
	}
	return g
}

// boothCrew makes a crew of the booths themselves: robots that need nobody.
func (r *run) boothCrew(b *Booth) *crew {
	c := &crew{r: r, name: b.Name, rule: halfFits, pace: 1 / float64(b.Effective), object: random.Name(b.Name)}
	hours := r.p.hours[b.Hours]
	if b.Crew != "" {
		hours = r.p.crewHours(b.Crew)
	}
	c.hours = newShifts(hours)
	c.addRoster(b.Hours, hours, b.Count)
	c.setBreakdowns(b.Breakdowns)
	c.finish()
	return c
}

// arrive takes a piece that passed white inspection.
func (g *glazing) arrive(i pieceID) {
	g.r.enter(i, atGlazing)
	p := &g.r.pieces[i]
	g.queues[p.ware].push(i, p.rank)
	for _, b := range g.booths {
		if b.takes[p.ware] {
			b.crew.offer()
		}
	}
}

// take hands out the oldest piece of the colour set up; another colour only if
// there is none, or if it has waited longer than the booth's patience.
func (b *boothGroup) take(h *hand) (work, bool) {
	if b.busy >= b.in.Count {
		return work{}, false
	}
	i := b.choose(h.tools)
	if i == nobody {
		return work{}, false
	}
	r := b.g.r
	p := &r.pieces[i]
	span := b.span(p)
	if !h.fits(span) {
		return work{}, false
	}
	b.g.queues[p.ware].pop()
	b.busy++
	b.tellOthers()
	r.chargeWait(i, b.crew.hours, partCrew)
	r.observe(i, "taken up", b.in.Name)
	w := work{ref: i, key: b.colours[p.ware], span: span}
	if h.tools != 0 && h.tools != w.key {
		w.setup = b.in.Change
	}
	return w, true
}

// tellOthers has the crews of other booths look again: a piece has gone that they
// might have taken.
func (b *boothGroup) tellOthers() {
	for _, o := range b.g.booths {
		if o.crew != b.crew {
			o.crew.tellApart()
		}
	}
}

func (b *boothGroup) span(p *piece) des.Time {
	return b.crew.span(b.gate, b.times[p.ware], p.key, uint32(p.fires))
}

// choose returns the piece to glaze next in a booth set up for a colour, 0 for none.
func (b *boothGroup) choose(colour int32) pieceID {
	best, same := nobody, nobody
	for w := range b.g.queues {
		i := b.g.queues[w].head()
		if i == nobody || !b.takes[w] {
			continue
		}
		if best == nobody || b.g.r.older(i, best) {
			best = i
		}
		if b.colours[w] == colour && (same == nobody || b.g.r.older(i, same)) {
			same = i
		}
	}
	if same == nobody || best == same {
		return best
	}
	if b.g.r.sim.Now()-b.g.r.pieces[best].since > b.in.Patience {
		return best
	}
	return same
}

// older tells whether a waiting piece goes before another: by rank, then by
// arrival, which is where its time is charged up to.
func (r *run) older(a, b pieceID) bool {
	pa, pb := &r.pieces[a], &r.pieces[b]
	switch {
	case pa.rank != pb.rank:
		return pa.rank < pb.rank
	case pa.mark != pb.mark:
		return pa.mark < pb.mark
	}
	return pa.serial < pb.serial
}

// done takes back a glazed piece.
func (b *boothGroup) done(h *hand, w work) {
	r := b.g.r
	b.busy--
	p := &r.pieces[w.ref]
	r.chargeWork(w.ref, h)
	r.addValue(w.ref, stageGlazing)
	r.led.add(r.wares[p.ware].glazed, 1)
	if b.g.fault[p.ware].Trial(1-float64(r.wares[p.ware].in.Yields.Glaze), p.key, 0) {
		r.scrapClay(w.ref, r.lost.knocked)
		return
	}
	r.advance(w.ref, toFire)
	r.observe(w.ref, "glazed", b.in.Name)
	b.g.coat.add(w.ref)
}
