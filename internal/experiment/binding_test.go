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
		"load.casters": 71, "load.tunnel": 97.4, "load.booths": 88,
		"state.tunnel.starved": 0.4, "state.tunnel.blocked": 0.1, "state.casters.blocked": 12, "state.booths.starved": 30,
	}
	a := answerOf(values, "load.casters", "load.tunnel", "load.booths",
		"state.tunnel.starved", "state.tunnel.blocked", "state.casters.blocked", "state.booths.starved")
	a.Loads = []plant.Department{{Name: "casters", Load: 60}, {Name: "tunnel", Load: 96}}
	b := findBinding(a)
	if b.Resource != "tunnel" || b.Next != "booths" || b.Load != 97.4 {
		t.Fatalf("found %+v", b)
	}
	for _, want := range []string{
		"Tunnel limits the works: it is busy 97.4 %", "Next is booths with 88.0 %",
		"starved 0.4 % and blocked 0.1 %", "Most blocked is casters, 12.0 %", "Most starved is booths, 30.0 %",
		"The estimate by hand names it too, with a load of 96 %",
	} {
		if !strings.Contains(b.Sentence, want) {
			t.Errorf("the sentence lacks %q: %s", want, b.Sentence)
		}
	}
}

func TestBindingDisagreesWithTheHand(t *testing.T) {
	a := answerOf(map[string]float64{"load.tunnel": 97, "load.casters": 95}, "load.tunnel", "load.casters")
	a.Loads = []plant.Department{{Name: "casters", Load: 104}, {Name: "tunnel", Load: 96}}
	b := findBinding(a)
	if !strings.Contains(b.Sentence, "names casters, with a load of 104 %: the two ways of looking do not agree") {
		t.Errorf("no word of the disagreement: %s", b.Sentence)
	}
}

func TestNothingNearItsCapacity(t *testing.T) {
	a := answerOf(map[string]float64{"load.tunnel": 40, "load.casters": 61}, "load.tunnel", "load.casters")
	if b := findBinding(a); b.Resource != "" || !strings.HasPrefix(b.Sentence, "No department is near its capacity: the highest load is 61.0 %, of casters.") {
		t.Errorf("found %+v", b)
	}
	if b := findBinding(&Answer{}); b.Resource != "" || b.Sentence == "" {
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
		{"within 5 %", 1000, 960, 1, false},
		{"beyond 5 % and two half-widths", 1000, 900, 30, true},
		{"beyond 5 %, within two half-widths", 1000, 900, 60, false},
		{"beyond 5 % without an interval", 1000, 900, math.NaN(), true},
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
		"packed.total": 900, "window.late": 3.5, "window.too_dry": 0.6, "kiln.tunnel.empty": 6.2, "kiln.old.empty": 1,
		"kiln.tunnel.part": 1, "state.casters.blocked": 4, "lead.off_shift": 99,
	}
	a := answerOf(values, "packed.total", "window.late", "window.too_dry", "kiln.tunnel.empty", "kiln.old.empty", "kiln.tunnel.part", "state.casters.blocked", "lead.off_shift")
	hand := &plant.Hand{Values: []plant.HandValue{{Name: "packed.total", Value: 1000}, {Name: "unknown", Value: 3}}}
	got := compareByHand(a, hand)
	if len(got) != 2 || got[1].Explained != "" {
		t.Fatalf("compared %+v", got)
	}
	const want = "Simulated is 10 % lower: the estimate by hand takes every department to work whenever it is open and no piece to wait." +
		" In the run 4.1 % of the ware was punched too late or not at all, 6.2 % of the pushes of tunnel were empty," +
		" casters stood blocked 4.0 % of the time and a piece waited 99 h outside working hours."
	if got[0].Explained != want {
		t.Errorf("explained as\n%s\nwant\n%s", got[0].Explained, want)
	}
}
