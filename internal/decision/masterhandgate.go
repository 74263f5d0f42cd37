package decision

import (
	"math"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// handGate is the estimate by hand beside a row: casts until the stop from the
// closed forms, a constant value of a piece, the mould-days missing in recovery.
// Only rows of one gate have one; its lag is as simulated.
func (s *masterStudy) handGate(row int) HandGate {
	w := s.rows[row]
	none := HandGate{Casts: math.NaN(), Cost: math.NaN(), Lag: math.NaN()}
	if len(w.gates) != 1 || w.gates[0].Alarm.Bad > 0 || w.gates[0].At == "first-off" {
		return none
	}
	g := w.gates[0]
	lag := s.average(func(t *masterTrial) float64 { return t.lags[row] })
	places, day, life, perDay := s.benchFacts()
	reach := 1.0
	if f := s.flow(); f > 0 {
		reach = min(1, s.average(func(t *masterTrial) float64 { return t.base.perWeek[row] })/f)
	}
	raise := g.Fraction * g.Finds * s.q.Fault.Shows * reach
	react := float64(s.q.Fault.React) / float64(des.Day)
	result := float64(g.Result) / float64(des.Day)
	if math.IsNaN(lag) || raise == 0 || places == 0 && s.q.Fault.Node != "punch" {
		return none
	}
	h := HandGate{Lag: lag}
	part := s.nodeShare()
	var moulds float64
	switch {
	case s.q.Fault.Node == "mould":
		h.Casts = min(life/2, math.Floor(day*(lag+result+react))+float64(g.Alarm.Faults)/raise)
		moulds, h.How = 1, "one mould, half its life at the most"
	case s.q.Fault.Node == "punch" || s.q.Fault.AtOnce:
		f := SteadyFault{PerDay: part * s.flow() / 7, Lag: lag + result + react, Faults: g.Alarm.Faults, Raise: raise}
		h.Casts, h.How = f.Mean(), "k/s + r(T + reaction)"
		if s.q.Fault.AtOnce {
			moulds = part * places
		}
	default:
		f := SpreadingFault{Places: part * places, CastDay: day, Life: life, Raise: raise, Faults: g.Alarm.Faults, Gate: lag + result, React: react}
		h.Casts, h.How = f.Mean(), "cw/2 (l^2 + 2 l w + 2 k/a), l the lag, w the mean wait"
		// New moulds stand on the shelf and dry before they are cast in.
		moulds = min(places, f.Replaced()*(f.Alarm()+react)) + float64(part*s.shelf())
	}
	m := s.q.Money
	yield := s.average(func(t *masterTrial) float64 { return t.base.yield })
	cases := s.average(func(t *masterTrial) float64 { return float64(t.runs[row].rec.CasesBroken) })
	h.Cost = m.Tool + float64(cases*m.Case) + float64(moulds*m.Mould) + float64(h.Casts*s.q.Fault.Shows*(s.f.atGate(placeOf(g.At))+float64(yield*m.Margin[s.q.Fault.Ware])))
	if part == 1 && moulds > 1 && perDay > 0 {
		lead := float64(s.q.Fault.Tooling+s.q.Fault.Proof) / float64(des.Day) * 5 / 7
		h.Cost += float64(MissingMouldDays(moulds, lead, perDay) * day * yield * m.Margin[s.q.Fault.Ware])
	}
	return h
}

// benchFacts are the mould places of the ware, the casts of a mould a day of the
// week, its life, and the pours a working day.
func (s *masterStudy) benchFacts() (places, day, life, perDay float64) {
	w := s.p.Works()
	for k := range w.Benches {
		if b := &w.Benches[k]; b.Ware == s.q.Fault.Ware {
			places += float64(b.Count * b.Moulds)
			life = b.Life.Mean()
		}
	}
	if places > 0 {
		day = s.flow() / 7 / places
	}
	if w.MouldShop != nil {
		perDay = float64(w.MouldShop.PerDay)
	}
	return places, day, life, perDay
}

// shelf is the moulds of the ware in stock and in work.
func (s *masterStudy) shelf() float64 {
	if m := s.moulds(); m != nil {
		return float64(m.Target)
	}
	return 0
}

// moulds is the supply of the ware; nil without a mould shop.
func (s *masterStudy) moulds() *plant.MouldSupply {
	shop := s.p.Works().MouldShop
	if shop == nil {
		return nil
	}
	for k := range shop.Moulds {
		if shop.Moulds[k].Name == s.q.Fault.Ware {
			return &shop.Moulds[k]
		}
	}
	return nil
}

// nodeShare is the share of the ware that descends from the node once it has
// spread.
func (s *masterStudy) nodeShare() float64 {
	switch s.q.Fault.Node {
	case "case":
		if m := s.moulds(); m != nil {
			return 1 / float64(max(1, m.Cases))
		}
	case "punch":
		return s.q.Fault.Share
	}
	return 1
}
