package decision

import (
	"math"

	"potbank/internal/des"
)

// Fires are the shares of the pieces that a first fire and any later one make
// good or send to be fired again; the rest is scrap.
type Fires struct {
	Good, Again           float64 // of a first fire
	LaterGood, LaterAgain float64 // of a refire
	Most                  int     // refires of one piece; 0: as often as it is sent
}

// Loads is the firings of one piece that is started: 1 + r1 / (1 - r2) where
// refires are not limited.
func (f Fires) Loads() float64 { return 1 + float64(f.Again*f.rounds()) }

// Yield is the good pieces from one that is started: a1 + r1 a2 / (1 - r2).
func (f Fires) Yield() float64 { return f.Good + float64(f.Again*f.LaterGood*f.rounds()) }

// SlotsPerGood is the places in a kiln that one good piece takes.
func (f Fires) SlotsPerGood() float64 { return f.Loads() / f.Yield() }

// rounds is the refires of a piece that is sent to its first: the geometric sum
// of those that are sent on.
func (f Fires) rounds() float64 {
	if f.Most == 0 {
		return 1 / (1 - f.LaterAgain)
	}
	sum, share := 0.0, 1.0
	for range f.Most {
		sum += share
		share *= f.LaterAgain
	}
	return sum
}

// LongestGap is the longest time within a week, begun at some instant and
// repeated without end, in which hours are closed.
func LongestGap(h *des.Hours, from des.Time) des.Time {
	open := weekOf(h, from)
	if len(open) == 0 {
		return des.Week
	}
	gap := open[0].Open + des.Week - open[len(open)-1].Close
	for i := 1; i < len(open); i++ {
		gap = max(gap, open[i].Open-open[i-1].Close)
	}
	return gap
}

// StockToHold is the hours of a kiln's steady draw that must lie in store at
// its highest, if shops that work only in some hours supply in a week just what
// the kiln draws in it: the greatest fall of the stock over a week repeated
// without end. For regular shifts it is the longest gap; for irregular ones it
// can be more.
func StockToHold(h *des.Hours, from des.Time) float64 {
	open := weekOf(h, from)
	var work des.Time
	for _, iv := range open {
		work += iv.Len()
	}
	if work == 0 {
		return math.Inf(1)
	}
	// Per hour of work the stock grows by what the shops supply less the draw.
	growth := float64(des.Week)/float64(work) - 1
	stock, top, fall := 0.0, 0.0, 0.0
	at := des.Time(0)
	for week := range des.Time(2) {
		for _, iv := range open {
			stock -= float64(iv.Open + week*des.Week - at)
			fall = max(fall, top-stock)
			stock += float64(growth * float64(iv.Len()))
			top = max(top, stock)
			at = iv.Close + week*des.Week
		}
	}
	return fall / float64(des.Hour)
}

// weekOf is the openings of hours in the week from an instant on, counted from
// it.
func weekOf(h *des.Hours, from des.Time) []des.Interval {
	var open []des.Interval
	for _, iv := range h.Intervals() {
		o, c := max(iv.Open-from, 0), min(iv.Close-from, des.Week)
		if o < c {
			open = append(open, des.Interval{Open: o, Close: c})
		}
	}
	return open
}

// CarsToHold is the kiln cars of a tunnel that is fed from loaded cars over a
// gap in which nobody loads or draws: those inside, those that wait loaded at
// the beginning of the gap and as many that wait fired at its end. Cars being
// loaded and in repair come on top.
func CarsToHold(inside int, gap, push des.Time) int {
	return CarsForSlots(inside, float64(gap)/float64(push))
}

// CarsForSlots is CarsToHold for so many pushes in the gap, at whatever pace.
func CarsForSlots(inside int, slots float64) int {
	const rounding = 1e-9 // of slots that are whole but for it
	return inside + 2*int(math.Ceil(slots-rounding))
}

// A Stretch is a time in which a tunnel is pushed at one interval.
type Stretch struct{ Span, Push des.Time }

// Slots is the pushes that fall into some stretches on average: not whole, as a
// push that is due at a change of pace is carried over in part.
func Slots(stretches ...Stretch) float64 {
	var sum float64
	for _, s := range stretches {
		sum += float64(s.Span) / float64(s.Push)
	}
	return sum
}

// A Firing is the energy balance of a kiln in the units of its meter.
type Firing struct {
	Base  float64 // energy an hour, whatever the load
	Piece float64 // energy for each piece fired
	Rated float64 // pieces an hour at full load
	Yield float64 // good pieces from one fired
}

// PerGood is the energy for one good piece at a load factor (1: full), and how
// much of it is the base. E / GQ of a linear baseline E = a hours + b pieces.
func (f Firing) PerGood(load float64) (energy, base float64) {
	base = f.Base / (f.Rated * load * f.Yield)
	return base + f.Piece/f.Yield, base
}
