package experiment

import (
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
	Moments  []Moment    // in order of time
	Story    []StoryStep // of the piece followed
}

// A Moment is something to jump to.
type Moment struct {
	Step int
	Kind string // gap: no ware went into a kiln for long; lost: pieces lost by one cause
	Text string
}

// A StoryStep is one event of the piece followed.
type StoryStep struct {
	At      time.Time
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
}

// floorStep is how often stocks are looked at.
const floorStep = 10 * des.Minute

// gapsFrom is how long no ware goes into any kiln until it is worth a look: a
// push or two is nothing.
const gapsFrom = des.Hour

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
	return w.floor, nil
}

// watch follows the pieces of a run.
type watch struct {
	p        Runner
	floor    *Floor
	piece    uint64
	from, to des.Time
	stand    map[uint64]stand // pieces in the works
	stock    [][]int          // [section][ware], now
	ware     map[string]int
	section  map[string]int
	packed   int
	lost     int
	fired    int
	lastFire des.Time
	losses   map[string]int // pieces lost in the present hour, by cause
	hour     des.Time
}

// stand is where a piece stands.
type stand struct{ ware, section int }

func newWatch(p Runner, q FloorQuestion) *watch {
	w := &watch{p: p, piece: q.Piece, from: des.Time(q.Week-1) * des.Week, to: des.Time(q.Week) * des.Week,
		stand: map[uint64]stand{}, ware: map[string]int{}, section: map[string]int{}, losses: map[string]int{}}
	f := &Floor{Start: p.Clock().Civil(w.from), Step: floorStep, Sections: plant.SectionNames()}
	for i := range p.Works().Ware {
		f.Wares = append(f.Wares, p.Works().Ware[i].Name)
		w.ware[f.Wares[i]] = i
	}
	for i, name := range f.Sections {
		w.section[name] = i
		w.stock = append(w.stock, make([]int, len(f.Wares)))
	}
	w.floor, w.lastFire, w.hour = f, w.from, w.from
	return w
}

// see takes in one event.
func (w *watch) see(o plant.Observation) {
	w.until(o.At)
	s, known := w.stand[o.Piece]
	if known {
		w.stock[s.section][s.ware]--
	}
	gone := o.Event == "packed" || o.Event == "lost"
	if gone {
		delete(w.stand, o.Piece)
	} else {
		s = stand{w.ware[o.Ware], w.section[o.Section]}
		w.stand[o.Piece] = s
		w.stock[s.section][s.ware]++
	}
	if o.At >= w.from {
		w.count(o)
	}
	if o.Piece == w.piece {
		w.floor.Story = append(w.floor.Story, StoryStep{w.p.Clock().Civil(o.At), o.Section, o.Event, o.Where, o.Detail})
	}
}

// count keeps the figures of the week.
func (w *watch) count(o plant.Observation) {
	switch o.Event {
	case "packed":
		w.packed++
	case "lost":
		w.lost++
		w.losses[o.Where]++
	case "into the kiln":
		w.fired++
		if gap := o.At - w.lastFire; gap >= gapsFrom {
			w.moment(o.At-gap, "gap", fmt.Sprintf("no ware goes into a kiln for %s", spell(gap)))
		}
		w.lastFire = o.At
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
		w.fired = 0
		if end-w.hour >= des.Hour {
			w.tellLosses()
			w.hour = end
		}
	}
}

// heavyLoss is how many pieces lost by one cause in an hour are worth a look.
const heavyLoss = 5

// tellLosses makes a moment of every cause that cost many pieces in the hour.
func (w *watch) tellLosses() {
	for _, cause := range sortedNames(w.losses) {
		if n := w.losses[cause]; n >= heavyLoss {
			w.moment(w.hour, "lost", fmt.Sprintf("%d pieces lost: %s", n, cause))
		}
	}
	clear(w.losses)
}

func (w *watch) moment(at des.Time, kind, text string) {
	w.floor.Moments = append(w.floor.Moments, Moment{int((at - w.from) / floorStep), kind, text})
}

// spell says a span in hours and minutes.
func spell(t des.Time) string {
	return fmt.Sprintf("%d h %02d min", t/des.Hour, t%des.Hour/des.Minute)
}

// sortedNames returns the keys of a map in order.
func sortedNames(m map[string]int) []string { return slices.Sorted(maps.Keys(m)) }
