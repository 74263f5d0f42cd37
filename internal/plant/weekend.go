package plant

import (
	"slices"

	"potbank/internal/des"
)

// A Rest is the longest time of a week in which nothing is glazed: a kiln that
// pushes without end must live on its store over it. Ware glazed before it is
// dry soon after it has begun; the next ware is dry at Fresh.
type Rest struct {
	From  des.Time // the last glazer leaves
	Until des.Time // the first comes back
	Fresh des.Time // the coat of new ware is dry
}

// Rests lists the longest rest of every week of the run in which one begins; of
// rests of one length the first. A works that glazes without end has none, and
// one without glazing is fed by white inspection, or by finishing.
func (p *Plant) Rests() []Rest { return p.rests }

// allRests finds the rests.
func (p *Plant) allRests() []Rest {
	feeding := p.feeding()
	if feeding == nil {
		return nil
	}
	open := feeding.Intervals()
	var rests []Rest
	for i := 1; i < len(open); i++ {
		r := Rest{From: open[i-1].Close, Until: open[i].Open}
		if r.From >= p.works.Run.Length {
			break
		}
		r.Fresh = r.Until
		if p.works.Glazing != nil {
			r.Fresh += p.works.Glazing.Dry
		}
		n := len(rests)
		switch {
		case n == 0 || rests[n-1].From/des.Week != r.From/des.Week:
			rests = append(rests, r)
		case r.Until-r.From > rests[n-1].Until-rests[n-1].From:
			rests[n-1] = r
		}
	}
	return rests
}

// feeding is the hours of those whose ware goes into the store before the
// kilns; nil where nobody has hours.
func (p *Plant) feeding() *des.Hours {
	w := p.works
	switch {
	case w.Glazing != nil:
		var all []*des.Hours
		for k := range w.Glazing.Booths {
			if b := &w.Glazing.Booths[k]; b.Crew != "" {
				all = append(all, p.crewHours(b.Crew))
			} else if h := p.hours[b.Hours]; h != nil {
				all = append(all, h)
			}
		}
		if all == nil {
			return nil
		}
		return p.union(all)
	case w.White != nil:
		return p.crewHours(w.White.Crew)
	case w.Finishing != nil:
		return p.crewHours(w.Finishing.Crew)
	}
	return nil
}

// WeekendSlots is the pushes of a tunnel kiln from the beginning of a rest until
// new ware can come, by hand: the car loads that its store must hold for no car
// to go empty. It is the mean over the rests of a run; 0 for another kind of
// kiln, and where there is no rest.
func (p *Plant) WeekendSlots(kiln string) float64 {
	k := slices.IndexFunc(p.works.Kilns, func(k Kiln) bool { return k.Name == kiln })
	if k < 0 || p.works.Kilns[k].Kind == "shuttle" || len(p.rests) == 0 {
		return 0
	}
	in := &p.works.Kilns[k]
	var sum float64
	for _, r := range p.rests {
		normal := r.Fresh - r.From
		for _, name := range sortedKeys(in.SlowPush) {
			slow := p.hours[name].OpenBetween(r.From, r.Fresh)
			normal -= slow
			sum += float64(slow) / float64(in.SlowPush[name])
		}
		sum += float64(normal) / float64(in.Push)
	}
	return sum / float64(len(p.rests))
}

// store is the book of the ware before a tunnel kiln over the rests. It looks
// only when the kiln pushes, which needs no events of its own: what stands
// there at the first push of a rest stood there when it began, but for the
// pieces in hand at the closing.
//
// Loads are in thousandths, of the kiln's own loading plan. What other kilns
// take of the same ware is in the store of each.
type store struct {
	wares                []storedWare
	rests                []Rest
	begun                bool
	least                int64 // loads dry or on cars, since the last rest began
	held, pieces, lowest int   // counters: at the beginning of rests; the least after them
	count                int   // counter of rests
}

// storedWare is a ware that the kiln takes, and the thousandths of a load that
// a piece is.
type storedWare struct {
	ware int32
	part float64
}

// newStore begins the book of a kiln, nil for one that first-fires nothing or in
// a works without rests.
func (r *run) newStore(in *Kiln) *store {
	if in.Fires == "refire" || len(r.p.rests) == 0 {
		return nil
	}
	name := "kiln." + in.Name + ".weekend."
	s := &store{
		rests: r.p.rests,
		held:  r.led.counter(name + "held"), pieces: r.led.counter(name + "pieces"),
		lowest: r.led.counter(name + "least"), count: r.led.counter(name + "rests"),
	}
	takes := r.p.waresOf(in.Ware)
	for w := range r.wares {
		if per, ok := in.Load.For(r.wares[w].name); ok && takes[w] {
			s.wares = append(s.wares, storedWare{int32(w), 1000 / float64(per)})
		}
	}
	return s
}

// look is called at every push, before a car goes in.
func (s *store) look(r *run) {
	dry := s.loads(func(w int32) int64 { return r.herdOf(w, inBuffer).n })
	if !s.begun {
		s.begun, s.least = true, dry
	}
	if len(s.rests) > 0 && r.sim.Now() >= s.rests[0].From {
		s.rests = s.rests[1:]
		r.led.add(s.lowest, s.least)
		r.led.add(s.count, 1)
		coat := r.coating()
		r.led.add(s.held, dry+s.loads(func(w int32) int64 { return coat[w] }))
		for _, w := range s.wares {
			r.led.add(s.pieces, r.herdOf(w.ware, inBuffer).n+coat[w.ware])
		}
		s.least = dry
	}
	s.least = min(s.least, dry)
}

// loads is the car loads, in thousandths, of so many pieces by ware.
func (s *store) loads(pieces func(ware int32) int64) int64 {
	var sum float64
	for _, w := range s.wares {
		sum += float64(float64(pieces(w.ware)) * w.part)
	}
	return int64(sum + 0.5)
}

// coating counts the pieces whose coat is drying, by ware.
func (r *run) coating() []int64 {
	n := make([]int64, len(r.wares))
	if r.glazing != nil {
		for k := range r.glazing.coat.queue.n {
			n[r.pieces[r.glazing.coat.queue.at(k)].ware]++
		}
	}
	return n
}

// inUse is the cars of a tunnel's fleet that are not empty and free: inside,
// loaded, fired, in hand, in repair.
func (k *tunnel) inUse() int { return len(k.cars) - len(k.spare) }

// bookCars writes the most cars that were in use at once in the week.
func (k *tunnel) bookCars() {
	k.r.led.add(k.most, int64(max(k.peak, k.inUse())))
	k.peak = k.inUse()
}
