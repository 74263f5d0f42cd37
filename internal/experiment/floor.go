package experiment

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A Floor is one week of one replication to be looked at: where the ware stood
// at every step of ten minutes, and what happened. It shows how a works moves;
// it is one run of chance, and evidence of nothing.
type Floor struct {
	Start    time.Time // civil, of the first step
	Step     des.Time
	Wares    []string
	Sections []string
	Stock    [][][]int   // [step][section][ware], pieces at the end of the step
	Packed   []int       // [step], good pieces since the week began
	Lost     []int       // [step], pieces since the week began
	Fired    []int       // [step], pieces that went into a kiln in the step
	Moved    [][]int     // [step][section], pieces that left the section in the step
	Kilns    []string    // that fired in the week, by name
	Fire     [][]int     // [step][kiln], pieces in the fire at the end of the step
	Suspect  [][]int     // [step][section], suspect pieces of Stock; empty if nothing is suspected
	Escaped  []int       // [step], suspect pieces packed since the start of the run
	Moments  []Moment    // in order of time
	Story    []StoryStep // of the piece followed
}

// A Moment is something to jump to.
type Moment struct {
	Step int
	Kind string // starved: no ware went into a kiln for long; window: pieces too dry to be punched; lost: many pieces lost by one cause
	Text string
	// Piece is one of those it is about, so that its story can be told; 0: none.
	Piece uint64
}

// A StoryStep is one event of the piece followed.
type StoryStep struct {
	At      time.Time
	Step    int // of the week; negative before it
	Section string
	Event   string
	Where   string
	Detail  string
}

// FloorQuestion says what to look at.
type FloorQuestion struct {
	Seed        uint64
	Replication uint32 // from 1
	Week        int    // from 1
	Piece       uint64 // whose story is told; 0: none
	Suspect     Tool   // whose pieces are watched; zero: none
}

// A Tool is a case, or one working mould, that is suspected of a fault.
type Tool struct {
	Ware        string
	Case, Mould int // numbered by ware from 1; 0: any
}

// made tells whether a piece that is being filled comes from the tool.
func (t Tool) made(o plant.Observation) bool {
	return o.Ware == t.Ware && o.Mould.No > 0 && (t.Case == 0 || t.Case == o.Mould.Case) && (t.Mould == 0 || t.Mould == o.Mould.No)
}

// floorStep is how often stocks are looked at.
const floorStep = 10 * des.Minute

// How long a kiln gets no ware until it is worth a look: a push or two of a
// tunnel is nothing, and a shuttle that stands empty for a shift is between loads.
const (
	tunnelWants  = des.Hour
	shuttleWants = 8 * des.Hour
)

// LookAt runs one replication up to the end of a week and keeps what its pieces
// did in that week.
func LookAt(p Runner, q FloorQuestion) (*Floor, error) {
	if q.Week < 1 || q.Week > p.Weeks() {
		return nil, fmt.Errorf("experiment: week %d of a run of %d", q.Week, p.Weeks())
	}
	w := newWatch(p, q)
	_, err := p.Simulate(plant.Options{Source: random.New(q.Seed, q.Replication), Weeks: q.Week, Observer: w.see})
	if err != nil {
		return nil, &ReplicationError{Number: int(q.Replication), Err: err}
	}
	w.until(w.to)
	slices.SortStableFunc(w.floor.Moments, func(a, b Moment) int { return cmp.Compare(a.Step, b.Step) }) // a want is known when it ends
	return w.floor, nil
}

// watch follows the pieces of a run.
type watch struct {
	p        Runner
	floor    *Floor
	piece    uint64
	from, to des.Time
	stand    map[uint64]stand // pieces in the works
	tool     Tool
	suspect  map[uint64]bool // pieces in the works that are
	bad      []int           // [section], of those, now
	escaped  int
	moved    []int          // [section], in the present step
	kiln     map[string]int // by name, its place in Kilns
	inFire   map[uint64]int // by piece, the kiln it is in
	fire     []int          // [kiln], now
	stock    [][]int        // [section][ware], now
	ware     map[string]int
	section  map[string]int
	packed   int
	lost     int
	fired    int
	without  []des.Time      // [kiln], since when it has been getting no ware
	losses   map[string]loss // pieces lost in the present hour, by cause
	hour     des.Time
}

