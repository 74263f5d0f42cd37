package plant_test

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// readWorks reads a scenario file and returns its description, free to be
// altered before a plant is made of it.
func readWorks(t *testing.T, path string) *plant.Works {
	t.Helper()
	f, faults := scenario.Read(path)
	for _, x := range faults {
		if !x.Warning {
			t.Fatalf("%s: %v", path, x)
		}
	}
	return f.Works
}

// build makes a plant of a description that must be possible.
func build(t *testing.T, w *plant.Works) *plant.Plant {
	t.Helper()
	p, faults := plant.New(w)
	if p == nil {
		for _, f := range faults {
			t.Errorf("%s: %s", f.Path, f.What)
		}
		t.FailNow()
	}
	return p
}

// simulate runs one replication and holds it to the exact laws.
func simulate(t *testing.T, p *plant.Plant, o plant.Options) *plant.Result {
	t.Helper()
	r, err := p.Simulate(o)
	if err != nil {
		t.Fatal(err)
	}
	for _, law := range r.Audit {
		if law.Broken > 0 {
			t.Errorf("law broken %d times of %d: %s: first %s", law.Broken, law.Checked, law.Name, law.First)
		}
	}
	return r
}

// fixed is a run with randomness off.
func fixed(weeks int) plant.Options {
	return plant.Options{Source: random.New(1, 0), Fixed: true, Weeks: weeks}
}

// figure is the value of a measure over weeks [from, to).
func figure(t *testing.T, p *plant.Plant, r *plant.Result, name string, from, to int) float64 {
	t.Helper()
	for _, m := range p.Measures() {
		if m.Name == name {
			num, den := m.Of(r, from, to)
			if den == 0 {
				return math.NaN()
			}
			return num / den
		}
	}
	t.Fatalf("the plant has no measure %s", name)
	return 0
}

// hours is a span in hours.
func hours(t des.Time) float64 { return float64(t) / float64(des.Hour) }

// setHours gives named hours another week.
func setHours(w *plant.Works, name string, weeks ...string) {
	for i := range w.Hours {
		if w.Hours[i].Name == name {
			w.Hours[i].Weeks = weeks
			return
		}
	}
	panic("no hours " + name)
}

// quantityPerDay is a casting plan.
func quantityPerDay(n float64) quantity.PerDay { return quantity.PerDay(n) }
