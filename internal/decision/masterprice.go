package decision

import "math"

// Constant-value forms of what a fault in the tooling costs, and the choices
// that follow from them.

// Pipeline is the value of the bad pieces on their way to a gate that sees every
// fault at once, when a piece of an age of t days is worth base + slope x t and
// so many a day are cast.
func Pipeline(perDay, base, slope, days float64) float64 {
	return perDay * (float64(base*days) + float64(slope*days*days/2))
}

// LeastCost is what a fault costs at the least at a gate so many days after the
// cast that sees every fault: a constant value of a piece, nobody waits.
func LeastCost(perDay, value, days float64) float64 {
	return value * (math.Floor(perDay*days) + 1)
}

// LateCost is the value lost by a share of bad pieces, each worth what the
// stages up to its detection have put into it.
func LateCost(pieces, bad, value float64) float64 { return pieces * bad * value }

// Sampling is the price of watching a process that goes bad now and then. At a
// gate a fraction of all pieces is inspected; what is fixed by the pipeline is
// not in it, since no fraction changes it.
type Sampling struct {
	PerYear float64 // faults a year
	Value   float64 // of a bad piece that reaches the gate
	Faults  int     // faults that make the alarm
	Cost    float64 // of inspecting one piece
	Pieces  float64 // pieces a year
	Finds   float64 // share of the faults seen that is found
	Reach   float64 // share of the casts that reach the gate
}

// Of is the cost a year of inspecting a fraction in (0, 1].
func (s Sampling) Of(fraction float64) float64 {
	return float64(s.Cost*s.Pieces*fraction) + s.loss()/fraction
}

// loss is that of the pieces it takes to make the alarm, if all are inspected.
func (s Sampling) loss() float64 {
	return s.PerYear * s.Value * float64(s.Faults) / (s.Finds * s.Reach)
}

// Best is the fraction at which the cost is least; all pieces if inspecting
// costs nothing or the optimum lies beyond.
func (s Sampling) Best() float64 {
	if s.Cost == 0 || s.Pieces == 0 {
		return 1
	}
	return min(1, math.Sqrt(s.loss()/(s.Cost*s.Pieces)))
}

// InspectAll tells whether to inspect every piece rather than none: if it costs
// less than what goes on otherwise. Faulty is the share of faulty pieces, finds
// that of them found, falseAlarm that of good ones rejected, which cost lost.
// Deming's rule (Out of the Crisis, 1986, chapter 15), with a fallible inspector.
func InspectAll(faulty, finds, goesOn, falseAlarm, lost, cost float64) bool {
	return float64(faulty*finds*goesOn)-float64((1-faulty)*falseAlarm*lost) > cost
}

// StopAt is the probability of a fault from which it pays to stop casting until
// more is known: margin lost by stopping against value lost by casting on.
func StopAt(margin, value float64) float64 { return margin / (margin + value) }

// PilotWorth is what a trial of n pieces before a release saves on average, when
// a share of releases is bad, a loss follows a bad one and each piece of a bad
// one is found out with a chance.
func PilotWorth(bad, loss, chance float64, n int) float64 {
	return bad * loss * (1 - math.Pow(1-chance, float64(n)))
}

// ByHand is one row of the estimate by hand of a fault in the model that
// reaches the benches by so many moulds a day, each cast once a day, found on a
// day after the first such mould. All casts are charged, ordinary losses are not
// deducted but for packed ware.
type ByHand struct {
	Day    int // 0: before any mould
	Moulds int
	Casts  int
	Cost   float64
}

// HandValues are the money of the estimate by hand.
type HandValues struct {
	Places  int     // mould places, which bound the bad moulds
	PerDay  int     // bad moulds that reach the benches a day
	Model   float64 // correcting the model, before any mould
	Tools   float64 // model, block and cases anew
	Mould   float64 // working mould
	Clay    float64 // unfired piece before white inspection, net of the credit
	Work    float64 // piece in the works, on average, net of the credit
	Fired   float64 // fired piece, with its disposal
	Packed  float64 // packed piece
	Return  float64 // piece that comes back from a customer
	Yield   float64 // good pieces a cast
	Returns float64 // share of shipped pieces that comes back
}

// exposure is the moulds and casts made by a day.
func (v HandValues) exposure(day int) (moulds, casts int) {
	for d := 1; d <= day; d++ {
		moulds = min(v.Places, moulds+v.PerDay)
		casts += moulds
	}
	return moulds, casts
}

// BeforeAny is the row of a fault found on the model.
func (v HandValues) BeforeAny() ByHand { return ByHand{Cost: v.Model} }

// Unfired is a row whose pieces are all still clay, of a value.
func (v HandValues) Unfired(day int, value float64) ByHand {
	moulds, casts := v.exposure(day)
	return ByHand{day, moulds, casts, v.Tools + float64(float64(moulds)*v.Mould) + float64(float64(casts)*value)}
}

// AfterFire is a row whose casts of at least an age in days are fired.
func (v HandValues) AfterFire(day, age int) ByHand {
	moulds, casts := v.exposure(day)
	_, fired := v.exposure(day - age)
	return ByHand{day, moulds, casts, v.Tools + float64(float64(moulds)*v.Mould) + float64(float64(fired)*v.Fired) + float64(float64(casts-fired)*v.Work)}
}

// Shipped is a row whose casts of at least an age are packed: half of the good
// ones are in the store, half are out, and a share of these comes back. Pieces
// are whole numbers.
func (v HandValues) Shipped(day, age int) ByHand {
	moulds, casts := v.exposure(day)
	_, old := v.exposure(day - age)
	good := int(math.Round(float64(old) * v.Yield))
	stored := good / 2
	back := math.Round(float64(good-stored) * v.Returns)
	cost := v.Tools + float64(float64(moulds)*v.Mould) + float64(float64(casts-old)*v.Work) + float64(float64(stored)*v.Packed) + float64(back*v.Return)
	return ByHand{day, moulds, casts, cost}
}