// loss is how many pieces were lost by a cause, and the first of them.
type loss struct {
	pieces int
	first  uint64
}

// stand is where a piece stands.
type stand struct{ ware, section int }

func newWatch(p Runner, q FloorQuestion) *watch {
	w := &watch{p: p, piece: q.Piece, from: des.Time(q.Week-1) * des.Week, to: des.Time(q.Week) * des.Week,
		stand: map[uint64]stand{}, ware: map[string]int{}, section: map[string]int{}, losses: map[string]loss{},
		tool: q.Suspect, suspect: map[uint64]bool{}, kiln: map[string]int{}, inFire: map[uint64]int{}}
	f := &Floor{Start: p.Clock().Civil(w.from), Step: floorStep, Sections: plant.SectionNames()}
	for i := range p.Works().Ware {
		f.Wares = append(f.Wares, p.Works().Ware[i].Name)
		w.ware[f.Wares[i]] = i
	}
	for i, name := range f.Sections {
		w.section[name] = i
		w.stock = append(w.stock, make([]int, len(f.Wares)))
	}
	for _, k := range p.Works().Kilns {
		w.kiln[k.Name] = len(f.Kilns)
		f.Kilns = append(f.Kilns, k.Name)
	}
	w.bad, w.moved, w.fire = make([]int, len(f.Sections)), make([]int, len(f.Sections)), make([]int, len(f.Kilns))
	w.without = make([]des.Time, len(f.Kilns))
	w.floor, w.hour = f, w.from
	return w
}

// see takes in one event.
func (w *watch) see(o plant.Observation) {
	w.until(o.At)
	w.move(o)
	w.heat(o)
	if o.At >= w.from {
		w.count(o)
	}
	if o.Piece == w.piece {
		w.floor.Story = append(w.floor.Story, StoryStep{w.p.Clock().Civil(o.At), int((o.At-w.from)/floorStep - before(o.At, w.from)), o.Section, o.Event, o.Where, o.Detail})
	}
}

// before is one step for a time before the week, since division rounds up there.
func before(at, from des.Time) des.Time {
	if at < from {
		return 1
	}
	return 0
}

// move puts a piece where it stands now.
func (w *watch) move(o plant.Observation) {
	s, known := w.stand[o.Piece]
	if known {
		w.stock[s.section][s.ware]--
		if w.suspect[o.Piece] {
			w.bad[s.section]--
		}
	} else if w.tool.made(o) {
		w.suspect[o.Piece] = true
	}
	if o.Event == "packed" || o.Event == "lost" {
		if o.Event == "packed" && w.suspect[o.Piece] {
			w.escaped++
		}
		w.left(o, s)
		delete(w.stand, o.Piece)
		delete(w.suspect, o.Piece)
		return
	}
	to := stand{w.ware[o.Ware], w.section[o.Section]}
	if known && to != s {
		w.left(o, s)
	}
	w.stand[o.Piece] = to
	w.stock[to.section][to.ware]++
	if w.suspect[o.Piece] {
		w.bad[to.section]++
	}
}

// left counts a piece that leaves where it stood, if it does so in the week.
func (w *watch) left(o plant.Observation, s stand) {
	if o.At >= w.from {
		w.moved[s.section]++
	}
}

