package plant

import "testing"

// Every measure that is called something in a sentence is one that there is, and
// those by which precision is judged all are.
func TestInWords(t *testing.T) {
	patterns := map[string]bool{}
	for _, m := range MeasureCatalogue() {
		patterns[m.Name] = true
		if m.Headline && InWords(m.Name) == m.Name {
			t.Errorf("%s is judged by and has no words", m.Name)
		}
	}
	for name := range words {
		if !patterns[name] {
			t.Errorf("%s is no measure", name)
		}
	}
	for name, want := range map[string]string{
		"cost.per_good": "cost of a good piece", "packed.pan": "output of good pan",
		"window.too_dry.pan": "loss of pan too dry to punch", "kiln.tunnel.full": "kiln.tunnel.full",
	} {
		if got := InWords(name); got != want {
			t.Errorf("%s is called %q, want %q", name, got, want)
		}
	}
}
