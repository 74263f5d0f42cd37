package scenario_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"potbank/internal/scenario"
)

// changed reads a change file of the small works and tells what it changes.
func changed(t *testing.T, text string) []scenario.Telling {
	t.Helper()
	folder := t.TempDir()
	base, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "small-works.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	holidays, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "holidays.ics"))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"holidays.ics": string(holidays), "base.yaml": string(base), "other.yaml": "base: base.yaml\n" + text} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var files []*scenario.File
	for _, name := range []string{"base.yaml", "other.yaml"} {
		f, faults := scenario.Read(filepath.Join(folder, name))
		if f == nil {
			t.Fatal(scenario.Faults(faults))
		}
		files = append(files, f)
	}
	return scenario.Tell(files[0], files[1])
}

// TestTellingInWords: what a change comes to, in the unit it is written in.
func TestTellingInWords(t *testing.T) {
	for _, c := range []struct{ text, path, before, after, says string }{
		{"sorting: {time: 5 min +- 25 %}", "sorting.time", "4 min +- 25 %", "5 min +- 25 %", "1 min more (+25.0 %)"},
		{"sorting: {time: 5 min}", "sorting.time", "4 min +- 25 %", "5 min", ""},
		{"kilns: {shuttle: {drawing: 80 min}}", "kilns.shuttle.drawing", "90 min", "80 min", "10 min less (-11.1 %)"},
		{"kilns: {shuttle: {drawing: 1.5 h}}", "kilns.shuttle.drawing", "90 min", "1.5 h", "the same, written otherwise"},
		{"kilns: {shuttle: {car-sets: 3}}", "kilns.shuttle.car-sets", "2", "3", "1 more (+50.0 %)"},
		{"kilns: {shuttle: {energy-per-kg: 1.65 MJ/kg}}", "kilns.shuttle.energy-per-kg", "1.9 MJ/kg", "1.65 MJ/kg", "0.25 MJ/kg less (-13.2 %)"},
		{"fuel: {price: 0.07 EUR/kWh}", "fuel.price", "0.06 EUR/kWh", "0.07 EUR/kWh", "0.01 EUR/kWh more (+16.7 %)"},
		{"ware: {pan: {yields: {casting: 90.5 %}}}", "ware.pan.yields.casting", "93 %", "90.5 %", "2.5 points less (-2.7 %)"},
		{"ware: {pan: {yields: {casting: 93 % from 465 of 500}}}", "ware.pan.yields.casting", "93 %", "93 % from 465 of 500", "the same value, now from 465 of 500"},
		{"start: 2027-01-11 06:00", "start", "2027-01-04 06:00", "2027-01-11 06:00", ""},
	} {
		all := changed(t, c.text)
		if len(all) != 1 {
			t.Errorf("%s: %d differences: %+v", c.text, len(all), all)
			continue
		}
		d := all[0]
		if d.Path != c.path || d.Before != c.before || d.After != c.after || d.Says != c.says || d.Means == "" || d.Values != 1 {
			t.Errorf("%s: %+v", c.text, d)
		}
	}
}

// TestTellingSets: a set of keys that only one scenario has is one difference,
// which holds all its values.
func TestTellingSets(t *testing.T) {
	all := changed(t, "orders: {inn: {ware: basin, quantity: 40 pieces}}")
	if len(all) != 1 || all[0].Says != "added" || !strings.HasPrefix(all[0].Path, "orders") || all[0].Before != "" ||
		!strings.Contains(all[0].After, "quantity 40") || all[0].Values < 3 {
		t.Errorf("%+v", all)
	}
	if all := changed(t, "name: the same works"); len(all) != 0 {
		t.Errorf("%+v", all)
	}
}