// heat follows a piece into a fire and out of it, and tells of a kiln that wanted
// ware: a tunnel since the last piece went in, a shuttle since it was empty.
func (w *watch) heat(o plant.Observation) {
	if k, in := w.inFire[o.Piece]; in {
		if w.fire[k]--; w.fire[k] == 0 && w.shuttle(k) {
			w.without[k] = o.At
		}
		delete(w.inFire, o.Piece)
	}
	k, known := w.kiln[o.Where]
	if !known || o.Event != "into the kiln" {
		return
	}
	switch gap := o.At - max(w.from, w.without[k]); {
	case o.At < w.from:
	case !w.shuttle(k) && gap >= tunnelWants:
		w.moment(o.At-gap, "starved", fmt.Sprintf("%s gets no ware for %s", o.Where, spell(gap)), 0)
	case w.shuttle(k) && w.fire[k] == 0 && gap >= shuttleWants:
		w.moment(o.At-gap, "starved", fmt.Sprintf("%s stands empty for %s", o.Where, spell(gap)), 0)
	}
	if !w.shuttle(k) {
		w.without[k] = o.At
	}
	w.fire[k]++
	w.inFire[o.Piece] = k
}

func (w *watch) shuttle(k int) bool { return w.p.Works().Kilns[k].Kind == "shuttle" }

// count keeps the figures of the week.
func (w *watch) count(o plant.Observation) {
	switch o.Event {
	case "packed":
		w.packed++
	case "lost":
		w.lost++
		l := w.losses[o.Where]
		if l.pieces++; l.first == 0 {
			l.first = o.Piece
		}
		w.losses[o.Where] = l
	case "into the kiln":
		w.fired++
	}
}

// until brings the steps up to a time.
func (w *watch) until(now des.Time) {
	f := w.floor
	for end := w.from + des.Time(len(f.Stock)+1)*floorStep; end <= min(now, w.to); end += floorStep {
		var frame [][]int
		for _, byWare := range w.stock {
			frame = append(frame, append([]int(nil), byWare...))
		}
		f.Stock = append(f.Stock, frame)
		f.Packed, f.Lost, f.Fired = append(f.Packed, w.packed), append(f.Lost, w.lost), append(f.Fired, w.fired)
		f.Moved, f.Fire = append(f.Moved, slices.Clone(w.moved)), append(f.Fire, slices.Clone(w.fire))
		if w.tool != (Tool{}) {
			f.Suspect, f.Escaped = append(f.Suspect, slices.Clone(w.bad)), append(f.Escaped, w.escaped)
		}
		clear(w.moved)
		w.fired = 0
		if end-w.hour >= des.Hour {
			w.tellLosses()
			w.hour = end
		}
	}
}

// heavyLoss is how many pieces lost by one cause in an hour are worth a look.
const heavyLoss = 5

// tellLosses makes a moment of every cause that cost many pieces in the hour, and
// of every window missed: that is the works' own doing, were it one piece.
func (w *watch) tellLosses() {
	for _, cause := range slices.Sorted(maps.Keys(w.losses)) {
		switch l := w.losses[cause]; {
		case cause == plant.TooDry:
			w.moment(w.hour, "window", fmt.Sprintf("%d grew too dry to be punched", l.pieces), l.first)
		case l.pieces >= heavyLoss:
			w.moment(w.hour, "lost", fmt.Sprintf("%d lost: %s", l.pieces, cause), l.first)
		}
	}
	clear(w.losses)
}

func (w *watch) moment(at des.Time, kind, text string, piece uint64) {
	w.floor.Moments = append(w.floor.Moments, Moment{int((at - w.from) / floorStep), kind, text, piece})
}

// spell says a span in hours and minutes.
func spell(t des.Time) string {
	return fmt.Sprintf("%d h %02d min", t/des.Hour, t%des.Hour/des.Minute)
}

// Most is the fullest that each section was in the week, in pieces.
func (f *Floor) Most() []int {
	most := make([]int, len(f.Sections))
	for _, sections := range f.Stock {
		for s, byWare := range sections {
			n := 0
			for _, pieces := range byWare {
				n += pieces
			}
			most[s] = max(most[s], n)
		}
	}
	return most
}
