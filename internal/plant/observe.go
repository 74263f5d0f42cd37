package plant

import (
	"fmt"

	"potbank/internal/des"
)

// Observation is one event in the life of a piece. Observers get values: they
// cannot schedule, draw or change anything.
type Observation struct {
	At      des.Time
	Piece   uint64 // serial, in the order of filling, from 1
	Ware    string
	Event   string
	Section string
	Where   string    // crew, kiln or machine; of a loss its stage and cause, "lost.firing.crack"
	Detail  string    // parents of its mould, number of its car or load
	Mould   Parentage // the tool it was cast in; zero for pieces of the opening state
	Kiln    string    // where it is fired, or was last; empty before its first fire
	Load    uint64    // number of its car or load in that kiln, from 1
	Grade   string    // "A" or "B" once it is packed
	Order   string    // the order it counts towards once it is packed; empty: stock
	Filled  des.Time  // of "in stock": when it was filled, before the start; 0: not known
	// Spent is the piece's time so far by part (see PartNames); what it grew by
	// since the last observation tells what the piece waited for meanwhile.
	Spent [parts]des.Time
}

// TooDry is Where of the event "lost" of a piece that had grown too dry to be
// punched.
const TooDry = "lost.finishing.too dry to punch"

// Parentage is a working mould with its parents, all numbered by ware from 1.
type Parentage struct {
	No    int // working mould
	Cast  int // which of its casts this piece is
	Life  int // casts it is good for
	Case  int
	Block int
}

// PartNames names the parts of a lead time, in the order of Observation.Spent.
func PartNames() []string { return partNames[:] }

// Released tells what ended the wait between two observations of a piece:
// place, crew, window, batch-mate or shift; empty if it did not wait.
func (o *Observation) Released(before *Observation) string {
	names := [parts]string{partPlace: "place", partCrew: "crew", partWindow: "window", partBatch: "batch-mate", partOffShift: "shift"}
	best := partWorking
	for k := partPlace; k <= partOffShift; k++ {
		if d := o.Spent[k] - before.Spent[k]; d > 0 && (best == partWorking || d > o.Spent[best]-before.Spent[best]) {
			best = k
		}
	}
	return names[best]
}

// sighting is what an observer wants to know of a piece again and the works
// does not: it is kept only while somebody watches.
type sighting struct {
	cast int    // of its mould
	kiln string // of its last fire
	load uint64
}

// sight returns what is remembered of a piece.
func (r *run) sight(i pieceID) *sighting {
	for len(r.sights) <= int(i) {
		r.sights = append(r.sights, sighting{})
	}
	return &r.sights[i]
}

// observe reports an event of a piece, if anybody watches.
func (r *run) observe(i pieceID, event, where string) {
	if r.watch != nil {
		o := r.observation(i, event, where)
		o.Detail = r.parents(&o)
		r.watch(o)
	}
}

// observeFill reports that a mould is filled, and remembers with which cast.
func (r *run) observeFill(i pieceID, where string) {
	if r.watch != nil {
		*r.sight(i) = sighting{cast: int(r.moulds.all[r.pieces[i].mould].casts)}
		r.observe(i, "filled", where)
	}
}

// observeLoad reports that a piece goes into the fire with its car or load, and
// remembers with which.
func (r *run) observeLoad(i pieceID, kiln, what string, no uint64) {
	seen := r.sight(i)
	seen.kiln, seen.load = kiln, no
	o := r.observation(i, "into the kiln", kiln)
	o.Detail = fmt.Sprintf("%s %d", what, no)
	r.watch(o)
}

// openSections are where the pieces of an opening state are counted.
var openSections = map[string]section{
	"in-moulds": inMould, "leather-hard": atFinishing, "punched": atFinishing, "finished": atFinishing, "drying": atDryers,
	"dried": atWhite, "passed": atGlazing, "coat-drying": atGlazing, "glazed": inBuffer, "firing": inKiln, "fired": atSorting,
	"to-patch": inRefire, "patched": inRefire, "refiring": inRefire, "refired": inRefire, "sorted": atTest, "tested": atPacking,
}

// observeOpening reports a piece that is in the works at the start, by the key
// of the opening state that it is counted under, and when it was filled, if that
// is known. What it was cast in nobody knows.
func (r *run) observeOpening(i pieceID, key string, known bool) {
	if r.watch == nil {
		return
	}
	*r.sight(i) = sighting{}
	o := r.observation(i, "in stock", "")
	o.Section, o.Detail = sectionNames[openSections[key]], key
	if known {
		o.Filled = r.pieces[i].filled
	}
	r.watch(o)
}

// observePacked reports a packed piece, with the order it counts towards; nil
// is stock.
func (r *run) observePacked(i pieceID, to *order) {
	if r.watch == nil {
		return
	}
	o := r.observation(i, "packed", "")
	o.Grade = "A"
	if r.pieces[i].second {
		o.Grade = "B"
	}
	if to != nil {
		o.Order = to.in.Name
	}
	r.watch(o)
}

func (r *run) observation(i pieceID, event, where string) Observation {
	p, seen := &r.pieces[i], r.sight(i)
	o := Observation{
		At: r.sim.Now(), Piece: p.serial, Ware: r.wares[p.ware].name, Event: event,
		Section: sectionNames[p.at], Where: where, Kiln: seen.kiln, Load: seen.load,
	}
	if p.mould >= 0 {
		m := &r.moulds.all[p.mould]
		o.Mould = Parentage{No: int(m.no), Cast: seen.cast, Life: int(m.life), Case: int(m.caseNo), Block: int(m.block)}
	}
	for k, ms := range p.spent {
		o.Spent[k] = des.Time(ms)
	}
	return o
}

// parents names the tools that a piece descends from, when it is filled.
func (r *run) parents(o *Observation) string {
	if m := o.Mould; o.Event == "filled" && m.No > 0 {
		return fmt.Sprintf("working mould %d (cast %d of %d), case %d, block %d, model of %s", m.No, m.Cast, m.Life, m.Case, m.Block, o.Ware)
	}
	return ""
}

// SectionNames names where a piece can stand, in the order of the flow.
func SectionNames() []string { return sectionNames[:] }
