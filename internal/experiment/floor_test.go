package experiment_test

import (
	"testing"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// TestFloorAddsUp holds the week looked at against the book of the same
// replication: what was packed and lost in it, and that every piece of the book
// stands somewhere. A works of a week that can be seen through is a works one
// can argue about.
func TestFloorAddsUp(t *testing.T) {
	file, faults := scenario.Read("../../scenarios/small-works.yaml")
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	p, _ := file.Plant()
	const week = 5
	f, err := experiment.LookAt(p, experiment.FloorQuestion{Seed: 3, Replication: 2, Week: week, Piece: 40, Suspect: experiment.Tool{Ware: "pan", Case: 1}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Simulate(plant.Options{Source: random.New(3, 2), Weeks: week})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Stock) != 7*24*6 || len(f.Packed) != len(f.Stock) || len(f.Fired) != len(f.Stock) {
		t.Fatalf("%d steps", len(f.Stock))
	}
	measure := func(name string, from int) float64 {
		for _, m := range p.Measures() {
			if m.Name == name {
				num, _ := m.Of(r, from, week)
				return num
			}
		}
		t.Fatalf("no measure %s", name)
		return 0
	}
	good := measure("packed.total", week-1)
	second := measure("seconds.pan", week-1) + measure("seconds.basin", week-1)
	if got := f.Packed[len(f.Packed)-1]; float64(got) != good+second {
		t.Errorf("%d packed in the week, the book has %v", got, good+second)
	}
	stands := 0
	for _, byWare := range f.Stock[len(f.Stock)-1] {
		for _, n := range byWare {
			stands += n
		}
	}
	suspect, bad, descend := 0, f.Suspect[len(f.Suspect)-1], 0
	for s := range f.Sections {
		suspect += bad[s]
		if bad[s] > f.Stock[len(f.Stock)-1][s][0] {
			t.Errorf("%d suspect pans in %s of %d", bad[s], f.Sections[s], f.Stock[len(f.Stock)-1][s][0])
		}
	}
	// The works has no mould shop: all of its pans come from the first case.
	for s := range f.Sections {
		descend += f.Stock[len(f.Stock)-1][s][0]
	}
	if suspect != descend || f.Escaped[len(f.Escaped)-1] == 0 {
		t.Errorf("%d of %d pans are suspect, %d were packed", suspect, descend, f.Escaped[len(f.Escaped)-1])
	}
	var lost float64
	for _, m := range p.Measures() {
		if len(m.Name) > 5 && m.Name[:5] == "lost." {
			num, _ := m.Of(r, 0, week)
			lost += num
		}
	}
	inside := measure("cast.total", 0) - measure("packed.total", 0) - measure("seconds.pan", 0) - measure("seconds.basin", 0) - lost
	if float64(stands) != inside {
		t.Errorf("%d pieces stand in the works, the book has %v", stands, inside)
	}
	moved := 0
	for _, sections := range f.Moved {
		moved += sections[len(sections)-1]
	}
	if got := f.Packed[len(f.Packed)-1]; moved < got { // all that is packed leaves packing
		t.Errorf("%d left packing, %d were packed", moved, got)
	}
	if len(f.Story) < 5 || f.Story[0].Event != "filled" {
		t.Errorf("the story is %+v", f.Story)
	}
}

// TestFloorRefusesWeeks that are not in the run.
func TestFloorRefusesWeeks(t *testing.T) {
	file, _ := scenario.Read("../../scenarios/small-works.yaml")
	p, _ := file.Plant()
	for _, week := range []int{0, p.Weeks() + 1} {
		if _, err := experiment.LookAt(p, experiment.FloorQuestion{Seed: 1, Replication: 1, Week: week}); err == nil {
			t.Errorf("week %d is shown", week)
		}
	}
}
