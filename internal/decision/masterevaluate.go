package decision

import (
	"potbank/internal/des"
	"potbank/internal/plant"
)

// evaluate books what a stop at a time costs: the ware with the fault where it
// then is, what was taken out before, the moulds, the suspects, and what is out.
// What is starved in recovery is not in it.
func (h *history) evaluate(w watchPolicy, stop des.Time, seen []seenAt, luck gateLuck) played {
	p := played{stop: stop}
	never := stop >= h.end() // nobody stopped it: nothing is taken out or broken
	taken := map[int32]bool{}
	for _, s := range seen {
		if s.at < stop {
			taken[s.piece] = true
			p.cost.Destroyed += h.f.atGate(s.place)
		}
	}
	var showing, shipped, fired, returned float64
	back := luck.of("returns")
	for _, i := range h.bad {
		x := &h.all[i]
		if x.Filled >= stop {
			break
		}
		p.casts++
		if !x.Shows {
			continue
		}
		showing++
		wasFired := x.Passed[placeOf("fired")] > 0 && x.Passed[placeOf("fired")] < stop
		switch {
		case taken[i]:
		case never && (x.Inside || x.Packed && x.Gone+h.q.Fault.Store > stop): // nobody knows
			wasFired = false
		case x.Inside || x.Gone > stop: // in the works
			p.cost.Destroyed += h.f.standing(x, stop)
		case !x.Packed: // lost as any piece may be
			wasFired = false
		case x.Gone+h.q.Fault.Store > stop:
			p.cost.Destroyed += h.f.stages[valuePacked] + h.f.disposal
		default:
			wasFired = false
			shipped++
			if back(x) < h.q.Fault.Returns {
				returned++
			}
		}
		if wasFired {
			fired++
		}
	}
	for _, m := range h.moulds {
		if !never && h.q.Fault.Node != "punch" && m.made < stop && m.last >= stop-wornOut {
			p.moulds++
		}
	}
	var suspects, good float64
	if !never {
		p.cost.Tools = h.q.tools(p.moulds, h.cases(), true)
		suspects, good = h.suspects(w, stop)
	}
	p.cost.Search = suspects * h.q.Money.Sort
	p.cost.Destroyed += float64(good * h.q.Fault.Rejects * (h.f.stages[valueWhite] - h.f.reclaim))
	p.cost.Field = returned * h.q.Money.Return
	burnt := fired * h.b.fired
	if h.f.casting {
		burnt = max(0, float64(showing*h.b.yield)-shipped)
	}
	p.cost.Burnt = burnt * h.q.Money.Margin[h.f.ware.Name]
	p.shipped, p.returned = shipped, returned
	return p
}

// cases is the case sets broken at a stop: those of the run itself, or, if nobody
// stopped it, those that the works has.
func (h *history) cases() float64 {
	if h.rec.Stop != des.Never {
		return float64(h.rec.CasesBroken)
	}
	return h.f.cases
}

// end is the end of the run.
func (h *history) end() des.Time { return des.Time(h.q.Weeks) * des.Week }

// atGate is the value lost with a piece that a gate takes out, net.
func (f *worksFacts) atGate(place int) float64 {
	c := &f.ware.Costs
	switch {
	case place < placeOf("white"):
		return f.stages[valueCast] + float64(float64(c.Finishing)/1e6) - f.reclaim
	case place == placeOf("white"):
		return f.stages[valueFinished] + float64(float64(c.White)/1e6) - f.reclaim
	}
	return f.stages[valueFired] + f.disposal
}

// standing is the value lost with a piece in the works where it is at a time, net.
func (f *worksFacts) standing(p *plant.Passage, at des.Time) float64 {
	past := func(place string) bool { t := p.Passed[placeOf(place)]; return t > 0 && t <= at }
	switch {
	case past("fired"):
		return f.stages[valueFired] + f.disposal
	case past("white"):
		return f.stages[valueWhite] - f.reclaim
	case past("leather-hard"):
		return f.stages[valueFinished] - f.reclaim
	}
	return f.stages[valueCast] - f.reclaim
}

// suspects counts the pieces in works and store that must be sorted at a stop,
// by what the policy knows of a piece, and those of them that have no fault.
func (h *history) suspects(w watchPolicy, stop des.Time) (n, good float64) {
	trace := w.trace
	if trace == "" {
		trace = h.q.Fault.Trace
	}
	count := func(x *plant.Passage) {
		if x.Filled < stop && (x.Inside || x.Gone > stop || x.Packed && x.Gone+h.q.Fault.Store > stop) {
			chance := h.suspicion(w, trace, x, stop)
			n += chance
			if !x.Shows {
				good += chance
			}
		}
	}
	if trace == "case" || trace == "piece" { // the bad ones alone, as long as nobody counts more
		for _, i := range h.bad {
			count(&h.all[i])
		}
		return n, good
	}
	for i := range h.all {
		count(&h.all[i])
	}
	return n, good
}

// suspicion is the chance that a piece is a suspect at a trace level.
func (h *history) suspicion(w watchPolicy, trace string, x *plant.Passage, stop des.Time) float64 {
	suspect := false
	switch {
	case trace == "none":
		suspect = true
	case trace == "piece":
		passed := 1.0
		for _, g := range w.gates {
			if t := x.Passed[placeOf(g.At)]; t > 0 && t <= stop {
				passed *= 1 - g.Fraction
			}
		}
		return passed
	case trace == "case" || trace == "mould" && h.q.Fault.Node == "mould":
		suspect = x.Bad
	case trace == "day" || h.q.Fault.Node == "punch":
		suspect = x.Filled/des.Day >= h.rec.FirstCast/des.Day
	case trace == "bench":
		since, held := h.first[x.Bench]
		suspect = held && x.Filled >= since
	case trace == "mould":
		suspect = x.Made >= h.q.Fault.Born
	}
	if suspect {
		return 1
	}
	return 0
}
