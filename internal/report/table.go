package report

import "slices"

// Document is an answer laid out for reading, in reading order.
type Document struct {
	Title string
	Lead  []string // paragraphs under the title
	Parts []Part
	Front *Front // nil: none; only pages have one
}

// Part is one question answered: what a reader would look up.
type Part struct {
	Heading string
	Text    []string // paragraphs before the table
	Table   *Table   // nil: none
	After   []string // paragraphs after the table
	Charts  []Chart  // for renderers that draw
	Brief   string   // said on a first page, where there is no room for the table
}

// onlyDrawn tells whether a part says nothing to a reader without pictures.
func (p *Part) onlyDrawn() bool {
	return len(p.Text) == 0 && len(p.After) == 0 && (p.Table == nil || len(p.Table.Rows) == 0)
}

// Table is rows under columns; a renderer need not know what they say.
type Table struct {
	Columns []Column
	Rows    []Row
}

// Column is one column with its unit in the head.
type Column struct {
	Head string
	Text bool // words, set left and wrapped; otherwise figures, set right
	Wide int  // characters after which words are wrapped; 0: never

	Picture bool // drawn in characters, for renderers that cannot draw
}

// Row is one row; a Group row has a heading in its first cell only.
type Row struct {
	Cells []string
	Group bool
}

// add appends a row of cells.
func (t *Table) add(cells ...string) { t.Rows = append(t.Rows, Row{Cells: cells}) }

// drop leaves columns out.
func (t *Table) drop(out map[int]bool) {
	at := 0
	t.Columns = slices.DeleteFunc(t.Columns, func(Column) bool { at++; return out[at-1] })
	for i := range t.Rows {
		at = 0
		t.Rows[i].Cells = slices.DeleteFunc(t.Rows[i].Cells, func(string) bool { at++; return out[at-1] })
	}
}

// group appends a heading row.
func (t *Table) group(heading string) {
	cells := make([]string, len(t.Columns))
	cells[0] = heading
	t.Rows = append(t.Rows, Row{Cells: cells, Group: true})
}
