package decision

import (
	"math"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// A Flip is what would have to be true for another option to be the one to
// build, all else as it is.
type Flip struct {
	Input string // what would have to differ
	Unit  string
	Now   float64        // what it is
	At    stats.Estimate // where the answer flips; without interval where none was worked out
	Above bool           // it flips above that, else below
	To    int            // the option that then wins, or of a demand is enough; -1: none of them
	How   string         // how it was found
}

// OverNow is At over Now, with its interval; no value where Now is none or 0.
func (f Flip) OverNow() stats.Estimate {
	if math.IsNaN(f.Now) || f.Now == 0 {
		return none()
	}
	e := f.At
	e.Value, e.Low, e.High = e.Value/f.Now, e.Low/f.Now, e.High/f.Now
	return e
}

// sameRuns is how an input is found that plays no part in the runs themselves.
const sameRuns = "the same runs, reckoned again"

// mostTimes bounds how far a price is looked for: ten times as much as now is
// another world.
const mostTimes = 10

// flips lists what would turn the recommendation, for each other option that
// meets demand; and the demands at which others become enough, or it does not.
func (z *sizing) flips(r *Sized) []Flip {
	var all []Flip
	add := func(f Flip, ok bool) {
		if ok {
			all = append(all, f)
		}
	}
	for _, o := range z.candidates {
		if o == r.Best {
			continue
		}
		add(z.fuelFlip(r, o))
		add(z.capitalFlip(r, o))
		add(z.rateFlip(r, o))
		for f := range z.Futures {
			add(z.weightFlip(r, o, f))
			add(z.wayFlip(r, o, f))
		}
	}
	return append(nearestFlips(all), z.demandFlips(r)...)
}

// nearestFlips keeps of each input, and of each side of what it is, the flip
// that comes first: beyond it the answer is another already.
func nearestFlips(all []Flip) []Flip {
	var kept []Flip
	for _, f := range all {
		i := slices.IndexFunc(kept, func(k Flip) bool { return k.Input == f.Input && k.Above == f.Above })
		switch {
		case i < 0:
			kept = append(kept, f)
		case math.Abs(f.At.Value-f.Now) < math.Abs(kept[i].At.Value-f.Now):
			kept[i] = f
		}
	}
	return kept
}

// both gives a figure of an option and of the best over the replications that
// both have.
func (z *sizing) both(best, o int, of func(o int) []float64) (other, mine []float64) {
	other, mine = of(o), of(best)
	n := min(len(other), len(mine))
	return other[:n], mine[:n]
}

// fuelFlip is the price of fuel at which another option is as cheap. Cost is
// linear in the price; where futures have prices of their own all are scaled
// alike, and the price named is that of the main future.
func (z *sizing) fuelFlip(r *Sized, o int) (Flip, bool) {
	at := func(times float64) func(o int) []float64 {
		return func(o int) []float64 {
			return weigh(z.Futures, func(f int) []float64 {
				a := z.accounts[o][f]
				return a.yearly(z.Terms, z.Options[o].Outlay, times*a.price)
			})
		}
	}
	free, mineFree := z.both(r.Best, o, at(0))
	now, mineNow := z.both(r.Best, o, at(1))
	price := z.accounts[r.Best][r.Main].price / kWhPerGJ
	// The difference is free + times x slope: it is 0 at -free/slope.
	against, slope := make([]float64, len(free)), make([]float64, len(free))
	for i := range free {
		d0, d1 := free[i]-mineFree[i], now[i]-mineNow[i]
		against[i], slope[i] = -price*d0, d1-d0
	}
	e := stats.RatioInterval(against, slope, experiment.Level)
	if !(e.Value > 0) || e.Value > mostTimes*price || len(free) == 0 {
		return Flip{}, false
	}
	return Flip{Input: "price of fuel", Unit: z.Currency + "/kWh", Now: price, At: bounded(e), Above: average(slope) < 0, To: o, How: sameRuns}, true
}

// bounded drops an interval that its own warnings call of no use.
func bounded(e stats.Estimate) stats.Estimate {
	if e.N < 2 || e.Low > e.Value || e.High < e.Value {
		e.Low, e.High = math.NaN(), math.NaN()
	}
	return e
}

// capitalFlip is how much the best option may cost at most.
func (z *sizing) capitalFlip(r *Sized, o int) (Flip, bool) {
	outlay := z.Options[r.Best].Outlay
	recovery := CapitalRecovery(z.Terms.Rate, outlay.Life)
	e := z.saving(r.Best, o)
	if outlay.Capital == 0 || !(e.Value > 0) {
		return Flip{}, false
	}
	for _, v := range []*float64{&e.Value, &e.Low, &e.High} {
		*v = outlay.Capital + *v/recovery
	}
	return Flip{Input: "capital of " + z.Options[r.Best].Name, Unit: z.Currency, Now: outlay.Capital, At: e, Above: true, To: o, How: sameRuns}, true
}

// mostRate is the highest interest that is looked at.
const mostRate = 0.30

// rateFlip is the interest nearest to that of the terms at which another option
// is as cheap.
func (z *sizing) rateFlip(r *Sized, o int) (Flip, bool) {
	run, mine := z.both(r.Best, o, func(o int) []float64 {
		return weigh(z.Futures, func(f int) []float64 { return z.accounts[o][f].running(z.Terms, z.accounts[o][f].price) })
	})
	base := average(run) - average(mine)
	gain := func(rate float64) float64 {
		return base + z.Options[o].Outlay.PerYear(rate) - z.Options[r.Best].Outlay.PerYear(rate)
	}
	at, ok := math.NaN(), false
	for _, way := range []float64{1, -1} {
		x, found := crossing(gain, z.Terms.Rate, way)
		if found && (!ok || math.Abs(x-z.Terms.Rate) < math.Abs(at-z.Terms.Rate)) {
			at, ok = x, true
		}
	}
	if !ok {
		return Flip{}, false
	}
	e := none()
	e.Value, e.N = 100*at, len(run)
	return Flip{Input: "interest", Unit: "% a year", Now: 100 * z.Terms.Rate, At: e, Above: at > z.Terms.Rate, To: o, How: sameRuns}, true
}

// crossing walks from a rate in one direction until a gain is lost, and halves
// the last step down to a thousandth of a point.
func crossing(gain func(rate float64) float64, from, way float64) (float64, bool) {
	const step = 0.005
	if !(gain(from) > 0) {
		return 0, false
	}
	inside := from
	for x := from + float64(way*step); x >= 0 && x <= mostRate; x += float64(way * step) {
		if gain(x) > 0 {
			inside = x
			continue
		}
		outside := x
		for math.Abs(outside-inside) > 1e-5 {
			if middle := (inside + outside) / 2; gain(middle) > 0 {
				inside = middle
			} else {
				outside = middle
			}
		}
		return (inside + outside) / 2, true
	}
	return 0, false
}

// weightFlip is how likely a future must be for another option to be the
// cheaper on the whole, the others keeping their proportions.
func (z *sizing) weightFlip(r *Sized, o, f int) (Flip, bool) {
	in, mine := z.both(r.Best, o, func(o int) []float64 { return z.yearlyIn(o, f) })
	all, mineAll := z.both(r.Best, o, z.yearly)
	n := min(len(in), len(all))
	w := z.Futures[f].Weight
	if w >= 1 || n == 0 {
		return Flip{}, false
	}
	here, rest := make([]float64, n), make([]float64, n)
	for i := range n {
		here[i] = in[i] - mine[i]
		rest[i] = (all[i] - mineAll[i] - float64(w*here[i])) / (1 - w)
	}
	// The whole is w here + (1 - w) rest: 0 at rest / (rest - here).
	gap := make([]float64, n)
	for i := range gap {
		gap[i] = 100 * rest[i]
		rest[i] -= here[i]
	}
	e := bounded(stats.RatioInterval(gap, rest, experiment.Level))
	if !(e.Value >= 0 && e.Value <= 100) || !(average(all)-average(mineAll) > 0) {
		return Flip{}, false
	}
	return Flip{Input: "weight of the future " + z.Futures[f].Name, Unit: "%", Now: 100 * w, At: e, Above: e.Value > 100*w, To: o, How: "the same runs, weighed again"}, true
}

// wayFlip is how far the works must go from the main future towards another for
// another option to be the cheaper, by a straight line between the two: what
// differs between them is in the works, so the same runs cannot be asked. Where
// it is the demand that differs, that is what is named.
func (z *sizing) wayFlip(r *Sized, o, f int) (Flip, bool) {
	if f == r.Main || slices.Equal(z.accounts[r.Best][f].good, z.accounts[r.Best][r.Main].good) {
		return Flip{}, false // the same runs at other prices
	}
	from, mine := z.both(r.Best, o, func(o int) []float64 { return z.yearlyIn(o, r.Main) })
	to, mineTo := z.both(r.Best, o, func(o int) []float64 { return z.yearlyIn(o, f) })
	n := min(len(from), len(to))
	start, fall := make([]float64, n), make([]float64, n)
	for i := range n {
		start[i] = from[i] - mine[i]
		fall[i] = start[i] - (to[i] - mineTo[i])
	}
	e := bounded(stats.RatioInterval(start, fall, experiment.Level))
	if !(e.Value >= 0 && e.Value <= 1) || !(average(start) > 0) {
		return Flip{}, false
	}
	flip := Flip{To: o, Above: true, How: "a straight line between the futures " + z.Futures[r.Main].Name + " and " + z.Futures[f].Name}
	now, then := z.Futures[r.Main].total(), z.Futures[f].total()
	if then == now {
		flip.Input, flip.Unit = "way from "+z.Futures[r.Main].Name+" to "+z.Futures[f].Name, "%"
		flip.At = between(e, 0, 100)
		return flip, true
	}
	flip.Input, flip.Unit, flip.Now, flip.Above = "demand and the plan with it", "pieces/wk", now, then > now
	flip.At = between(e, now, then-now)
	return flip, true
}

// between is a place on the straight line from one value to another: from + the
// estimate's share of the span.
func between(e stats.Estimate, from, span float64) stats.Estimate {
	e.Value, e.Low, e.High = from+float64(span*e.Value), from+float64(span*e.Low), from+float64(span*e.High)
	if e.Low > e.High {
		e.Low, e.High = e.High, e.Low
	}
	return e
}

// demandFlips are the demands, in the main future and as planned there, below
// which a cheaper option is enough and above which the best is not.
func (z *sizing) demandFlips(r *Sized) []Flip {
	const how = "the same runs, held against another demand"
	now := z.Futures[r.Main].total()
	flip := func(at stats.Estimate, above bool, to int) Flip {
		return Flip{Input: "demand", Unit: "pieces/wk", Now: now, At: at, Above: above, To: to, How: how}
	}
	var all []Flip
	best := r.Options[r.Best]
	if r.Met && best.UpTo.Value >= now {
		next := -1
		for o, x := range r.Options {
			if x.UpTo.Value > best.UpTo.Value*(1+leastStep) && (next < 0 || x.Yearly.Value < r.Options[next].Yearly.Value) {
				next = o
			}
		}
		all = append(all, flip(best.UpTo, true, next))
	}
	// From the cheapest up, an option is worth naming if it meets clearly more than
	// all that take less.
	enough := 0.0
	for _, p := range r.Curve {
		x := r.Options[p.Option]
		if p.Option == r.Best || p.Outlay >= best.Fixed || slices.Contains(z.candidates, p.Option) || !(x.UpTo.Value < now) || x.UpTo.Value < enough*(1+leastStep) {
			continue
		}
		enough = x.UpTo.Value
		all = append(all, flip(x.UpTo, false, p.Option))
	}
	return all
}
