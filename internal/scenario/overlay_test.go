package scenario_test

import (
	"os"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/scenario"
)

// change writes the sample and a file that changes it, and reads the latter.
func change(t *testing.T, changes string) (*scenario.File, []scenario.Fault) {
	t.Helper()
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	write(t, ".", "base.yaml", string(sample))
	write(t, ".", "change.yaml", changes)
	return scenario.Read("change.yaml")
}

// TestChange lays changes over a base: sets are merged, other values replaced,
// entries added and left out.
func TestChange(t *testing.T) {
	file, faults := change(t, `base: base.yaml
kilns:
  tunnel: {push: 80 min}
  shuttle: left out
  second-shuttle: {kind: shuttle, fires: refire, load: 30, loading: 1 h, firing: 10 h, cooling: 8 h, drawing: 1 h}
crews:
  hands: {roster: {round-clock: 2}}
orders: left out
glazing:
  booths:
    booth: {time: {pan: 5 min}}
`)
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	w := file.Works
	if len(w.Kilns) != 2 || w.Kilns[0].Push != 80*des.Minute || w.Kilns[0].Inside != 12 || w.Kilns[1].Name != "second-shuttle" {
		t.Errorf("kilns are %+v", w.Kilns)
	}
	if r := w.Crews[2].Roster; len(r) != 2 || r["day"] != 6 || r["round-clock"] != 2 {
		t.Errorf("hands are rostered %v", r)
	}
	if w.Orders != nil {
		t.Errorf("orders are %v", w.Orders)
	}
	if law, ok := w.Glazing.Booths[0].Time.For("pan"); !ok || law.Mean() != float64(5*des.Minute) {
		t.Errorf("glazing takes %v", law)
	}
	if file.Base != "base.yaml" {
		t.Errorf("base is %q", file.Base)
	}
	from := map[string]string{}
	for _, o := range file.Origins() {
		from[o.Path] = o.From + " " + o.File
	}
	for path, want := range map[string]string{
		"kilns.tunnel.push":             "overlay change.yaml",
		"kilns.tunnel.inside":           "file base.yaml",
		"crews.hands.roster.day":        "file base.yaml",
		"kilns.second-shuttle.kind":     "overlay change.yaml",
		"run.precision":                 "default ",
		"glazing.booths.booth.time.pan": "overlay change.yaml",
	} {
		if from[path] != want {
			t.Errorf("%s comes from %q, want %q", path, from[path], want)
		}
	}
}

// TestChangeFaults holds that faults point at the file that has them.
func TestChangeFaults(t *testing.T) {
	tests := []struct{ reason, changes, want string }{
		{"a value of the change", "base: base.yaml\nkilns: {tunnel: {push: 80}}\n",
			"change.yaml:2:24: error: push has no unit; hint: write 80 h or 80 min"},
		{"an unknown key of the change", "base: base.yaml\nkilns: {tunnel: {psuh: 80 min}}\n",
			`change.yaml:2:18: error: unknown key "psuh" under kilns.tunnel; hint: did you mean push?`},
		{"a kiln that is not there", "base: base.yaml\nkilns: {tunel: {push: 80 min}}\n",
			"change.yaml:2:9: error: kilns.tunel lacks kind, load; hint: did you mean tunnel?"},
		{"nothing to leave out", "base: base.yaml\nkilns: {tunel: left out}\n",
			`change.yaml:2:9: error: the base has no "tunel" under kilns to leave out; hint: did you mean tunnel?`},
		{"what the base needs is left out", "base: base.yaml\nhours: {day: left out}\n",
			`base.yaml:13:22: error: no hours called "day"; hint: hours: round-clock`},
		{"no base", "base: bsae.yaml\n",
			`change.yaml:1:7: error: there is no file "bsae.yaml" in the folder of this scenario; hint: did you mean base.yaml?`},
		{"a base elsewhere", "base: ../base.yaml\n",
			"change.yaml:1:7: error: the path leaves the folder of this scenario; hint: keep data files beside the scenario"},
		{"a base of a base", "base: change.yaml\n",
			"change.yaml:1:7: error: change.yaml changes another file itself; a base cannot have a base; hint: change the file at the bottom, or write out one of the two"},
		{"an empty base", "base:\n",
			"change.yaml:1:6: error: base must be the name of a file, got nothing; hint: write base: and the file that this one changes"},
	}
	for _, tt := range tests {
		t.Run(tt.reason, func(t *testing.T) {
			file, faults := change(t, tt.changes)
			if file != nil || len(faults) == 0 {
				t.Fatal("accepted")
			}
			if got := faults[0].String(); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

// TestFaultOfBase holds that a broken base is reported as itself.
func TestFaultOfBase(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, ".", "base.yaml", "potbank: 1\nname: 'open\n")
	write(t, ".", "change.yaml", "base: base.yaml\n")
	_, faults := scenario.Read("change.yaml")
	if len(faults) != 1 || !strings.HasPrefix(faults[0].String(), "base.yaml:2:7: error: this quote is never closed") {
		t.Error(scenario.Faults(faults))
	}
}

// TestLeftOutNeedsBase holds that the words mean nothing in a file by itself.
func TestLeftOutNeedsBase(t *testing.T) {
	t.Chdir(t.TempDir())
	sample := "potbank: 1\nname: x\nmould-shop: left out\n"
	write(t, ".", "s.yaml", sample)
	_, faults := scenario.Read("s.yaml")
	if text := scenario.Faults(faults); !strings.Contains(text, "s.yaml:3:13: error: mould-shop must be a set of keys, got a value") {
		t.Error(text)
	}
}
