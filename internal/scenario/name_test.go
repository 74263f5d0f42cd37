package scenario

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"potbank/internal/des"
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

// TestEveryUnknownNameIsTold holds that one name nobody defined does not hide
// another: neither one that was misspelt where it is defined, which is told once
// and there, nor one that is unknown in its only place.
func TestEveryUnknownNameIsTold(t *testing.T) {
	text := sampleWith(t,
		"day: {weeks:", "dya: {weeks:",
		"white-inspection: {crew: hands,", "white-inspection: {crew: welders,",
		"sorting: {crew: hands,", "sorting: {crew: riggers,",
		"packing: {crew: hands,", "packing: {crew: masons,")
	_, faults := read([]byte(text), "s.yaml", "testdata")
	var got []string
	for _, f := range faults {
		got = append(got, fmt.Sprintf("%d %s", f.Line, f.What))
	}
	want := []string{`10 "dya" is used nowhere, but 3 places name "day"`, `47 no crew called "welders"`, `59 no crew called "riggers"`, `61 no crew called "masons"`}
	if !slices.Equal(got, want) {
		t.Errorf("told is %q, want %q", got, want)
	}
}

// sampleWith is testdata/sample.yaml with texts replaced, given as old, new, ...
func sampleWith(t *testing.T, pairs ...string) string {
	t.Helper()
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for k := 0; k < len(pairs); k += 2 {
		if !strings.Contains(string(sample), pairs[k]) {
			t.Fatalf("the sample has no %q", pairs[k])
		}
	}
	return strings.NewReplacer(pairs...).Replace(string(sample))
}

// TestCurvesRun holds that the points of a curve are in the order of what they
// grow along, whatever the order of the file: the plant looks between neighbours.
func TestCurvesRun(t *testing.T) {
	const window = "window: {after: 4 h, until: 9 h}"
	moist := sampleWith(t, window, "window: {opens: 19 %, closes: 15 %, late-loss: {12 %: 20 %, 15 %: 0 %, 13 %: 8 %}}")
	late := sampleWith(t, window, "window: {after: 4 h, until: 9 h, late-loss-after: {6 h: 30 %, 0 h: 0 %, 90 min: 10 %}}")
	file, faults := read([]byte(moist), "s.yaml", "testdata")
	if file == nil {
		t.Fatal(Faults(faults))
	}
	if got, want := fmt.Sprint(file.Works.Ware[0].Window.Late), "[{12 % 20 %} {13 % 8 %} {15 % 0 %}]"; got != want {
		t.Errorf("by moisture %s, want %s", got, want)
	}
	if file, faults = read([]byte(late), "s.yaml", "testdata"); file == nil {
		t.Fatal(Faults(faults))
	}
	var at []des.Time
	for _, p := range file.Works.Ware[0].Window.LateBy {
		at = append(at, p.At)
	}
	if !slices.Equal(at, []des.Time{0, 90 * des.Minute, 6 * des.Hour}) {
		t.Errorf("by time the points stand at %v", at)
	}
}
