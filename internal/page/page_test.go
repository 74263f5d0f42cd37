package page_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"potbank/internal/page"
	"potbank/internal/report"
)

// every is a document with a chart of each kind, and texts that would break a
// page that does not escape them.
func every() report.Document {
	nan := math.NaN()
	hostile := `<script>alert("1")</script> & 'it' `
	lines := []report.Series{
		{Name: hostile, Unit: "pieces", X: []float64{0, 1, 2}, Y: []float64{5, nan, 7}, Low: []float64{4, nan, 6}, High: []float64{6, nan, 9}},
		{Name: "plan", X: []float64{0, 2}, Y: []float64{4, 8}, Broken: true},
		{Name: "here", X: []float64{1}, Y: []float64{6}, Points: true},
	}
	charts := []report.Chart{
		{Kind: report.Lines, Title: "Lines " + hostile, Note: hostile, Means: hostile, Rests: "10 runs", X: report.Axis{Name: "week"}, Y: report.Axis{Name: "pieces", Unit: "pieces"},
			Series: lines, Marks: []report.Mark{{At: 1, Name: hostile}, {At: 6, Name: "level", Level: true}}, Shades: []report.Shade{{From: 0.5, To: 9}}},
		{Kind: report.Lines, Title: "Panels", Split: true, Series: lines[:2]},
		{Kind: report.Columns, Title: "Columns", X: report.Axis{Name: "h"}, Series: []report.Series{{Name: "pieces", X: []float64{0, 1, 2}, Y: []float64{3, 4}}}, Marks: []report.Mark{{At: 1, Name: "P50"}}},
		{Kind: report.Bars, Title: "Bars", Y: report.Axis{Name: "row"}, Rows: []string{hostile, "two"}, Series: []report.Series{{Name: "a", Y: []float64{1, nan}}, {Name: "b", Y: []float64{2, 3}}}},
		{Kind: report.Swings, Title: "Swings", Rows: []string{"x"}, Series: []report.Series{{Name: "low", Y: []float64{-1}, Low: []float64{-2}, High: []float64{0}}, {Name: "high", Y: []float64{3}}}},
		{Kind: report.Ranges, Title: "Ranges", Rows: []string{"x"}, Series: []report.Series{{Y: []float64{1}, Low: []float64{0}, High: []float64{2}}}, Marks: []report.Mark{{At: 0}}, Shades: []report.Shade{{From: -1, To: 1}}},
		{Kind: report.Calendar, Title: "Calendar", X: report.Axis{Name: "hour", Ticks: []report.Tick{{At: 0, Name: "00"}, {At: 24, Name: "24"}}},
			Lanes: []report.Lane{{Name: "Mon", Spans: []report.Stretch{{From: 0, To: 1, What: hostile, Text: "20 pans", Filled: 1}, {From: 1, To: 2, What: "pan", Filled: 0.5}, {From: 2, To: 3, What: "empty"}}}}},
		{Kind: report.Matrix, Title: "Matrix", Rows: []string{hostile, "two"}, Series: []report.Series{{Name: hostile, Unit: "EUR", Y: []float64{0, 900}}, {Name: "b", Y: []float64{1200, nan}}}},
		{Kind: report.Lines, Title: "Stairs", Series: []report.Series{{Name: "stairs", X: []float64{0, 8, 16}, Y: []float64{0, 1, 2}, Steps: true}, {Name: "here", X: []float64{9}, Y: []float64{1}, Points: true}}},
		{Kind: report.Flow, Title: "Flow", Stages: []report.Stage{{Name: hostile, In: 100, Lost: 10}, {Name: "sorting", In: 90, Lost: 5, Again: 20, Out: 10, OutName: "seconds"}, {Name: "packing", In: 75, Out: 75, OutName: "good"}}},
	}
	return report.Document{
		Title: "Works " + hostile, Lead: []string{hostile},
		Front: &report.Front{Answer: hostile, Doubt: hostile, Figures: []report.KeyFigure{{Name: hostile, Value: "1", Unit: "h", Note: hostile}},
			Trust: []report.Credit{{Factor: "validation", Level: 0, Why: hostile}}, Leaves: []string{hostile}, Notes: []report.Part{{Heading: "Audit", Brief: hostile}, {Heading: "Values that nobody measured", Text: []string{hostile}, Brief: hostile}}, Source: report.Source{File: hostile, Hash: "ab"}},
		Parts: []report.Part{
			{Heading: "Warnings", Text: []string{"- " + hostile, "- two"}},
			{Heading: hostile, Text: []string{hostile}, Charts: charts, Table: &report.Table{
				Columns: []report.Column{{Head: hostile, Text: true}, {Head: "v"}, {Head: "drawn", Picture: true}},
				Rows:    []report.Row{{Cells: []string{hostile, "1", "---|"}}, {Cells: []string{"group"}, Group: true}},
			}},
			{Heading: "Caution", Text: []string{hostile}},
		},
	}
}

func written(t *testing.T, d report.Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := page.Write(&b, d, "0.0.0"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// outside are the ways for a page to reach out or to run something.
var outside = []*regexp.Regexp{
	regexp.MustCompile(`(?i)<\s*(script|iframe|object|embed|link|img|form|base|audio|video)\b`),
	regexp.MustCompile(`(?i)\s(src|srcset|xlink:href|action|formaction|style|on[a-z]+)\s*=`),
	regexp.MustCompile(`(?i)\shref\s*=\s*"[^#]`),
	regexp.MustCompile(`(?i)@import|url\(\s*['"]?[^#'")]|javascript:|eval\(`),
}

// A page is well-formed even as XML, and nothing in it reaches out, whatever the
// texts of a document are.
func TestPageIsWellFormedAndAlone(t *testing.T) {
	text := written(t, every())
	decoder := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, way := range outside {
		if found := way.FindString(text); found != "" {
			t.Errorf("the page holds %q", found)
		}
	}
	for _, address := range regexp.MustCompile(`https?://[^"'<\s]*`).FindAllString(text, -1) {
		if address != "http://www.w3.org/2000/svg" { // a name, which nobody fetches
			t.Errorf("the page names %s", address)
		}
	}
	if strings.Contains(text, "ZgotmplZ") {
		t.Error("the layout refused a value")
	}
}

// A figure that does not exist leaves a gap, not a place that is no number.
func TestEveryPlaceInADrawingIsANumber(t *testing.T) {
	text := written(t, every())
	if found := regexp.MustCompile(`NaN|Inf`).FindString(text); found != "" {
		t.Errorf("a place is %s", found)
	}
}

func TestDocumentsWithoutAFrontOrAnyPart(t *testing.T) {
	d := every()
	d.Front = nil
	if text := written(t, d); !strings.Contains(text, "<h1>Works ") {
		t.Error("a document without a front is not fronted by its title")
	}
	written(t, report.Document{})
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestWriteErrorsAreTold(t *testing.T) {
	if err := page.Write(brokenPipe{}, every(), "0.0.0"); err == nil {
		t.Error("no error of a broken pipe")
	}
}
