package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"potbank/internal/proof"
)

// invented is a proof with one of each: a law, a figure without chance, figures
// of chance, one that did not hold, a long one, and one that does not apply.
func invented() *proof.Report {
	row := func(id, topic, expected string) proof.Published {
		return proof.Published{ID: id, Topic: topic, Inputs: "inputs", Quantity: "a quantity", Expected: expected, Tolerance: "exact", Units: "-", Source: "a book, 3rd ed.", Known: "from memory (high)"}
	}
	long := strings.Repeat("1997-09-02 ", 6)
	return &proof.Report{
		Runs: 40, Equalities: 1234567,
		Laws: []proof.Check{
			{Published: row("L01", "pieces: cast = packed + lost", "0 broken"), Path: "plant", Figures: []proof.Figure{{Name: "pieces: cast = packed + lost", Want: "0 broken", Got: "0 of 7 broken", Held: true}}},
		},
		Checks: []proof.Check{
			{Published: row("A01", "M/M/1", "8.1; 9.0"), Path: "kernel", Note: "part is left out", Figures: []proof.Figure{
				{Name: "Wq", Want: "8.1", Got: "8.11 ± 0.5 %", Held: true, Random: true, Half: 0.005, Finds: 0.006},
				{Name: "W", Want: "9.0", Got: "8.2 ± 0.5 %", Random: true, Half: 0.005, Finds: 0.09},
			}},
			{Published: row("B10", "VUT", "1667.5"), Reason: "an approximation that is not used"},
			{Published: row("I01", "RRULE weekly", long), Path: "calendar", Figures: []proof.Figure{{Name: "dates", Want: long, Got: long, Held: true}}},
		},
	}
}

func TestProofDocument(t *testing.T) {
	var out bytes.Buffer
	for _, full := range []bool{false, true} {
		if err := Terminal(&out, ProofDocument(invented(), full)); err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "proof.txt", out.Bytes())
}

func TestProofJSON(t *testing.T) {
	var out bytes.Buffer
	if err := ProofJSON(&out, invented(), "1.2.3"); err != nil {
		t.Fatal(err)
	}
	golden(t, "proof.json", out.Bytes())
	var d struct {
		Checks []map[string]any
	}
	if err := json.Unmarshal(out.Bytes(), &d); err != nil || len(d.Checks) != 4 {
		t.Fatalf("%d checks, %v", len(d.Checks), err)
	}
	for i, held := range []any{true, false, nil, true} {
		for _, key := range []string{"id", "expected", "got", "held", "source", "topic", "how_known", "path"} {
			if _, ok := d.Checks[i][key]; !ok {
				t.Errorf("check %d has no %s", i, key)
			}
		}
		if d.Checks[i]["held"] != held {
			t.Errorf("check %d: held is %v, want %v", i, d.Checks[i]["held"], held)
		}
	}
}

// A proof in which all held says so, and what that is worth: of n trials without
// a fault, 3/n. source: rule of three.
func TestProofLead(t *testing.T) {
	r := invented()
	r.Checks[0].Figures = r.Checks[0].Figures[:1]
	text := strings.Join(proofLead(r), " ")
	for _, want := range []string{"3 of 3 checks held; 1 more do not apply", "none was broken. With 40 clean trials, fewer than 7.5 % "} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in %q", want, text)
		}
	}
	r.Laws[0].Figures[0].Held = false
	if text := strings.Join(proofLead(r), " "); !strings.Contains(text, "not all held") || strings.Contains(text, "clean") {
		t.Errorf("with a broken law: %q", text)
	}
}
