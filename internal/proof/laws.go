package proof

import (
	"fmt"
	"io/fs"

	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/scenarios"
)

// Every example is run so often for so long. Short runs from an empty works
// pass through more unlike states than one long run that has settled.
const (
	lawRuns  = 6
	lawWeeks = 3
)

// An audited example is what the exact laws found in the runs of one scenario.
type audited struct {
	scenario string
	laws     []plant.Law
	fault    string // a run that did not end
}

// examples lists the example scenarios.
func examples() []string {
	names, err := fs.Glob(scenarios.Files, "*.yaml")
	if err != nil {
		panic(err)
	}
	return names
}

// audit runs one example and adds up what its laws found.
func audit(name string) (a audited) {
	a.scenario = name
	defer func() {
		if fault := recover(); fault != nil {
			a.fault = fmt.Sprint(fault)
		}
	}()
	p := build(read(scenarios.Files, name))
	for i := range lawRuns {
		r, err := p.Simulate(plant.Options{Source: random.New(random.Name(name), uint32(i)), Weeks: lawWeeks})
		if err != nil {
			panic(err)
		}
		a.laws = addLaws(a.laws, r.Audit)
	}
	return a
}

// addLaws adds the counts of laws by name; laws new to the sum come last.
func addLaws(sum, more []plant.Law) []plant.Law {
	for _, l := range more {
		known := false
		for i := range sum {
			if s := &sum[i]; s.Name == l.Name {
				if known = true; s.Broken == 0 {
					s.First = l.First
				}
				s.Checked += l.Checked
				s.Broken += l.Broken
			}
		}
		if !known {
			sum = append(sum, l)
		}
	}
	return sum
}

// keepLaws makes a check of every law.
func (r *Report) keepLaws(runs []audited) {
	var sum []plant.Law
	for _, a := range runs {
		if a.fault != "" {
			r.Laws = append(r.Laws, lawCheck(len(r.Laws), Figure{Name: "every run ends", Want: "an end", Got: a.scenario + ": " + a.fault}))
		}
		sum = addLaws(sum, a.laws)
		r.Runs += lawRuns
	}
	for _, l := range sum {
		got := fmt.Sprintf("%d of %d broken", l.Broken, l.Checked)
		if l.Broken > 0 {
			got += ", first: " + l.First
		}
		r.Laws = append(r.Laws, lawCheck(len(r.Laws), Figure{Name: l.Name, Want: "0 broken", Got: got, Held: l.Broken == 0}))
		r.Equalities += l.Checked
	}
}

// lawCheck puts a law into the form of a check.
func lawCheck(n int, f Figure) Check {
	return Check{
		Published: Published{
			ID: fmt.Sprintf("L%02d", n+1), Topic: f.Name, Inputs: fmt.Sprintf("%d runs of %d weeks of each example", lawRuns, lawWeeks),
			Quantity: "equalities broken", Expected: f.Want, Tolerance: "exact", Units: "-",
			Source: "equality of whole numbers, checked at the end of every run", Known: "by definition",
		},
		Path:    "plant: scenarios/*.yaml",
		Figures: []Figure{f},
	}
}
