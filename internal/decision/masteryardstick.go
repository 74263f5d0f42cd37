package decision

import (
	"context"
	"fmt"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// GainOfWatch finds out, in a short study, which change of today's watch gains
// most, and returns what it gains a year; where none gains anything, what a fault
// costs under today's watch. Both are of replays; what is starved in recovery is
// read off the line of that study.
func GainOfWatch(ctx context.Context, p *plant.Plant, file *scenario.File, q MasterPlan, replications int) (Yardstick, error) {
	q.Replications, q.Most, q.Precision = replications, replications, 0
	s := &masterStudy{q: &q, p: p, measures: p.Measures()}
	if err := s.check(); err != nil {
		return Yardstick{}, err
	}
	s.f = factsOf(p.Works(), p.Hand(), &q)
	s.lay()
	if err := experiment.Each(ctx, q.Workers, replications, s.trial, s.take); err != nil {
		return Yardstick{}, err
	}
	a, rec := s.answer(), s.fitRecovery()
	y := Yardstick{Works: []*scenario.File{file}, Unit: a.Currency, Name: "cost of a fault under today's watch", Turn: noTurn()}
	var chosen *watchPolicy
	if len(a.Steps) > 0 && a.Steps[0].Year.Value > 0 {
		chosen = s.policyOf(a.Steps[0])
		y.Name, y.Unit = fmt.Sprintf("gain of the change to %s", a.Steps[0].change()), a.Currency+"/yr"
		y.Turn = Turn{At: 0, Above: "it is worth its price", Below: "it is not worth its price"}
	}
	y.Of = func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
		costs, err := watchCosts(ctx, works[0], q, chosen, rec, replications)
		for r := range costs {
			if chosen != nil {
				costs[r] = float64(q.PerYear*costs[r]) - a.Steps[0].Running
			}
		}
		return costs, err
	}
	return y, nil
}

// policyOf is the watch after a step.
func (s *masterStudy) policyOf(step GateStep) *watchPolicy {
	for k := range s.steps {
		if st := &s.steps[k]; s.q.Gates[st.gate].Name == step.Gate && st.to(s.q) == step.To {
			return &st.policy
		}
	}
	return nil
}

// watchCosts is what a fault costs under today's watch, less what it costs after
// a change of it if there is one, by replication.
func watchCosts(ctx context.Context, p *plant.Plant, q MasterPlan, change *watchPolicy, rec recovery, replications int) ([]float64, error) {
	s := &masterStudy{q: &q, p: p, measures: p.Measures(), f: factsOf(p.Works(), p.Hand(), &q)}
	var all []float64
	err := experiment.Each(ctx, q.Workers, replications, func(ctx context.Context, number int) (float64, error) {
		h, err := s.history(ctx, number)
		if err != nil {
			return 0, err
		}
		return h.saved(q.used(), change, rec), nil
	}, func(v float64) bool { all = append(all, v); return false })
	return all, err
}

// saved is the mean cost of a watch on a history, over the luck of inspection,
// less that of another; nil: of none.
func (h *history) saved(today watchPolicy, then *watchPolicy, rec recovery) float64 {
	sum := 0.0
	for k := range h.q.Redraws {
		p := h.play(today, k)
		sum += p.total(rec)
		if then != nil {
			p = h.play(*then, k)
			sum -= p.total(rec)
		}
	}
	return sum / float64(h.q.Redraws)
}
