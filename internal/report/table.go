package report

// Document is an answer laid out for reading, in reading order.
type Document struct {
	Title string
	Lead  []string // paragraphs under the title
	Parts []Part
}

// Part is one question answered: what a reader would look up.
type Part struct {
	Heading string
	Text    []string // paragraphs before the table
	Table   *Table   // nil: none
	After   []string // paragraphs after the table
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
}

// Row is one row; a Group row has a heading in its first cell only.
type Row struct {
	Cells []string
	Group bool
}

// add appends a row of cells.
func (t *Table) add(cells ...string) { t.Rows = append(t.Rows, Row{Cells: cells}) }

// group appends a heading row.
func (t *Table) group(heading string) {
	cells := make([]string, len(t.Columns))
	cells[0] = heading
	t.Rows = append(t.Rows, Row{Cells: cells, Group: true})
}
