// Package draft writes a first scenario of a works from a dozen answers.
//
// A works that wants to try the program has no file, and an empty page is where
// most stop. A Sheet asks twelve things that anybody in a works knows; what it
// does not ask is taken from trade practice and marked in the file as a guess,
// so that it is listed under every answer until somebody measures it. Heads,
// benches, dryers and cars are sized by the averages of sizing.go, with a little
// spare: the draft is where a works begins to be described, not how it should
// be built.
package draft

import (
	"bytes"
	_ "embed"
	"fmt"
	"text/template"
	"time"
)

// Kinds of works that can be drafted.
const (
	BenchShuttle   = "bench-shuttle"   // plaster benches, drying floor, shuttle kilns
	BenchTunnel    = "bench-tunnel"    // plaster benches, chamber dryers, tunnel kiln, refire shuttle
	PressureTunnel = "pressure-tunnel" // pressure casting, chamber dryers, tunnel kiln, refire shuttle
	Fireclay       = "fireclay"        // fine fireclay on benches, slow drying, shuttle kilns
)

// Kinds lists the kinds in the order in which they are offered.
var Kinds = []string{BenchShuttle, BenchTunnel, PressureTunnel, Fireclay}

// A Question is one of the dozen.
type Question struct {
	Key   string // name of the answer, and of the flag that gives it
	Asks  string // as put to the user
	Usual string // what trade practice takes, for the kind of works chosen
	Unit  string // what a bare number means
}

// A Sheet is the answers, as written; what is not answered is a guess.
type Sheet struct {
	Kind    string
	answers map[string]string
}

// NewSheet starts a sheet for a kind of works.
func NewSheet(kind string) (*Sheet, error) {
	for _, k := range Kinds {
		if k == kind {
			return &Sheet{Kind: kind, answers: map[string]string{}}, nil
		}
	}
	return nil, fmt.Errorf("no kind of works %q; there are %v", kind, Kinds)
}

// Questions are the dozen for the sheet's kind of works, in the order in which
// the ware flows.
func (s *Sheet) Questions() []Question {
	shuttle := s.shuttle()
	pick := func(yes bool, a, b string) string {
		if yes {
			return a
		}
		return b
	}
	ware := map[string]string{BenchShuttle: "pan", BenchTunnel: "pan", PressureTunnel: "basin", Fireclay: "sink"}[s.Kind]
	good := map[string]string{BenchShuttle: "40", BenchTunnel: "400", PressureTunnel: "600", Fireclay: "30"}[s.Kind]
	mass := map[string]string{BenchShuttle: "17", BenchTunnel: "17", PressureTunnel: "12", Fireclay: "25"}[s.Kind]
	return []Question{
		{"name", "What is the works called?", "My works", ""},
		{"ware", "What does it make most of (one word)?", ware, ""},
		{"good", "How many good pieces should it pack on a working day?", good, "pieces"},
		{"mass", "What does one fired piece weigh?", mass, "kg"},
		{"cycle", pick(s.pressure(), "How long is the cycle of a pressure machine?", "How long does the wall build in the mould?"), pick(s.pressure(), "24", pick(s.Kind == Fireclay, "120", "100")), "min"},
		{"drying", "How long does the ware dry?", map[string]string{BenchShuttle: "48", BenchTunnel: "20", PressureTunnel: "18", Fireclay: "72"}[s.Kind], "h"},
		{"glazing", "How long does it take to spray one piece?", pick(s.pressure(), "2", "4"), "min"},
		{"firing", pick(shuttle, "How long is the shuttle kiln fired and cooled, without loading and drawing?", "How long is a car in the tunnel kiln, cold to cold?"), pick(shuttle, "21", "16"), "h"},
		{"load", pick(shuttle, "How many pieces make one load of the kiln?", "How many pieces stand on one kiln car?"), pick(shuttle, pick(s.Kind == Fireclay, "40", "80"), "16"), "pieces"},
		{"losses", "What share is lost: in the clay, at white inspection, in the first fire?", "6 / 7 / 6", "%"},
		{"refires", "What share goes back for a second fire?", "10", "%"},
		{"shifts", "How many shifts do the hand shops work, Monday to Friday?", pick(shuttle, "1", "2"), ""},
	}
}

// Answer writes an answer down. An empty one leaves the guess.
func (s *Sheet) Answer(key, text string) error {
	if text == "" {
		return nil
	}
	for _, q := range s.Questions() {
		if q.Key == key {
			if err := check(q, text); err != nil {
				return err
			}
			s.answers[key] = text
			return nil
		}
	}
	return fmt.Errorf("nothing called %q is asked", key)
}

func (s *Sheet) shuttle() bool  { return s.Kind == BenchShuttle || s.Kind == Fireclay }
func (s *Sheet) pressure() bool { return s.Kind == PressureTunnel }

//go:embed works.yaml.tmpl
var worksText string

// works is the layout of a drafted file. Its actions only put values where they
// belong; every figure comes sized from a sizing.
var works = template.Must(template.New("works").Parse(worksText))

// Scenario writes the works of the sheet as a scenario file that runs, for a file
// of that name. It begins on the next Monday, today if it is one.
func (s *Sheet) Scenario(file string, today time.Time) ([]byte, error) {
	z, err := s.size()
	if err != nil {
		return nil, err
	}
	z.File, z.Start = file, today.AddDate(0, 0, (8-int(today.Weekday()))%7).Format("2006-01-02")
	var b bytes.Buffer
	if err := works.Execute(&b, z); err != nil {
		return nil, fmt.Errorf("draft: %w", err)
	}
	return b.Bytes(), nil
}

// Good is the good pieces that the drafted works should pack on a working day.
func (s *Sheet) Good() int {
	good, _ := s.value("good")
	return int(good)
}
