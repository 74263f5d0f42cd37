package decision

import (
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// AskedCompare is the comparison that a file asks for, whose plants are ready by
// option and future; terms that the file does not state are the usual ones. The
// margin and the unit it is in are for whoever reads the text of it.
func AskedCompare(a *scenario.Asked, plants [][]*plant.Plant, matters experiment.Margin) CompareQuestion {
	q := CompareQuestion{
		Title: a.Title, Currency: plants[0][0].Works().Currency,
		Plant: func(o, f int) *plant.Plant { return plants[o][f] },
		By:    DecidingMeasure(a), Matters: matters, Limits: limitsOf(a.Judge), Service: float64(a.Judge.Service),
		Terms: compareTermsOf(a.Compare), Inputs: asStated(a),
	}
	if q.Service == 0 {
		q.Service = 0.95 // of a question without a judge
	}
	if len(a.Judge.By) > 1 {
		q.Also = a.Judge.By[1:]
	}
	switch a.Judge.Best {
	case "least":
		q.Way = experiment.Less
	case "greatest":
		q.Way = experiment.More
	}
	for o, option := range a.Options {
		c := CompareOption{Name: option.Name, Outlay: OutlayOf(option)}
		if o > 0 {
			for _, d := range scenario.Differences(a.Works(0, 0), a.Works(o, 0)) {
				c.Changes = append(c.Changes, experiment.Change(d))
			}
		}
		q.Options = append(q.Options, c)
	}
	main := 0
	for f, future := range a.Futures {
		q.Futures = append(q.Futures, experiment.Prospect{Name: future.Name, Weight: float64(future.Weight)})
		if future.Weight > a.Futures[main].Weight {
			main = f
		}
	}
	q.Moved = func(option int, in scenario.Input, side scenario.Side) *plant.Plant {
		moved, _ := a.Works(option, main).Leaning([]scenario.Input{in}, []scenario.Side{side})
		if moved == nil {
			return nil
		}
		moved.Works.Run = plants[option][main].Works().Run
		ready, _ := moved.Plant()
		return ready
	}
	return q
}

// DecidingMeasure is the measure by which a question judges.
func DecidingMeasure(a *scenario.Asked) string {
	if len(a.Judge.By) == 0 {
		return "packed.total"
	}
	return a.Judge.By[0]
}

// asStated lists the inputs of the question itself; those that rest on evidence
// are for the tornado.
func asStated(a *scenario.Asked) []scenario.Input {
	var all []scenario.Input
	for _, in := range a.Inputs {
		if in.Rests == "as given" {
			all = append(all, in)
		}
	}
	return all
}

// compareTermsOf are the terms of a section, or the usual ones.
func compareTermsOf(s *scenario.CompareSection) CompareTerms {
	if s == nil {
		return CompareTerms{Rate: 0.08, Weeks: 50, Night: "daily 23:00-06:00", Contract: 40, Trials: fewestRuns}
	}
	t := CompareTerms{
		Rate: float64(s.Rate), Weeks: float64(s.Weeks), Night: s.Night, Trials: s.Trials,
		Contract: float64(s.Contract) / float64(des.Hour), Absence: float64(s.Absence),
	}
	if r := s.Rules; r != nil {
		t.Rules = WorkingTime{
			Source: r.Source, WeekMean: r.WeekMean, WeekMost: r.WeekMost, Shift: r.Shift, DailyRest: r.DailyRest,
			WeeklyRest: r.WeeklyRest, Nights: r.Nights, NightFrom: r.NightFrom, Break: r.Break,
		}
	}
	for _, rota := range s.Rotas {
		t.Rotas = append(t.Rotas, Rota{Hours: rota.Name, Weeks: rota.Weeks})
	}
	return t
}
