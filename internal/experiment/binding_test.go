package experiment

import (
	"math"
	"strings"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/stats"
)

// answerOf is an answer of the measures told, each with half-width 1.
func answerOf(values map[string]float64, names ...string) *Answer {
	a := &Answer{}
	for _, name := range names {
		v := values[name]
		a.Measures = append(a.Measures, Figure{Name: name, Estimate: stats.Estimate{Value: v, Low: v - 1, High: v + 1, N: 10}})
	}
	return a
}

func TestBindingIsTheHighestLoad(t *testing.T) {
	values := map[string]float64{
		"load.casters": 71, "load.tunnel": 97.4, "load.booths": 88, "load.press": math.NaN(),
		"state.tunnel.holding": 0.4, "wip.total": 9000, "wip.buffer": 2900, "wip.dryers": 2400,
	}
	a := answerOf(values, "load.casters", "load.press", "load.tunnel", "load.booths",
		"state.tunnel.holding", "wip.total", "wip.buffer", "wip.dryers")
	a.Loads = []plant.Department{{Name: "casters", Load: 0.6}, {Name: "tunnel", Load: 0.96}}
	b := findBinding(a)
	if b.Resource != "tunnel" || b.Next != "booths" || b.Load != 97.4 {
		t.Fatalf("found %+v", b)
	}
	const want = "The works is limited by tunnel: used 97.4 % of the time there was to use. Next is booths with 88.0 %." +
		" It is holding 0.4 % of all hours. Most ware stands in buffer, 2,900 pieces. The estimate by hand names it too, with a load of 96 %."
	if b.Sentence != want {
		t.Errorf("says\n%s\nwant\n%s", b.Sentence, want)
	}
}

func TestIdleCountsOnlyWithinHours(t *testing.T) {
	names := []string{"load.benches", "load.sorters", "state.benches.idle", "state.sorters.no work", "state.sorters.off shift"}
	values := map[string]float64{"load.benches": 99, "load.sorters": 90, "state.benches.idle": 55, "state.sorters.no work": 2, "state.sorters.off shift": 79}
	if b := findBinding(answerOf(values, names...)); b.Resource != "benches" || strings.Contains(b.Sentence, "idle") {
		t.Errorf("benches are idle at night, which is no sign: %s", b.Sentence)
	}
	values["load.benches"] = 50
	if b := findBinding(answerOf(values, names...)); !strings.Contains(b.Sentence, "It has no work 2.0 % of all hours.") {
		t.Errorf("idle hours of a crew are not told: %s", b.Sentence)
	}
}

func TestBindingOfThoseLoadedAlike(t *testing.T) {
	tests := []struct {
		reason  string
		byHand  float64 // load of the casters; that of the tunnel is 0.96
		want    string
		opinion string
	}{
		{"by hand the other one is tighter", 1.04, "casters", "The estimate by hand names it too, with a load of 104 %."},
		{"by hand the same one is", 0.9, "tunnel", "The estimate by hand names it too, with a load of 96 %."},
		{"by hand there is no capacity at all", math.Inf(1), "casters", "Most"},
	}
	for _, test := range tests {
		a := answerOf(map[string]float64{"load.tunnel": 97, "load.casters": 95, "wip.dryers": 3}, "load.tunnel", "load.casters", "wip.dryers")
		a.Loads = []plant.Department{{Name: "casters", Load: test.byHand}, {Name: "tunnel", Load: 0.96}}
		b := findBinding(a)
		if b.Resource != test.want || !strings.Contains(b.Sentence, test.opinion) {
			t.Errorf("%s: found %+v", test.reason, b)
		}
	}
}

func TestBindingDisagreesWithTheHand(t *testing.T) {
	a := answerOf(map[string]float64{"load.tunnel": 97, "load.casters": 80}, "load.tunnel", "load.casters")
	a.Loads = []plant.Department{{Name: "casters", Load: 1.04}, {Name: "tunnel", Load: 0.96}}
	if b := findBinding(a); b.Resource != "tunnel" || !strings.HasSuffix(b.Sentence, "By hand the tightest is casters, with a load of 104 %.") {
		t.Errorf("found %+v", b)
	}
}

func TestNothingNearItsCapacity(t *testing.T) {
	a := answerOf(map[string]float64{"load.tunnel": 40, "load.casters": 61}, "load.tunnel", "load.casters")
	if b := findBinding(a); b.Resource != "" || b.Load != 61 || !strings.HasPrefix(b.Sentence, "No department is near its capacity: the highest load is 61.0 %, of casters.") {
		t.Errorf("found %+v", b)
	}
	if b := findBinding(&Answer{}); b.Resource != "" || !math.IsNaN(b.Load) || b.Sentence == "" {
		t.Errorf("of a works without loads: %+v", b)
	}
}

func TestHandDifferencesThatMatter(t *testing.T) {
	tests := []struct {
		reason        string
		byHand, value float64
		half          float64
		want          bool
	}{
		{"within 2 %", 1000, 985, 1, false},
		{"beyond 2 % and two half-widths", 1000, 900, 30, true},
		{"beyond 2 %, within two half-widths", 1000, 900, 60, false},
		{"beyond 2 % without an interval", 1000, 900, math.NaN(), true},
		{"by hand nothing", 0, 3, 1, true},
		{"nothing measured", 10, math.NaN(), math.NaN(), false},
	}
	for _, test := range tests {
		f := Figure{Estimate: stats.Estimate{Value: test.value, Low: test.value - test.half, High: test.value + test.half}}
		if got := apart(f, test.byHand); got != test.want {
			t.Errorf("%s: apart is %v", test.reason, got)
		}
	}
}

func TestDifferenceIsExplainedByWhatTheRunSaw(t *testing.T) {
	values := map[string]float64{
		"packed.total": 900, "window.late": 3.5, "window.too_dry": 6, "kiln.tunnel.empty": 6.2, "kiln.old.empty": 1,
		"kiln.tunnel.part": 1, "state.benches.waiting for casters": 4, "lead.batch": 17, "lead.off_shift": 99, "load.casters": 40,
	}
	a := answerOf(values, "packed.total", "window.late", "window.too_dry", "kiln.tunnel.empty", "kiln.old.empty", "kiln.tunnel.part", "state.benches.waiting for casters", "lead.off_shift", "lead.batch", "load.casters")
	hand := &plant.Hand{Values: []plant.HandValue{{Name: "packed.total", Value: 1000}, {Name: "unknown", Value: 3}, {Name: "load.casters", Value: 50}}}
	got := compareByHand(a, hand)
	if len(got) != 3 || got[1].Explained != "" {
		t.Fatalf("compared %+v", got)
	}
	const want = "Simulated is 10 % lower: the estimate by hand takes every department to work whenever it is open and no piece to wait." +
		" In the run 3.5 % of the ware was worked on too late, 6 pieces a week were too dry to punch, 6.2 % of the cars of tunnel were empty," +
		" benches waited for casters 4.0 % of all hours, a piece waited 99 h for people who were off shift and 17 h went by until a trolley, car or load was full."
	if got[0].Explained != want {
		t.Errorf("explained as\n%s\nwant\n%s", got[0].Explained, want)
	}
	// What the run saw of windows and waits says nothing about a load.
	const load = "Simulated is 20 % lower: the estimate by hand takes work to arrive evenly and every load to be as planned."
	if got[2].Explained != load {
		t.Errorf("a load is explained as %s", got[2].Explained)
	}
}
