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
// read off the line of that study. Asking gives the plan with values of the question
// moved; nil: they stay.
func GainOfWatch(ctx context.Context, p *plant.Plant, file *scenario.File, q MasterPlan, replications int, asking func([]scenario.Input, []scenario.Side) (MasterPlan, error)) (Yardstick, error) {
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
	var chosen *GateStep
	if len(a.Steps) > 0 && a.Steps[0].Year.Value > 0 {
		chosen = &a.Steps[0]
		y.Name, y.Unit = fmt.Sprintf("gain of the change to %s", chosen.change()), a.Currency+"/yr"
		y.Turn = Turn{At: 0, Above: "it is worth its price", Below: "it is not worth its price"}
	}
	y.Of = watchFigures(q, chosen, rec)
	if asking != nil {
		y.Asking = func(inputs []scenario.Input, sides []scenario.Side) (Figures, error) {
			moved, err := asking(inputs, sides)
			if err != nil {
				return nil, err
			}
			if chosen != nil && (&masterStudy{q: &moved, steps: moved.steps()}).policyOf(*chosen) == nil {
				return nil, fmt.Errorf("%s is then no change of the watch", chosen.change())
			}
			moved.Replications, moved.Most, moved.Precision = q.Replications, q.Most, 0
			return watchFigures(moved, chosen, rec), nil
		}
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

// watchFigures is what a change of today's watch gains a year under a plan, by
// replication; without a change, what a fault costs.
func watchFigures(q MasterPlan, change *GateStep, rec recovery) Figures {
	return func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
		p := works[0]
		s := &masterStudy{q: &q, p: p, measures: p.Measures(), f: factsOf(p.Works(), p.Hand(), &q), steps: q.steps()}
		var then *watchPolicy
		if change != nil {
			then = s.policyOf(*change)
		}
		type trial struct {
			cost float64
			base base
		}
		var all []float64
		err := experiment.Each(ctx, q.Workers, replications, func(ctx context.Context, number int) (trial, error) {
			h, err := s.history(ctx, number)
			if err != nil {
				return trial{}, err
			}
			return trial{h.saved(q.used(), then, rec), h.b}, nil
		}, func(t trial) bool {
			all = append(all, t.cost)
			s.trials = append(s.trials, masterTrial{base: t.base})
			return false
		})
		if err != nil || then == nil {
			return all, err
		}
		running := s.running(then.gates) - s.running(q.used().gates)
		for r := range all {
			all[r] = float64(q.PerYear*all[r]) - running
		}
		return all, nil
	}
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
