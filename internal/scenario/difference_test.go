package scenario_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/scenario"
)

// TestDifferences holds that a change file differs from its base in just what
// it changes, adds and leaves out, whatever its name.
func TestDifferences(t *testing.T) {
	changed, faults := change(t, `base: base.yaml
name: Another name
kilns:
  tunnel: {push: 80 min}
crews:
  hands: {roster: {round-clock: 2}}
run: {precision: 2 %}
orders: left out
`)
	if changed == nil {
		t.Fatal(scenario.Faults(faults))
	}
	base := mustRead(t, "base.yaml")
	before := map[string]string{}
	for _, o := range base.Origins() {
		before[o.Path] = o.Text
	}
	want := map[string]scenario.Difference{
		"kilns.tunnel.push":              {Before: before["kilns.tunnel.push"], After: "80 min"},
		"crews.hands.roster.round-clock": {After: "2"},
		"run.precision":                  {Before: "1 %", After: "2 %"},
	}
	for _, d := range scenario.Differences(base, changed) {
		path := d.Path
		if d.After == "" && len(path) > 7 && path[:7] == "orders." && d.Before != "" {
			continue // left out, value by value
		}
		d.Path = ""
		if diff := cmp.Diff(want[path], d); diff != "" {
			t.Errorf("%s (-want +got):\n%s", path, diff)
		}
		delete(want, path)
	}
	if len(want) > 0 {
		t.Errorf("not listed: %v", want)
	}
	if same := scenario.Differences(base, base); len(same) != 0 {
		t.Errorf("a file differs from itself: %v", same)
	}
	if there, back := scenario.Differences(base, changed), scenario.Differences(changed, base); len(there) != len(back) {
		t.Errorf("%d differences there, %d back", len(there), len(back))
	}
}
