package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Sheet is figures in rows for a spreadsheet: exact, one to a cell, with what
// they are in the head of the column. It is written as a CSV file, or as one
// sheet of a workbook.
type Sheet struct {
	Name    string // also that of the file
	Columns []string
	Rows    [][]any // text (string), whole numbers (int) and figures (float64); nil: nothing
	Live    [][]any // rows at the end that only a workbook can have: formulas of what is above
	Charts  []SheetChart
}

// Formula is a cell that a spreadsheet computes, with the value that it has as
// the sheet is written. It refers to cells of its own sheet; the columns are in
// the first row.
type Formula struct {
	Text  string // such as SUM(B2:B5)
	Value float64
}

// SheetChart is a chart of columns of a sheet.
type SheetChart struct {
	Title string
	Line  bool  // lines over the rows; else bars
	Label int   // column with the names of the rows
	Drawn []int // columns drawn, from 0
	Rows  int   // rows drawn, from the first
	Unit  string
}

// add appends a row.
func (s *Sheet) add(cells ...any) { s.Rows = append(s.Rows, cells) }

// figureCells are the cells of an estimate.
func figureCells(value, low, high, sd float64, n int) []any {
	return []any{exactly(value), exactly(low), exactly(high), exactly(sd), n}
}

// exactly is a figure as the JSON of the answer has it, so that the two agree to
// the last digit; nil where there is none.
func exactly(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64)
	if err != nil {
		return nil // cannot be: it was printed from a number
	}
	return rounded + 0 // no negative zero
}

// total is a row with the sums of columns, under its name.
func (s *Sheet) total(name string, columns ...int) []any {
	row := make([]any, len(s.Columns))
	row[0] = name
	for _, c := range columns {
		sum := 0.0
		for _, r := range s.Rows {
			if v, ok := r[c].(float64); ok {
				sum += v
			}
		}
		at := columnName(c)
		row[c] = Formula{fmt.Sprintf("SUM(%s2:%s%d)", at, at, len(s.Rows)+1), sum}
	}
	return row
}

// columnName is the letter of a column, from 0. Sheets have fewer than 27.
func columnName(c int) string { return string(rune('A' + c)) }

// DocumentSheets are sheets of an answer that has no rows of its own: what is
// said first, then of every part the figures of its charts and the table as it is
// printed.
func DocumentSheets(d Document) []Sheet {
	all := []Sheet{sayings(d)}
	taken := map[string]bool{"answer": true, "inputs": true}
	for _, p := range d.Parts {
		for i := range p.Charts {
			if s := p.Charts[i].sheet(); s != nil {
				s.Name = freeName("fig "+p.Heading, taken)
				all = append(all, *s)
			}
		}
		if p.Table == nil || len(p.Table.Rows) == 0 {
			continue
		}
		s := Sheet{Name: freeName(p.Heading, taken)}
		for _, c := range p.Table.Columns {
			s.Columns = append(s.Columns, c.Head)
		}
		for _, r := range p.Table.Rows {
			row := make([]any, len(s.Columns))
			for i, text := range r.Cells {
				row[i] = strings.TrimSpace(text)
			}
			s.Rows = append(s.Rows, row)
		}
		all = append(all, s)
	}
	return all
}

// sayings is the sheet of what an answer says in sentences.
func sayings(d Document) Sheet {
	s := Sheet{Name: "answer", Columns: []string{"about", "text"}}
	s.add("title", d.Title)
	for _, text := range d.Lead {
		s.add("lead", text)
	}
	for _, p := range d.Parts {
		for _, text := range append(append([]string{}, p.Text...), p.After...) {
			s.add(p.Heading, text)
		}
	}
	return s
}

// longestName is what a workbook allows for the name of a sheet, characters.
const longestName = 31

// freeName makes the name of a sheet, and of a file, of a heading: lower case
// letters and digits, not taken yet.
func freeName(heading string, taken map[string]bool) string {
	words := strings.FieldsFunc(strings.ToLower(heading), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	name := strings.Join(words, "-")
	if len(name) > longestName-3 {
		name = strings.Trim(name[:longestName-3], "-")
	}
	if name == "" {
		name = "table"
	}
	for base, k := name, 2; taken[name]; k++ {
		name = fmt.Sprintf("%s-%d", base, k)
	}
	taken[name] = true
	return name
}
