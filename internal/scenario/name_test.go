package scenario

import (
	"os"
	"testing"
)

// writeFile writes a file a test needs.
func writeFile(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestDistance counts slips: letters left out, put in, replaced or swapped.
func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"push", "push", 0}, {"push", "psuh", 1}, {"push", "pus", 1},
		{"push", "puush", 1}, {"push", "posh", 1}, {"kitten", "sitting", 3}, // source: Levenshtein's common example
		{"ca", "abc", 3}, // source: the case in which optimal string alignment and Damerau's distance differ (3 and 2)
		{"Dünn", "dunn", 2},
	}
	for _, tt := range tests {
		if got := distance(tt.a, tt.b); got != tt.want {
			t.Errorf("distance(%q, %q) = %d, want %d", tt.a, tt.b, got, tt.want)
		}
		if got := distance(tt.b, tt.a); got != tt.want {
			t.Errorf("distance(%q, %q) = %d, want %d", tt.b, tt.a, got, tt.want)
		}
	}
}

// TestNearest finds what was meant, and nothing when nothing is near.
func TestNearest(t *testing.T) {
	candidates := []string{"push", "place", "placers", "energy-base"}
	for word, want := range map[string]string{"psuh": "push", "Push": "push", "plcaers": "placers", "plaze": "place",
		"enrgy-bas": "energy-base", "kiln": "", "x": "", "": ""} {
		if got, ok := nearest(word, candidates); got != want || ok != (want != "") {
			t.Errorf("nearest(%q) = %q, %v, want %q", word, got, ok, want)
		}
	}
}

// TestNames holds which names entries may have.
func TestNames(t *testing.T) {
	for name, fine := range map[string]bool{"pan": true, "pan-2": true, "Waschtisch_60": true, "évier": true,
		"a.b": false, "a b": false, "a/b": false, "a%": false} {
		d := &decoder{}
		d.checkName(entry{key: name, at: place{file: &source{}}}, "benches")
		if fine != (len(d.faults) == 0) {
			t.Errorf("%q: %v", name, d.faults)
		}
	}
	d := &decoder{}
	d.checkName(entry{key: "glaze crawling", at: place{file: &source{}}}, "ware.pan.yields.fired-faults")
	d.checkName(entry{key: others, at: place{file: &source{}}}, "benches")
	if len(d.faults) > 0 {
		t.Errorf("faults may have spaces, and only wares may not be called others: %v", d.faults)
	}
	if d.checkName(entry{key: others, at: place{file: &source{}}}, "ware"); len(d.faults) == 0 {
		t.Error("a ware is called others")
	}
}

// TestDefaultsAreValid reads every default of every key, and holds that a key
// has a default or is optional, not both.
func TestDefaultsAreValid(t *testing.T) {
	for key, sections := range homes() {
		if len(sections) == 0 {
			t.Errorf("%s belongs nowhere", key)
		}
	}
	d := &decoder{currency: "EUR"}
	var walk func(path string, fields []field)
	walk = func(path string, fields []field) {
		for _, f := range fields {
			below := join(path, f.key)
			switch shapeOf(f.typ) {
			case scalarShape:
				if f.standard == "" {
					continue
				}
				if f.optional {
					t.Errorf("%s is optional and has a default", below)
				}
				if _, err := scalars[f.typ].parse(d, f, f.standard); err != nil {
					t.Errorf("%s: default %s: %v", below, f.standard, err)
				}
			case sectionShape, namedShape, rowsShape:
				walk(below, fieldsOf(structOf(f.typ)))
			}
		}
	}
	walk("", fieldsOf(worksType))
}
