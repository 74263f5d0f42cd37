package decision

import "math"

// An OrderByHand is an order in a works that runs evenly: the date with a
// pencil, and what makes it wide. All times are in working days.
type OrderByHand struct {
	Quantity int
	Yield    float64 // good pieces of one cast
	Casts    float64 // a working day
	Pipeline float64 // days from a cast to the pallet
	Counted  int     // pieces that the yield was counted on; 0: it is known
	Stops    Stops
}

// Stops are long stops of whatever limits the works.
type Stops struct {
	PerDay   float64 // how many, on average
	Mean, SD float64 // days each takes
}

// Starts is the casts on average.
func (o OrderByHand) Starts() float64 { return float64(o.Quantity) / o.Yield }

// Days is when the last good piece is ready, without any stop: the pipeline and
// the quantity at an even rate.
func (o OrderByHand) Days() float64 { return o.Pipeline + o.running() }

// running is the days on which good pieces come.
func (o OrderByHand) running() float64 { return float64(o.Quantity) / (o.Casts * o.Yield) }

// CastingDays is the working days on which is cast, the last one begun.
func (o OrderByHand) CastingDays() int { return int(math.Ceil(o.Starts()/o.Casts - 1e-9)) }

// LastCast is the days elapsed when the last of the casts is filled, if a day's
// casts are filled at its beginning.
func (o OrderByHand) LastCast() int { return o.CastingDays() - 1 }

// Width is the spread of the date and whence it comes.
type Width struct {
	Pieces  float64 // standard deviation, days: luck of single pieces
	Unknown float64 // the yield is not known exactly
	Stops   float64 // long stops
	Later   float64 // days that stops add on average
}

// Total is the standard deviation of the date.
func (w Width) Total() float64 {
	return math.Sqrt(float64(w.Pieces*w.Pieces) + float64(w.Unknown*w.Unknown) + float64(w.Stops*w.Stops))
}

// Shares are the parts of the variance, adding up to 1.
func (w Width) Shares() (pieces, unknown, stops float64) {
	all := w.Total() * w.Total()
	return w.Pieces * w.Pieces / all, w.Unknown * w.Unknown / all, w.Stops * w.Stops / all
}

// Width works the spread out. The casts until the Q-th good piece are negative
// binomial, with variance Q (1-Y) / Y^2; a yield off by its error moves the date
// in proportion; stops over the time of casting are a compound Poisson sum, with
// variance (rate x time) (mean^2 + sd^2).
func (o OrderByHand) Width() Width {
	q, y, time := float64(o.Quantity), o.Yield, o.running()
	w := Width{Pieces: math.Sqrt(q*(1-y)) / y / o.Casts}
	if o.Counted > 0 {
		w.Unknown = time * math.Sqrt(y*(1-y)/float64(o.Counted)) / y
	}
	expected := float64(o.Stops.PerDay * time)
	w.Stops = math.Sqrt(expected * (float64(o.Stops.Mean*o.Stops.Mean) + float64(o.Stops.SD*o.Stops.SD)))
	w.Later = expected * o.Stops.Mean
	return w
}
