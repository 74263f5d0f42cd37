package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// matrix lays out a chart of figures by row and column. values are by row, then
// by column.
func matrix(c Chart, rows, columns []string, values [][]float64, unit string) Chart {
	c.Kind, c.Rows = Matrix, rows
	for k, name := range columns {
		s := Series{Name: name, Unit: unit}
		for i := range rows {
			s.Y = append(s.Y, values[i][k])
		}
		c.Series = append(c.Series, s)
	}
	return c
}

// scaled is figures over a unit such as a thousand.
func scaled(values [][]float64, unit float64) [][]float64 {
	var all [][]float64
	for _, row := range values {
		row = slices.Clone(row)
		for k := range row {
			row[k] /= unit
		}
		all = append(all, row)
	}
	return all
}

// greatestOf is the place of the greatest figure; of none, -1.
func greatestOf(rows int, value func(i int) float64) int {
	best := -1
	for i := range rows {
		if v := value(i); !math.IsNaN(v) && (best < 0 || v > value(best)) {
			best = i
		}
	}
	return best
}

// decided gives a document of an answer to a question its first page: figures
// are the first three that can be told.
func (d *Document) decided(b experiment.Basis, doubt string, seed uint64, runs string, figures ...KeyFigure) {
	f := &Front{About: b.Name, Answer: d.Title, Doubt: doubt, Leaves: experiment.LeftOut(), Source: Source{b.Path, b.Hash, seed, runs}}
	for _, k := range figures {
		if k.Value != "" && k.Value != missing && len(f.Figures) < 3 {
			f.Figures = append(f.Figures, k)
		}
	}
	for _, c := range b.Credibility() {
		f.Trust = append(f.Trust, Credit{c.Factor, c.Level, c.Why})
	}
	audit := Part{Heading: "Audit", Brief: "Every run is checked for the exact laws of pieces, hours, moulds, cars, fuel and money; one that broke any would have ended the study."}
	if b.Laws != nil {
		audit.Brief = auditBrief(b.Laws)
	}
	if f.Notes = []Part{audit}; len(b.Unmeasured) > 0 {
		f.Notes = append(f.Notes, unmeasuredBrief(b.Unmeasured))
	}
	d.Front = f
}

// key is a figure of the first page with its interval in words.
func key(words string, e stats.Estimate, unit, note string) KeyFigure {
	value, half := columns(e)
	k := KeyFigure{Name: words, Value: value, Unit: unit, Note: note}
	if half != "" {
		k.Note = sentence("± "+half, note)
	}
	return k
}

// sentence joins what is said of a figure.
func sentence(parts ...string) string { return strings.Join(sentences(parts...), "; ") }

// chanceKey is a probability as a figure of the first page.
func chanceKey(words string, e stats.Estimate) KeyFigure {
	k := KeyFigure{Name: words, Value: missing}
	if !math.IsNaN(e.Value) {
		k.Value, k.Unit = fixed(100*e.Value, 0), "%"
	}
	if e.HasInterval() {
		k.Note = fmt.Sprintf("%s to %s %% with %g %% confidence", fixed(100*e.Low, 0), fixed(100*e.High, 0), 100*experiment.Level)
	}
	return k
}
