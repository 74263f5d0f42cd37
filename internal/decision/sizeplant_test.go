package decision_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/scenario"
)

// kilnQuestion reads the question about a kiln that comes with the program.
func kilnQuestion(t *testing.T) *scenario.Asked {
	t.Helper()
	a, faults := scenario.ReadQuestion("../../scenarios/questions/kiln.yaml")
	if a == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return a
}

// optionOf is the number of an option by its name.
func optionOf(t *testing.T, a *scenario.Asked, name string) int {
	t.Helper()
	i := slices.IndexFunc(a.Options, func(o scenario.Option) bool { return o.Name == name })
	if i < 0 {
		t.Fatalf("the question has no option %s", name)
	}
	return i
}

// TestPlantASizingCheck holds the hand calculation of the question through the
// question's own works: car loads needed for 1,440 pieces a day, and the pushes
// that each kiln has for them.
func TestPlantASizingCheck(t *testing.T) {
	a := kilnQuestion(t)
	casts := map[string]float64{"pan": 616.7, "cistern": 345, "basin": 352.2, "fireclay": 160.1}
	for _, c := range []struct {
		option       string
		times        float64 // 1,200 pieces a day
		push         des.Time
		slots, cars  float64
		loads, fires float64 // of the refire shuttles
	}{
		// source: hand calculation of Plant A, kilns and sizing check.
		{"today", 1, 21 * des.Minute, 422.9, 398.1, 14, 11.9},
		{"shops-only", 1.2, 21 * des.Minute, 422.9, 477.7, 21, 14.28},
		{"push-21", 1.2, 0, 480, 477.7, 21, 14.28},
		{"cars-46", 1.2, 0, 490.3, 477.7, 21, 14.28},
	} {
		w := a.Works(optionOf(t, a, c.option), 0).Works
		for i := range w.Ware {
			w.Ware[i].Plan = quantity.PerDay(c.times * casts[w.Ware[i].Name])
		}
		if c.push > 0 {
			w.Kilns[0].Push = c.push
		}
		p, faults := plant.New(w)
		if p == nil {
			t.Fatal(faults)
		}
		for _, d := range p.Hand().Departments {
			switch d.Name {
			case "tunnel":
				near(t, c.option+": pushes a week", d.Capacity, c.slots, 0.05)
				near(t, c.option+": car loads a week", d.Need, c.cars, 0.15)
			case "refire-shuttles":
				near(t, c.option+": loads that the shuttles can fire", d.Capacity, c.loads, 1e-9)
				near(t, c.option+": loads of refires", d.Need, c.fires, 0.05)
			}
		}
	}
}

// TestSizeOfPlantA answers a part of the question at a small size: the works as
// it is, a longer kiln with larger shops, and the same kiln alone.
func TestSizeOfPlantA(t *testing.T) {
	a := kilnQuestion(t)
	options := []int{0, optionOf(t, a, "cars-46"), optionOf(t, a, "kiln-alone")}
	futures := []int{0, 1} // as planned, and dearer gas
	var plants [][]*plant.Plant
	for o := range a.Options {
		var row []*plant.Plant
		for f := range a.Futures {
			if !slices.Contains(options, o) || !slices.Contains(futures, f) {
				row = append(row, nil)
				continue
			}
			w := a.Works(o, f)
			w.Works.Run.Length = sizeWeeks * des.Week
			p, faults := w.Plant()
			if p == nil {
				t.Fatal(scenario.Faults(faults))
			}
			row = append(row, p)
		}
		plants = append(plants, row)
	}
	whole := decision.AskedSize(a, plants)
	q := whole
	q.Options, q.Futures = nil, whole.Futures[:2]
	for _, o := range options {
		q.Options = append(q.Options, whole.Options[o])
	}
	q.Futures[0].Weight, q.Futures[1].Weight = 0.7, 0.3
	q.Plant = func(o, f int) *plant.Plant { return plants[options[o]][f] }
	q.Terms.Period = 2
	r, err := decision.Size(context.Background(), q, experiment.Settings{Replications: 2, Most: 2, Seed: 1, Workers: 2, WarmUp: 4})
	if err != nil {
		t.Fatal(err)
	}
	best := r.Options[r.Best]
	if best.Name != "cars-46" || !r.Met || r.Rival != -1 {
		t.Fatalf("chosen is %s, meets demand %v, rival %d", best.Name, r.Met, r.Rival)
	}
	if r.Advantage.Than != 0 || r.Advantage.NewRuns != 2 || r.Advantage.Trials != 16 || !(r.Advantage.Fresh.Value > 0) || r.Advantage.Fresh.Value == r.Advantage.Yearly.Value {
		t.Errorf("against today it saves %+v", r.Advantage)
	}
	// The two futures have the same runs: only the bill for gas differs, by what
	// that gas costs twice.
	for o, x := range r.Options {
		gas := x.Energy.Total() / 1000 * (0.09 - 0.045) / 3.6e-3 // EUR a good piece
		more := x.YearlyIn[1].Value - x.YearlyIn[0].Value
		sold := q.Terms.Weeks * (7200 - x.Short.Value)
		near(t, x.Name+": what dearer gas costs a year, EUR", more, gas*sold, 1e-3*gas*sold)
		if o > 0 && math.Abs(x.Worth.Value+x.Difference.Value*decision.Annuity(0.08, 15)) > 1 {
			t.Errorf("%s is worth %v against a yearly difference of %v", x.Name, x.Worth.Value, x.Difference.Value)
		}
	}
	tunnel := best.Kilns[0]
	if !tunnel.HasStore() || !(tunnel.Held.Value > 0) || !(tunnel.Cars.Value >= 46) || tunnel.Slots < 490 {
		t.Errorf("the tunnel is %+v", tunnel)
	}
	// source: 1.6 GJ/h x 168 h over the good pieces, hand calculation of Plant A.
	near(t, "base of the fuel, MJ", best.Energy.Base, 268.8e3/best.Good.Value, 0.5)
	if !slices.ContainsFunc(best.Leaves, func(s string) bool {
		return strings.Contains(s, "fires in 14 h, and losses were measured at 15.1 to 24 h")
	}) {
		t.Errorf("of the range of losses it says %q", best.Leaves)
	}
	if r.Options[2].Bottleneck.Resource != "pan-benches" {
		t.Errorf("without larger shops %q limits the works", r.Options[2].Bottleneck.Resource)
	}
}
