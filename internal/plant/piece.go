package plant

import "potbank/internal/des"

// section is where a piece stands, for the count of work in process.
type section uint8

const (
	inMould section = iota
	atFinishing
	atDryers
	atWhite
	atGlazing
	inBuffer
	inKiln
	atSorting
	inRefire
	atTest
	atPacking
	sections
)

var sectionNames = [sections]string{
	"casting", "finishing", "dryers", "white", "glazing", "buffer", "kiln", "sorting", "refire", "test", "packing",
}

// part is what a piece's time is charged to. Every millisecond between the
// fill and the pallet is charged to exactly one part, so that the parts of a
// lead time add up to it.
type part uint8

const (
	partWorking  part = iota // being worked, dried or fired
	partPlace                // waiting for a place: trolley, dryer, kiln, floor
	partCrew                 // waiting for hands that are on shift
	partWindow               // waiting for the punching window to open
	partBatch                // waiting for batch-mates: trolley, car, load, suite
	partOffShift             // waiting while the hands it needs are off shift
	partRefire               // from being sent back until sorted again
	parts
)

var partNames = [parts]string{"working", "place", "crew", "window", "batch", "off_shift", "refire"}

// ID of a piece in the run's slab; records are reused once a piece has left.
type pieceID = int32

const nobody pieceID = -1

// piece is one ware from the fill of its mould to the pallet or the tip. What
// every step touches comes first, to lie in the same lines of the cache.
type piece struct {
	mark   des.Time // its time is charged up to here
	since  des.Time // entered its section
	key    uint64   // identity for draws: mould place and how many casts before
	ware   int32
	at     section
	rank   uint8 // 0 goes first in queues
	fires  uint8
	step   step
	refire bool  // on its way through the refire loop
	value  int64 // money put into it so far, millionths
	spent  [parts]int64

	serial  uint64 // order of filling, from 1; 0: record free
	filled  des.Time
	load    uint64 // car or kiln load of its last fire, 0: unfired
	trolley int32
	mould   int32 // record of its working mould

	out    des.Time // left the mould, or the dryer where it stiffened
	wet    float64  // moisture then, % dry basis
	opens  des.Time // window
	closes des.Time
	extra  float64 // fault rate added by punching outside the window

	hidden  bool // a fault that white inspection let pass
	oddHole bool // a functional fault from a worn punch, that only a test finds
	unfit   bool // a functional fault of its own, likewise
	second  bool // B grade
	stock   bool // was in the works at the start
}

// herd is the pieces of one ware in one section: the count, its integral over
// time, and, kept apart from it, the time that leavers have stayed. Little's
// law ties the two: area = stayed + age of those still there, exactly.
type herd struct {
	n      int64
	area   int64 // piece-ms
	last   des.Time
	stayed int64 // piece-ms of those that left
	booked int64
	mark   int64 // area when working time last stopped
}

func (h *herd) settle(now des.Time) {
	h.area += h.n * int64(now-h.last)
	h.last = now
}

func (r *run) herdOf(ware int32, s section) *herd { return &r.herds[int(ware)*int(sections)+int(s)] }

// fillPiece makes a piece of a ware as its mould is filled.
func (r *run) fillPiece(ware int32, key uint64, mould int32) pieceID {
	now := r.sim.Now()
	i := r.newRecord()
	r.serial++
	r.pieces[i] = piece{
		key: key, serial: r.serial, ware: ware, mould: mould, trolley: -1,
		filled: now, mark: now, since: now, at: inMould, rank: r.rankOf(ware),
	}
	if r.daily != nil && mould >= 0 {
		r.daily.at(now, ware).Cast++
	}
	h := r.herdOf(ware, inMould)
	h.settle(now)
	h.n++
	r.expect(i, 1)
	r.moved(Outside, int(inMould))
	if r.master != nil {
		r.master.filled(i, mould)
	}
	return i
}

// newRecord takes a free record of the slab, or makes one.
func (r *run) newRecord() pieceID {
	if n := len(r.free); n > 0 {
		i := r.free[n-1]
		r.free = r.free[:n-1]
		return i
	}
	r.pieces = append(r.pieces, piece{})
	return pieceID(len(r.pieces) - 1)
}

// enter moves a piece to another section.
func (r *run) enter(i pieceID, to section) {
	p := &r.pieces[i]
	r.leaveSection(p)
	r.moved(int(p.at), int(to))
	p.at = to
	p.since = r.sim.Now()
	h := r.herdOf(p.ware, to)
	h.settle(p.since)
	h.n++
}

func (r *run) leaveSection(p *piece) {
	now := r.sim.Now()
	h := r.herdOf(p.ware, p.at)
	h.settle(now)
	h.n--
	h.stayed += int64(now - p.since)
}

// charge books the piece's time since its mark to a part.
func (r *run) charge(i pieceID, to part) {
	p := &r.pieces[i]
	r.chargeUntil(p, r.sim.Now(), to)
}

