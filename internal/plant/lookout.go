package plant

import "potbank/internal/des"

// Lookout watches the works as a whole: stocks and kilns, not single pieces. It
// is told of what happens as it happens, and can change nothing. Either function
// may be nil.
type Lookout struct {
	// Moved is told that one piece goes from a section to another, both by
	// number as in SectionNames; -1 is outside the works.
	Moved func(at des.Time, from, to int)
	Kiln  func(e KilnEvent)
}

// Outside stands for a section where a piece is not in the works.
const Outside = -1

// Pushed is the state of a KilnEvent that tells of a push. All others are
// states of the kiln's resource.
const Pushed = "pushed"

// KilnEvent is a push, or a kiln's going over into another state.
type KilnEvent struct {
	At     des.Time
	Kiln   string
	Unit   int     // which of several alike, from 1
	State  string  // Pushed, or the state it is in from now on
	Pieces []int   // in the load or on the car, by ware; nil: none
	Again  int     // of these, fired before
	Share  float64 // of a full load
	Full   bool    // nothing that waited would have fitted besides
}

// moved tells the lookout that a piece has changed its section.
func (r *run) moved(from, to int) {
	if r.look != nil && r.look.Moved != nil {
		r.look.Moved(r.sim.Now(), from, to)
	}
}

// sees tells whether anybody watches the kilns.
func (r *run) sees() bool { return r.look != nil && r.look.Kiln != nil }

// tellKiln tells the lookout of a kiln and what is in it.
func (r *run) tellKiln(in *Kiln, unit int, state string, pieces []pieceID, full bool) {
	if !r.sees() {
		return
	}
	e := KilnEvent{At: r.sim.Now(), Kiln: in.Name, Unit: unit, State: state, Full: full && len(pieces) > 0}
	for _, i := range pieces {
		if e.Pieces == nil {
			e.Pieces = make([]int, len(r.wares))
		}
		p := &r.pieces[i]
		e.Pieces[p.ware]++
		if p.refire {
			e.Again++
		}
		if per, ok := in.Load.For(r.wares[p.ware].name); ok {
			e.Share += 1 / float64(per)
		}
	}
	r.look.Kiln(e)
}
