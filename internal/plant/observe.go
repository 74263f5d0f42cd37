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
	Where   string // crew, kiln or machine
	Detail  string // parents of its mould, number of its car or load
	// Spent is the piece's time so far by part (see PartNames); what it grew by
	// since the last observation tells what the piece waited for meanwhile.
	Spent [parts]des.Time
}

// TooDry is Where of the event "lost" of a piece that had grown too dry to be
// punched.
const TooDry = "lost.finishing.too dry to punch"

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

// observe reports an event of a piece, if anybody watches.
func (r *run) observe(i pieceID, event, where string) {
	if r.watch != nil {
		r.watch(r.observation(i, event, where, r.parents(i, event)))
	}
}

// observeLoad reports that a piece goes into the fire with its car or load.
func (r *run) observeLoad(i pieceID, kiln, what string, no uint64) {
	r.watch(r.observation(i, "into the kiln", kiln, fmt.Sprintf("%s %d", what, no)))
}

func (r *run) observation(i pieceID, event, where, detail string) Observation {
	p := &r.pieces[i]
	o := Observation{
		At: r.sim.Now(), Piece: p.serial, Ware: r.wares[p.ware].name, Event: event,
		Section: sectionNames[p.at], Where: where, Detail: detail,
	}
	for k, ms := range p.spent {
		o.Spent[k] = des.Time(ms)
	}
	return o
}

// parents names the tools that a piece descends from, when it is filled.
func (r *run) parents(i pieceID, event string) string {
	p := &r.pieces[i]
	if event != "filled" || p.mould < 0 {
		return ""
	}
	m := &r.moulds.all[p.mould]
	return fmt.Sprintf("working mould %d (cast %d of %d), case %d, block %d, model of %s", m.no, m.casts, m.life, m.caseNo, m.block, r.wares[p.ware].name)
}

// SectionNames names where a piece can stand, in the order of the flow.
func SectionNames() []string { return sectionNames[:] }