// chargeUntil books the piece's time from its mark up to t, which may lie at
// or before the mark: then there is nothing to book.
func (r *run) chargeUntil(p *piece, t des.Time, to part) {
	if t <= p.mark {
		return
	}
	if p.refire {
		to = partRefire
	}
	p.spent[to] += int64(t - p.mark)
	p.mark = t
}

// chargeWait books a wait for hands: what fell outside their hours to off
// shift, the rest to a part.
func (r *run) chargeWait(i pieceID, h *shifts, to part) {
	p, now := &r.pieces[i], r.sim.Now()
	if wait := now - p.mark; wait > 0 && h != nil && !p.refire {
		off := wait - h.openBetween(p.mark, now)
		p.spent[partOffShift] += int64(off)
		p.mark += off // which part of the wait was off shift does not matter to the sum
	}
	r.chargeUntil(p, now, to)
}

// shifts are hours with the interval of the last question remembered: most
// waits begin and end within one shift, and need no search.
type shifts struct {
	*des.Hours
	at des.Interval
}

// newShifts remembers nothing yet; hours that are nil stay nil.
func newShifts(h *des.Hours) *shifts {
	if h == nil {
		return nil
	}
	return &shifts{Hours: h}
}

// openBetween is the open time between a and b.
func (s *shifts) openBetween(a, b des.Time) des.Time {
	if b < s.at.Open || b >= s.at.Close {
		s.at, _ = s.At(b)
	}
	if s.at.Open <= a && b < s.at.Close {
		return b - a
	}
	return s.OpenBetween(a, b)
}

// retire removes a piece from the works and frees its record.
func (r *run) retire(i pieceID) {
	if r.master != nil {
		r.master.gone(i)
	}
	r.expect(i, -1)
	r.leaveSection(&r.pieces[i])
	r.moved(int(r.pieces[i].at), Outside)
	r.moulds.release(r.pieces[i].mould)
	r.pieces[i].serial = 0
	r.free = append(r.free, i)
}

// lane is a first-in first-out queue of pieces by rank: rank 0 goes first.
type lane struct {
	ranks [ranks]ring
	n     int
}

// ranks of pieces in queues: orders of priority 1 and 2, and the rest.
const ranks = 3

func (l *lane) push(i pieceID, rank uint8) {
	l.ranks[rank].push(i)
	l.n++
}

// head returns the piece that is next, or nobody.
func (l *lane) head() pieceID {
	for k := range l.ranks {
		if l.ranks[k].n > 0 {
			return l.ranks[k].at(0)
		}
	}
	return nobody
}

func (l *lane) pop() pieceID {
	for k := range l.ranks {
		if l.ranks[k].n > 0 {
			l.n--
			return l.ranks[k].pop()
		}
	}
	return nobody
}

// withdraw takes the pieces out that are to go, in order; the others stay in
// theirs.
func (l *lane) withdraw(goes func(i pieceID) bool) (out []pieceID) {
	for rank := range l.ranks {
		q := &l.ranks[rank]
		for range q.n {
			if i := q.pop(); goes(i) {
				out = append(out, i)
				l.n--
			} else {
				q.push(i)
			}
		}
	}
	return out
}

// nth returns the piece that would be popped after k others, or nobody.
func (l *lane) nth(k int) pieceID {
	for rank := range l.ranks {
		if k < l.ranks[rank].n {
			return l.ranks[rank].at(k)
		}
		k -= l.ranks[rank].n
	}
	return nobody
}

// ring is a growing ring buffer of pieces, cars or trolleys by number.
type ring struct {
	buf  []int32
	head int
	n    int
}

func (q *ring) at(k int) int32 { return q.buf[(q.head+k)&(len(q.buf)-1)] }

func (q *ring) push(i int32) {
	if q.n == len(q.buf) {
		grown := make([]int32, max(16, 2*len(q.buf)))
		for k := range q.n {
			grown[k] = q.at(k)
		}
		q.buf, q.head = grown, 0
	}
	q.buf[(q.head+q.n)&(len(q.buf)-1)] = i
	q.n++
}

func (q *ring) pop() int32 {
	i := q.buf[q.head]
	q.head = (q.head + 1) & (len(q.buf) - 1)
	q.n--
	return i
}

// delay passes pieces on after a fixed time, in the order they came: the
// drying of a coat. One timer serves all of them; a piece's mark, set by the
// charge before it is added, tells when its delay began.
type delay struct {
	r     *run
	span  des.Time
	queue ring
	next  func(i pieceID)
	armed bool
}

// add starts the delay of one piece.
func (d *delay) add(i pieceID) {
	if d.span == 0 {
		d.next(i)
		return
	}
	d.queue.push(i)
	if !d.armed {
		d.armed = true
		d.r.sim.After(d.span, des.Finish, d)
	}
}

// Fire passes on the piece whose time is up and arms the timer for the next.
func (d *delay) Fire(now des.Time) {
	i := d.queue.pop()
	d.armed = d.queue.n > 0
	if d.armed {
		started := d.r.pieces[d.queue.at(0)].mark
		d.r.sim.At(started+d.span, des.Finish, d)
	}
	d.next(i)
}
