package report

import (
	"encoding/json"
	"fmt"
	"io"

	"potbank/internal/experiment"
)

// Told is one difference between two scenarios in words; a set of keys that only
// one of them has is one difference.
type Told struct {
	Path          string
	Means         string // what the key is; empty for a set of keys
	Before, After string // as written; empty: not there
	Values        int    // values that differ
	Says          string // what it comes to; may be empty
}

// Diff is how two scenarios differ, and, if they were run, what comes of it.
type Diff struct {
	A, B     string // names of the scenarios
	From, To experiment.Scenario
	Told     []Told
	Results  *experiment.Comparison // nil: not run
}

// DiffDocument lays the differences out: those of the inputs, then those of the
// results.
func DiffDocument(d *Diff) Document {
	doc := Document{Title: d.title(), Lead: []string{fmt.Sprintf("%s is %s (%s); %s is %s (%s).",
		d.A, d.From.Path, shortHash(d.From.Hash), d.B, d.To.Path, shortHash(d.To.Hash))}}
	t := &Table{Columns: []Column{
		{Head: "What", Text: true, Wide: 34}, {Head: "In " + d.A, Text: true, Wide: 17}, {Head: "In " + d.B, Text: true, Wide: 17},
		{Head: "Change", Text: true, Wide: 23},
	}}
	for _, x := range d.Told {
		what := x.Path
		if x.Means != "" {
			what += ": " + x.Means
		}
		if x.Values > 1 {
			what += fmt.Sprintf(" (%d values)", x.Values)
		}
		t.add(what, shortened(x.Before), shortened(x.After), x.Says)
	}
	doc.add(Part{Heading: "Inputs that differ", Table: t})
	if d.Results == nil {
		return doc
	}
	v := &versus{d.Results}
	doc.Lead = append(doc.Lead, v.ran(), v.reading())
	doc.add(v.warnings())
	results := v.differences()
	results.Heading = "Results"
	doc.add(results, v.luck(), v.audit(), caution())
	return doc
}

// title counts the differences.
func (d *Diff) title() string {
	n := 0
	for _, x := range d.Told {
		n += x.Values
	}
	switch n {
	case 0:
		return fmt.Sprintf("%s says the same as %s", d.B, d.A)
	case 1:
		return fmt.Sprintf("%s differs from %s in 1 value", d.B, d.A)
	}
	return fmt.Sprintf("%s differs from %s in %d values", d.B, d.A, n)
}

// longest is how much of a value is shown in a table: a whole kiln is better
// read in its file.
const longest = 90

// shortened cuts a long value short.
func shortened(text string) string {
	if text == "" {
		return missing
	}
	if r := []rune(text); len(r) > longest {
		return string(r[:longest-3]) + "..."
	}
	return text
}

// jsonDiff is a document for other programs, as jsonAnswer is.
type jsonDiff struct {
	Version string          `json:"version"`
	A       jsonSide        `json:"a"`
	B       jsonSide        `json:"b"`
	Inputs  []jsonTold      `json:"inputs"`
	Results *jsonComparison `json:"results"` // null: not run
}

// jsonSide is one of the two scenarios.
type jsonSide struct {
	Name     string       `json:"name"`
	Scenario jsonScenario `json:"scenario"`
}

// jsonTold is one difference; a value that is not there is null.
type jsonTold struct {
	Path   string  `json:"path"`
	Means  string  `json:"means"`
	Before *string `json:"before"`
	After  *string `json:"after"`
	Values int     `json:"values"`
	Says   string  `json:"says"`
}

// DiffJSON writes the differences as one JSON document with a newline at its
// end; see JSON.
func DiffJSON(w io.Writer, d *Diff, version string) error {
	out := jsonDiff{
		Version: version, Inputs: []jsonTold{},
		A: jsonSide{d.A, jsonScenario{d.From.Name, d.From.Hash}}, B: jsonSide{d.B, jsonScenario{d.To.Name, d.To.Hash}},
	}
	for _, x := range d.Told {
		out.Inputs = append(out.Inputs, jsonTold{x.Path, x.Means, orNull(x.Before), orNull(x.After), x.Values, x.Says})
	}
	if d.Results != nil {
		results := comparisonOf(d.Results, version)
		out.Results = &results
	}
	text, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}
