package decision

import (
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// Works is how many works the question simulates: options that run alike in two
// futures are simulated once.
func (q *SizeQuestion) Works() int {
	runner, distinct := newSizing(*q).plan(nil).Runner, map[experiment.Runner]bool{}
	for o := range q.Options {
		for f := range q.Futures {
			distinct[runner(o, f)] = true
		}
	}
	return len(distinct)
}

// Runs is how many replications [Size] takes.
func (q *SizeQuestion) Runs(s experiment.Settings) experiment.Runs {
	return chosenRuns(s, q.Works()).Plus(certifiedRuns(s, len(q.Futures), q.Terms.Service))
}

// Runs is how many replications [Compare] takes.
func (q *CompareQuestion) Runs(s experiment.Settings) experiment.Runs {
	all := chosenRuns(s, len(q.Options)*len(q.Futures))
	service := 0.0
	if len(q.Limits) > 0 {
		service = q.Service
	}
	all = all.Plus(certifiedRuns(s, len(q.Futures), service))
	if !s.Fixed {
		trials := 4 * len(q.Inputs) * q.Terms.Trials // the best and another, at two ends
		all = all.Plus(experiment.Runs{Least: trials, Most: trials})
	}
	return all
}

// chosenRuns is what it takes to choose among some works.
func chosenRuns(s experiment.Settings, works int) experiment.Runs {
	if s.Fixed {
		return experiment.Runs{Least: works, Most: works}
	}
	return experiment.Runs{Least: works * s.Replications, Most: works * max(s.Replications, s.Most)}
}

// certifiedRuns is what it takes to put two options to fresh luck, and one of
// them further for the sake of a probability.
func certifiedRuns(s experiment.Settings, futures int, service float64) experiment.Runs {
	if s.Fixed || s.Replications < 2 {
		return experiment.Runs{}
	}
	least, most := 2*futures*s.Replications, 2*futures*s.Replications
	if service > 0 {
		most += futures * (supporting(service, s.Replications) - s.Replications)
	}
	return experiment.Runs{Least: least, Most: most}
}

// AllRuns is how many runs [Promise] takes.
func (q *PromisePlan) AllRuns() int {
	file := q.Works
	if q.Forth != nil {
		file = q.Forth.Works
	}
	n := q.Runs + q.Pairs*(len(q.Levers)+1+len(causeGroups)) + 2*q.Pairs*min(1, len(q.Levers))
	if len(file.Works.Orders) > 1 {
		n += q.Pairs
	}
	if len(file.Evidence()) > 0 {
		n += q.Pairs
	}
	if q.Forth != nil {
		n += q.Pairs
	}
	return n
}

// HandWeeks is how many weeks a run of the order takes by hand: until the last order
// of the book is done at the rate of the works, and three for the ware to pass
// through it, at most the weeks of the works.
func (q *PromisePlan) HandWeeks(p *plant.Plant) int {
	weeks := 1.0
	for k := range p.Works().Orders {
		o := &p.Works().Orders[k]
		rate, ok := p.Hand().Value("packed." + o.Ware)
		if !ok || rate <= 0 {
			return p.Weeks()
		}
		start := float64(startOf(o, p)) / float64(des.Week)
		weeks = max(weeks, start+float64(o.Quantity-o.Packed)/rate+3)
	}
	return int(min(float64(p.Weeks()), weeks))
}

// AllRuns is how many runs [AskMaster] takes: each replication without the fault
// and with it in every row, and two runs for each that certifies the choice.
func (q *MasterPlan) AllRuns() experiment.Runs {
	rows := 1 + len(q.watches())
	return experiment.Runs{Least: rows * q.Replications, Most: (rows + 2) * max(q.Replications, q.Most)}
}

// TornadoRuns is how many runs [MoveInputs] takes of so many inputs, where a
// figure takes so many runs of as many works for each replication.
func TornadoRuns(inputs, replications, works int) int {
	settings := 2*inputs + 1
	if inputs > mostBars {
		settings = len(stats.Screening(inputs)) + 2*keptBars + 1
	}
	return settings * max(fewestRuns, replications) * works
}
