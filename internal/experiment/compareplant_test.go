package experiment_test

import (
	"path/filepath"
	"testing"

	"potbank/internal/experiment"
	"potbank/internal/scenario"
)

// optionsOf reads example scenarios by name.
func optionsOf(t *testing.T, names ...string) []experiment.Option {
	t.Helper()
	var options []experiment.Option
	for _, name := range names {
		file, faults := scenario.Read(filepath.Join("..", "..", "scenarios", name+".yaml"))
		if file == nil {
			t.Fatal(scenario.Faults(faults))
		}
		p, faults := file.Plant()
		if p == nil {
			t.Fatal(scenario.Faults(faults))
		}
		options = append(options, experiment.Option{Name: name, Runner: p})
	}
	return options
}

// A change of Plant A meets the same luck as Plant A, so pairs of replications
// go together, and their difference varies less than that of independent ones.
// So few weeks hardly clear the start-up; over a whole run the correlation of
// packed.total is 0.98.
func TestChangeOfAPlantSharesItsLuck(t *testing.T) {
	options := optionsOf(t, "plant-a", "plant-a-weekday-21")
	s := experiment.Settings{Replications: 4, Seed: 1, Weeks: 7, WarmUp: 3, Workers: 2}
	r, err := experiment.Compare(t.Context(), options, experiment.Criterion{By: []string{"packed.total", "refires.total"}}, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Measures[:2] {
		if d := m.Differences[1]; !(d.Correlation > 0.5) || !(d.VarianceFactor < 0.5) {
			t.Errorf("%s: correlation %.2f, variance factor %.2f; want clearly shared luck", m.Name, d.Correlation, d.VarianceFactor)
		}
	}
	for _, o := range r.Options {
		for _, law := range o.Answer.Audit {
			if !law.Held() {
				t.Errorf("%s: law %+v", o.Name, law)
			}
		}
	}
}
