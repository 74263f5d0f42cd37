package randomworks_test

import (
	"fmt"
	"strings"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// A witness follows every piece through a run and checks, from the outside,
// that no place holds more than it can and that no piece skips a step. It
// keeps its own account of what was cast, packed and lost, and of the pieces
// present, to be compared with the measures.
type witness struct {
	w      *plant.Works
	now    des.Time
	pieces map[uint64]*trail
	area   int64              // piece-ms of the pieces it has seen
	floor  int                // pieces between the fill and the trolley
	moulds map[string]int     // pieces in the moulds of a bench or press
	dryers map[string]float64 // trolleys in each dryer
	loads  map[string]float64 // share of each car or load that is taken
	events map[string]int
	broken string // the first thing that could not be
}

// trail is what a witness remembers of a piece.
type trail struct {
	spent  []des.Time
	last   string // event
	from   string // bench or press; empty for pieces of the opening state
	stands bool   // on the floor
	inside bool   // a dryer
	dried  bool
	glazed bool
	fires  int
}

func newWitness(w *plant.Works) *witness {
	return &witness{
		w: w, pieces: map[uint64]*trail{}, moulds: map[string]int{}, dryers: map[string]float64{},
		loads: map[string]float64{}, events: map[string]int{},
	}
}

// object notes the first thing that cannot be.
func (s *witness) object(o *plant.Observation, format string, args ...any) {
	if s.broken == "" {
		s.broken = fmt.Sprintf("%s %d %q at %v: %s", o.Ware, o.Piece, o.Event, o.At, fmt.Sprintf(format, args...))
	}
}

// observe takes one observation. Places are looked at when an instant is over:
// within one a load may go in before the last piece of another has come out.
func (s *witness) observe(o plant.Observation) {
	switch {
	case o.At < s.now:
		s.object(&o, "time went back from %v", s.now)
	case o.At > s.now:
		s.lookRound(&o)
		s.area += int64(len(s.pieces)) * int64(o.At-s.now)
		s.now = o.At
	}
	p := s.pieces[o.Piece]
	if p == nil {
		p = &trail{spent: make([]des.Time, len(o.Spent))}
		s.pieces[o.Piece] = p
	}
	for k, ms := range o.Spent {
		if ms < p.spent[k] {
			s.object(&o, "its time for %s shrank", plant.PartNames()[k])
		}
		p.spent[k] = ms
	}
	s.events[o.Event]++
	s.steps(&o, p)
	s.moves(&o, p)
	p.last = o.Event
	if o.Event == "lost" || o.Event == "packed" {
		delete(s.pieces, o.Piece)
	}
}

// steps checks the order of what happens to a piece cast in this run; those of
// the opening state have a past nobody saw.
func (s *witness) steps(o *plant.Observation, p *trail) {
	if o.Event == "filled" {
		if p.last != "" {
			s.object(o, "it exists already")
		}
		p.from = o.Where
	}
	if p.from == "" {
		return
	}
	switch o.Event {
	case "demoulded":
		if p.last != "filled" {
			s.object(o, "after %q", p.last)
		}
	case "glazed":
		if !p.dried && len(s.w.Dryers) > 0 {
			s.object(o, "before it was dried")
		}
		p.glazed = true
	case "into the kiln":
		if !p.dried && len(s.w.Dryers) > 0 {
			s.object(o, "before it was dried")
		}
		if !p.glazed && s.w.Glazing != nil {
			s.object(o, "before it was glazed")
		}
		if p.fires++; p.fires > 1 && (s.w.Refire == nil || p.fires > 1+s.w.Refire.Most) {
			s.object(o, "too often")
		}
	case "packed":
		if p.fires == 0 {
			s.object(o, "before it was fired")
		}
	}
	p.dried = p.dried || o.Event == "out of dryer"
}

// moves keeps count of the pieces in moulds, on the floor, in dryers and kilns.
func (s *witness) moves(o *plant.Observation, p *trail) {
	switch o.Event {
	case "filled":
		p.stands = true
		s.floor++
		s.moulds[p.from]++
	case "demoulded":
		s.moulds[p.from]--
	case "into dryer":
		p.inside = true
		s.dryers[o.Where] += 1 / float64(s.perTrolley(o.Ware))
	case "out of dryer":
		if p.inside { // and not only since before the start
			p.inside = false
			s.dryers[o.Where] -= 1 / float64(s.perTrolley(o.Ware))
		}
	case "into the kiln":
		load := o.Where + " " + o.Detail
		for k := range s.w.Kilns {
			if s.w.Kilns[k].Name == o.Where {
				per, _ := s.w.Kilns[k].Load.For(o.Ware)
				s.loads[load] += 1 / float64(per)
			}
		}
		if s.loads[load] > 1.000001 {
			s.object(o, "%s takes %.3f of what it can hold", load, s.loads[load])
		}
	}
	if p.stands && s.leavesFloor(o.Event) {
		p.stands = false
		s.floor--
	}
}

// leavesFloor tells whether an event takes a piece off the casting floor: the
// trolley or, where there are no dryers to go to, the end of its clay work.
func (s *witness) leavesFloor(event string) bool {
	switch {
	case event == "lost" || event == "on trolley":
		return true
	case len(s.w.Dryers) > 0:
		return false
	case s.w.Finishing == nil:
		return event == "demoulded"
	}
	return event == "finished"
}

func (s *witness) perTrolley(ware string) int {
	for i := range s.w.Ware {
		if s.w.Ware[i].Name == ware {
			return s.w.Ware[i].PerTrolley
		}
	}
	return 1
}

// lookRound checks, at the end of an instant, that no place is over-full.
func (s *witness) lookRound(o *plant.Observation) {
	if most := s.w.Shop.Floor; most > 0 && s.floor > most {
		s.object(o, "until then %d pieces stood on a floor for %d", s.floor, most)
	}
	for k := range s.w.Dryers {
		d := &s.w.Dryers[k]
		places := d.Trolleys
		if d.Kind == "chamber" {
			places *= d.Count
		}
		if in := s.dryers[d.Name]; in > float64(places)+0.000001 {
			s.object(o, "until then %.2f trolleys stood in %s, which holds %d", in, d.Name, places)
		}
	}
	for k := range s.w.Benches {
		b := &s.w.Benches[k]
		if n := s.moulds[b.Name]; n > b.Count*b.Moulds {
			s.object(o, "until then %d pieces were in the %d moulds of %s", n, b.Count*b.Moulds, b.Name)
		}
	}
	for k := range s.w.Presses {
		b := &s.w.Presses[k]
		if n := s.moulds[b.Name]; n > b.Count*b.Cavities {
			s.object(o, "until then %d pieces were in the %d cavities of %s", n, b.Count*b.Cavities, b.Name)
		}
	}
}

// agrees compares the witness's account with the measures of the run.
func (s *witness) agrees(t reporter, p *plant.Plant, r *plant.Result) {
	lost, packed := 0.0, 0.0
	for _, m := range p.Measures() {
		switch num, _ := over(m, r); {
		case strings.HasPrefix(m.Name, "lost."):
			lost += num
		case m.Name == "packed.total" || strings.HasPrefix(m.Name, "seconds."):
			packed += num
		}
	}
	for _, c := range []struct {
		what       string
		seen, told float64
	}{
		{"filled", float64(s.events["filled"]), total(t, p, r, "cast.total")},
		{"lost", float64(s.events["lost"]), lost},
		{"packed", float64(s.events["packed"]), packed},
	} {
		if c.seen != c.told {
			fail(t, s.w, "%v pieces were seen %s, the measures tell %v", c.seen, c.what, c.told)
		}
	}
	area := s.area + int64(len(s.pieces))*int64(end(p)-s.now)
	if told := total(t, p, r, "wip.total"); float64(area) != told {
		fail(t, s.w, "the pieces seen in the works come to %d piece-ms, the measure to %v", area, told)
	}
}
