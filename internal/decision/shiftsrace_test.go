package decision

import (
	"context"
	"testing"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// TestStageStays: the rule of choice rests on the spread of the first stage, three
// replications here, however many rounds follow while no option drops out.
//
// source: Kim and Nelson, A fully sequential procedure for indifference-zone
// selection in simulation, ACM TOMACS 11 (2001) 251: the first stage is fixed
func TestStageStays(t *testing.T) {
	a, faults := scenario.ReadQuestion("../../scenarios/questions/shifts.yaml")
	if a == nil {
		t.Fatal(scenario.Faults(faults))
	}
	plants := make([][]*plant.Plant, len(a.Options))
	for o := range plants {
		for f := range a.Futures {
			p, more := a.Works(o, f).Plant()
			if p == nil {
				t.Fatal(scenario.Faults(more))
			}
			plants[o] = append(plants[o], p)
		}
	}
	q := AskedCompare(a, plants, experiment.Margin{Absolute: 1e-9})
	q.Limits = nil
	z, err := newWeighing(q)
	if err != nil {
		t.Fatal(err)
	}
	g, err := experiment.RunGrid(context.Background(), z.plan(z.race), experiment.Settings{Replications: 3, Most: 5, Seed: 1, Workers: 2, Weeks: 3, WarmUp: 1})
	if err != nil {
		t.Fatal(err)
	}
	if n := g.Replications(0); n != 5 || z.rule().First != 3 {
		t.Errorf("after %d replications the first stage has %d, want 5 and 3", n, z.rule().First)
	}
}
