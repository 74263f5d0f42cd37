package scenario_test

import (
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/scenario"
)

// TestGuess holds that a value may own to being a guess: it is what it says, it
// is listed with what nobody measured, and printing keeps the word.
func TestGuess(t *testing.T) {
	file, faults := change(t, `base: base.yaml
kilns:
  tunnel: {push: 80 min from guess, inside: 14 cars from guess}
ware: {pan: {yields: {white: 91 % from guess}}}
finishing: {finish: {pan: 12 min +- 25 % from guess}}
`)
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	w := file.Works
	if w.Kilns[0].Push != 80*des.Minute || w.Kilns[0].Inside != 14 || w.Ware[0].Yields.White != 0.91 {
		t.Errorf("read %+v", w.Kilns[0])
	}
	found := map[string]bool{}
	for _, o := range file.Unmeasured() {
		found[o.Path] = true
	}
	printed := string(file.Print())
	for path, text := range map[string]string{
		"kilns.tunnel.push": "push: 80 min from guess", "kilns.tunnel.inside": "inside: 14 from guess",
		"ware.pan.yields.white": "white: 91 % from guess", "finishing.finish.pan": ") from guess",
	} {
		if !found[path] {
			t.Errorf("%s is not listed among what nobody measured", path)
		}
		if !strings.Contains(printed, text) {
			t.Errorf("%q is not in what is printed", text)
		}
	}
	if len(file.Evidence()) > 0 {
		t.Errorf("a guess passes for evidence: %v", file.Evidence())
	}
}

// TestGuessOfWords leaves texts alone: a name may end in these words.
func TestGuessOfWords(t *testing.T) {
	file, faults := change(t, "base: base.yaml\nname: A works from guess\n")
	if file == nil || file.Works.Name != "A works from guess" {
		t.Fatal(scenario.Faults(faults))
	}
}
