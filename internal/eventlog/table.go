package eventlog

import (
	"encoding/csv"
	"io"
	"strconv"

	"potbank/internal/cell"
)

// Columns are those of the CSV file. A cell is empty where there is nothing to
// say. Mould, cast, case and block are numbers of the piece's ware from 1; load
// is the number of the car or load of the kiln that it was fired with last. Filled
// is told of pieces in stock at the start, where it is known.
var Columns = []string{
	"piece", "activity", "timestamp", "lifecycle", "resource",
	"ware", "section", "stage", "cause", "grade", "order", "mould", "cast", "case", "block", "kiln", "load", "filled",
}

// table writes CSV.
type table struct {
	w      *csv.Writer
	row    []string
	pieces seen
	count  int64
}

func newTable(w io.Writer) *table {
	t := &table{w: csv.NewWriter(w)}
	t.w.Write(Columns) // an error stays in the writer and is told by the next
	return t
}

// write implements encoder.
func (t *table) write(e *event) error {
	if t.pieces.first("", e.Piece) {
		t.count++
	}
	m := &e.Mould
	t.row = append(t.row[:0],
		strconv.FormatUint(e.Piece, 10), e.activity, string(e.time), e.lifecycle, cell.Text(e.resource),
		cell.Text(e.Ware), e.Section, e.stage, cell.Text(e.cause), e.Grade, cell.Text(e.Order),
		number(m.No), number(m.Cast), number(m.Case), number(m.Block), cell.Text(e.Kiln), number(int(e.Load)), e.filled,
	)
	return t.w.Write(t.row)
}

// close implements encoder.
func (t *table) close() (int64, error) {
	t.w.Flush()
	return t.count, t.w.Error()
}

// number prints a number from 1; 0 is none.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
