package decision

import (
	"maps"
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/scenario"
)

// yearOf is the year in which lives are given, as package quantity reads "15 yr".
const yearOf = 365 * des.Day

// AskedSize is the question of a file, whose plants are ready by option and
// future. The file must have a size section.
func AskedSize(a *scenario.Asked, plants [][]*plant.Plant) SizeQuestion {
	s := a.Size
	q := SizeQuestion{
		Title: a.Title, Currency: plants[0][0].Works().Currency,
		Plant: func(o, f int) *plant.Plant { return plants[o][f] },
		Terms: SizeTermsOf(s, float64(a.Judge.Service)),
	}
	q.Terms.Limits = limitsOf(a.Judge)
	for o, option := range a.Options {
		so := SizeOption{Name: option.Name, Outlay: OutlayOf(option)}
		if o > 0 {
			for _, d := range scenario.Differences(a.Works(0, 0), a.Works(o, 0)) {
				so.Changes = append(so.Changes, experiment.Change(d))
			}
		}
		q.Options = append(q.Options, so)
	}
	for _, future := range a.Futures {
		times := 1.0
		if t, ok := s.Times[future.Name]; ok {
			times = t
		}
		q.Futures = append(q.Futures, SizeFuture{Name: future.Name, Weight: float64(future.Weight), Demand: DemandOf(s.Demand, plants[0][0].Works(), times)})
	}
	return q
}

// SizeTermsOf is the terms of a section, with the probability of meeting demand.
func SizeTermsOf(s *scenario.SizeSection, service float64) SizeTerms {
	return SizeTerms{
		Rate: float64(s.Rate), Weeks: float64(s.Weeks), Service: service,
		Period: int(s.Period / des.Week), Worth: currency(s.Worth), Matters: currency(s.Matters),
	}
}

// limitsOf lists what must be kept besides demand, by name.
func limitsOf(j scenario.Judge) []Limit {
	var all []Limit
	for _, name := range slices.Sorted(maps.Keys(j.AtLeast)) {
		all = append(all, Limit{Measure: name, Least: j.AtLeast[name], Most: math.Inf(1)})
	}
	for _, name := range slices.Sorted(maps.Keys(j.AtMost)) {
		all = append(all, Limit{Measure: name, Least: math.Inf(-1), Most: j.AtMost[name]})
	}
	return all
}

// OutlayOf is what an option of a question takes.
func OutlayOf(o scenario.Option) Outlay {
	life := o.Life
	if life == 0 {
		life = yearOf // of the works as it is, which takes nothing
	}
	return Outlay{Capital: currency(o.Capital), Residual: currency(o.Rest), Upkeep: currency(o.Upkeep), Life: float64(life) / float64(yearOf)}
}

// currency is an amount in whole units.
func currency(m quantity.Money) float64 { return float64(m) * 1e-6 }

// DemandOf lists a demand in the order of the works' wares.
func DemandOf(wanted plant.PerWare[int], w *plant.Works, times float64) []Demand {
	if n, ok := wanted[""]; ok {
		return []Demand{{Pieces: times * float64(n)}}
	}
	var all []Demand
	for i := range w.Ware {
		if n, ok := wanted.For(w.Ware[i].Name); ok {
			all = append(all, Demand{Ware: w.Ware[i].Name, Pieces: times * float64(n)})
		}
	}
	return all
}
