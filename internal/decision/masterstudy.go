package decision

import (
	"context"
	"errors"
	"fmt"
	"math"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// masterTrial is what one replication gives: the run without the fault, and for
// each row the run with it; on the history of the customer's row, what every
// policy came to.
type masterTrial struct {
	base   base
	runs   []masterRun
	played [][]played // by policy, by redraw
	own    []played   // by row, with the luck that the run itself had
	escape []float64  // by row
	lags   []float64  // days from cast to gate, medians, by gate
}

// masterStudy answers one question.
type masterStudy struct {
	q        *MasterPlan
	p        experiment.Runner
	f        worksFacts
	measures []*plant.Measure
	rows     []watchPolicy
	steps    []stepPolicy
	traces   []tracePolicy
	policies []watchPolicy // rows, today, steps, traces
	today    int           // place of today's among the policies
	trials   []masterTrial
}

// AskMaster answers the question. It simulates every replication without the
// fault and with it for each row, plays all other watches on the history of the
// customer's row, chooses, and certifies the choice with replications not used
// to choose.
//
// If ctx is cancelled it returns what it has, marked partial, with ctx's error;
// before the second replication, no answer.
func AskMaster(ctx context.Context, p experiment.Runner, q MasterPlan) (*MasterAnswer, error) {
	s := &masterStudy{q: &q, p: p, measures: p.Measures()}
	if err := s.check(); err != nil {
		return nil, err
	}
	s.f = factsOf(p.Works(), p.Hand(), &q)
	s.lay()
	err := experiment.Each(ctx, q.Workers, max(q.Replications, q.Most), s.trial, s.take)
	if err != nil && (ctx.Err() == nil || len(s.trials) < 2) {
		return nil, err
	}
	a := s.answer()
	if err == nil {
		err = s.certify(ctx, a)
	}
	if err != nil && ctx.Err() == nil {
		return nil, err
	}
	if err != nil {
		a.Partial = fmt.Sprintf("stopped after %d replications", len(s.trials))
	}
	return a, err
}

// check refuses a question that cannot be asked.
func (s *masterStudy) check() error {
	q := s.q
	switch {
	case q.Weeks < 1 || q.Fault.Born >= des.Time(q.Weeks)*des.Week:
		return errors.New("the fault is born after the last week simulated; hint: give an earlier date or more weeks")
	case q.Replications < 2:
		return errors.New("at least 2 replications are needed; the cost of one fault says little of the next")
	case len(q.Gates) == 0:
		return errors.New("no gate is given at which the fault might be seen; hint: add one at white, fired or test")
	case q.PerYear < 0:
		return errors.New("faults a year must not be negative")
	}
	for _, g := range q.Gates {
		if place := placeOf(g.At); place < 0 || g.At == "customer" {
			return fmt.Errorf("gate %s stands at %q; it can stand at one of %v, and complaints are always counted", g.Name, g.At, plant.GatePlaces[:len(plant.GatePlaces)-1])
		}
	}
	return q.without().Check(s.p.Works())
}

// lay lists what is run and what is played.
func (s *masterStudy) lay() {
	s.rows = s.q.watches()
	s.policies = append(s.policies, s.rows...)
	s.today = len(s.policies)
	s.policies = append(s.policies, s.q.used())
	s.layTraces()
	for _, t := range s.traces {
		s.policies = append(s.policies, t.policy)
	}
	s.steps = s.q.steps()
	for _, st := range s.steps {
		s.policies = append(s.policies, st.policy)
	}
}

// trial runs one replication with all that is played on it.
func (s *masterStudy) trial(ctx context.Context, number int) (masterTrial, error) {
	var t masterTrial
	stopped := func() bool { return ctx.Err() != nil }
	r, err := simulateMaster(s.p, s.q, s.q.without(), number, stopped)
	if err != nil {
		return t, err
	}
	t.base = baseOf(s.q, s.f, s.measures, r)
	var h *history
	for _, w := range s.rows {
		if r, err = simulateMaster(s.p, s.q, s.q.with(w.gates...), number, stopped); err != nil {
			return t, err
		}
		if len(w.gates) == 0 {
			h = newHistory(s.q, s.f, t.base, number, r.Master)
		}
		t.runs = append(t.runs, bill(s.q, s.f, t.base, s.measures, r))
	}
	for _, w := range s.policies {
		outcomes := make([]played, s.q.Redraws)
		for k := range outcomes {
			outcomes[k] = h.play(w, k)
		}
		t.played = append(t.played, outcomes)
	}
	for _, w := range s.rows {
		t.escape = append(t.escape, h.escape(w))
		t.own = append(t.own, h.playWith(w, ownLuck(s.q.Seed, h.number)))
	}
	t.escape = append(t.escape, h.escape(s.q.used()))
	for k := range s.q.Gates {
		t.lags = append(t.lags, h.lag(placeOf(s.q.Gates[k].At)))
	}
	return t, nil
}

// take gathers a replication and tells whether the mean cost of today's watch is
// known well enough.
func (s *masterStudy) take(t masterTrial) bool {
	s.trials = append(s.trials, t)
	n := len(s.trials)
	e := s.rowCost(s.todayRow())
	rel := math.NaN()
	if n > 1 && e.Value != 0 {
		rel = e.HalfWidth() / math.Abs(e.Value)
	}
	if s.q.Progress != nil {
		s.q.Progress(experiment.Progress{
			Replications: n, Fewest: s.q.Replications, Most: max(s.q.Replications, s.q.Most),
			Driver: "cost of a fault today", HalfWidth: rel, Precision: s.q.Precision,
		})
	}
	return n >= s.q.Replications && (s.q.Precision == 0 || rel <= s.q.Precision)
}

// todayRow is the row that is today's watch: that of the gates in use together,
// of the only one in use, or of the customer.
func (s *masterStudy) todayRow() int {
	used := s.q.used()
	for k, w := range s.rows {
		if len(w.gates) == len(used.gates) && (len(w.gates) == 0 || w.gates[0].Name == used.gates[0].Name) {
			return k
		}
	}
	return len(s.rows) - 1
}

// rowCost is the mean cost of a row over the replications.
func (s *masterStudy) rowCost(row int) stats.Estimate {
	rec := s.fitRecovery()
	return stats.MeanInterval(s.column(func(t *masterTrial) float64 { c := t.cost(row, rec); return c.Total() }), experiment.Level)
}

// levelled is a figure of a row in one replication with the luck of inspection
// averaged out. One run has one such luck, and whether it was good or bad decides
// what the fault costs far more than anything else; a few runs know nothing of
// the rare bad one. The replay with the luck that the run had stops when the run
// did, so the run less that replay is what replays do not know, and what many
// replays come to on average is added to it: the replay is a control variate with
// a mean of its own (Lavenberg and Welch 1981).
func (t *masterTrial) levelled(row int, run float64, of func(p *played) float64) float64 {
	sum := 0.0
	for k := range t.played[row] {
		sum += of(&t.played[row][k])
	}
	return run - of(&t.own[row]) + sum/float64(len(t.played[row]))
}

// cost is what the fault costs in a row of one replication, part by part, the
// luck of inspection averaged out.
func (t *masterTrial) cost(row int, rec recovery) MasterCost {
	c := t.runs[row].cost
	c.add(t.own[row].cost, -1)
	for k := range t.played[row] {
		c.add(t.played[row][k].cost, 1/float64(len(t.played[row])))
	}
	more := t.levelled(row, 0, func(p *played) float64 { return p.moulds })
	c.Starved += float64(rec.perMould * more)
	return c
}

// gap is how much more a row costs in the runs than in replays with the same luck
// of inspection: what replays get wrong.
func (s *masterStudy) gap(row int, rec recovery) stats.Estimate {
	return stats.MeanInterval(s.column(func(t *masterTrial) float64 {
		return t.runs[row].cost.Total() - t.own[row].total(rec)
	}), experiment.Level)
}

// column is one figure of every replication.
func (s *masterStudy) column(of func(t *masterTrial) float64) []float64 {
	xs := make([]float64, len(s.trials))
	for i := range s.trials {
		xs[i] = of(&s.trials[i])
	}
	return xs
}

// average is the mean of one figure.
func (s *masterStudy) average(of func(t *masterTrial) float64) float64 {
	sum := 0.0
	for i := range s.trials {
		sum += of(&s.trials[i])
	}
	return sum / float64(len(s.trials))
}

// lag is the median days from cast to a place, of bad pieces; of any if none came
// so far; NaN if none at all did.
func (h *history) lag(place int) float64 {
	var days []float64
	for pass := range 2 {
		for i := range h.all {
			if p := &h.all[i]; (p.Bad || pass == 1) && p.Passed[place] > 0 {
				days = append(days, float64(p.Passed[place]-p.Filled)/float64(des.Day))
			}
		}
		if len(days) > 0 {
			break
		}
	}
	return median(days)
}
