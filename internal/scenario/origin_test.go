package scenario_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/scenario"
)

// TestOrigins holds what is said about where values come from.
func TestOrigins(t *testing.T) {
	file := mustRead(t, "testdata/sample.yaml")
	want := map[string]scenario.Origin{
		"run.length":             {Path: "run.length", Text: "26 wk", From: "file", File: "testdata/sample.yaml", Line: 5},
		"run.precision":          {Path: "run.precision", Text: "1 %", From: "default"},
		"hours.day.weeks":        {Path: "hours.day.weeks", Text: "Mon-Fri 06:00-14:00", From: "file", File: "testdata/sample.yaml", Line: 10},
		"crews.hands.roster.day": {Path: "crews.hands.roster.day", Text: "6", From: "file", File: "testdata/sample.yaml", Line: 15},
		"crews.hands.wage":       {Path: "crews.hands.wage", Text: "0 EUR/h", From: "default"},
		"finishing.punch":        {Path: "finishing.punch", Text: "3 min", From: "file", File: "testdata/sample.yaml", Line: 39},
	}
	for _, o := range file.Origins() {
		if w, ok := want[o.Path]; ok {
			if d := cmp.Diff(w, o, cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".field" }, cmp.Ignore())); d != "" {
				t.Errorf("%s (-want +got):\n%s", o.Path, d)
			}
			delete(want, o.Path)
		}
	}
	if len(want) > 0 {
		t.Errorf("no origin of %v", want)
	}
}

// TestEveryValueHasAnOrigin holds that no value appears in a works without
// saying where it comes from: as many origins as values printed.
func TestEveryValueHasAnOrigin(t *testing.T) {
	for _, path := range examples(t) {
		file := mustRead(t, path)
		seen := map[string]int{}
		for _, o := range file.Origins() {
			if seen[o.Path]++; seen[o.Path] > 1 && o.From == "default" {
				t.Errorf("%s: %s has %d origins", path, o.Path, seen[o.Path])
			}
			if (o.From == "default") != (o.Line == 0) {
				t.Errorf("%s: %s comes from %s at line %d", path, o.Path, o.From, o.Line)
			}
		}
	}
}

// TestUnmeasured holds which defaults are owned up to: figures in place of
// measurements, and only of what the works has.
func TestUnmeasured(t *testing.T) {
	var got []string
	for _, o := range mustRead(t, "../../scenarios/plant-a.yaml").Unmeasured() {
		got = append(got, o.Path+" "+o.Text)
	}
	for _, want := range []string{"presses.basin-presses.mould-change 4 h", "dryers.chambers.residual-moisture 0.5 %", "mould-shop.moulds.pan.case-pours 500"} {
		if !slices.Contains(got, want) {
			t.Errorf("%s is not among the unmeasured", want)
		}
	}
	for _, o := range mustRead(t, "testdata/sample.yaml").Unmeasured() {
		switch o.Path {
		case "run.precision", "crews.hands.wage", // not measured, not in use
			"casting-shop.drying-rate",  // its window is one of time
			"kilns.tunnel.repair-takes", // its cars are never repaired
			"kilns.shuttle.part-car",    // it has no cars
			"glazing.booths.booth.patience":
			t.Errorf("%s %s matters nothing to the sample", o.Path, o.Text)
		}
	}
}
