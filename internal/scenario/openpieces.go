package scenario

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// mostPieceRows bounds the table of the pieces that are there at the start.
const mostPieceRows = 100_000

// pieceColumns are the columns that the table may have, in any order.
var pieceColumns = []string{"section", "ware", "count", "filled-at", "order"}

// loadPieces reads the table of pieces of the opening state. Whether they can be
// where they are listed is for the plant to judge.
func (d *decoder) loadPieces(w *plant.Works) {
	if w.Opening.Pieces == "" {
		return
	}
	content, err := d.folder.open(w.Opening.Pieces)
	if err == nil {
		w.Opening.Listed, err = readPieces(content)
	}
	var known *quantity.Fault
	if err != nil && !errors.As(err, &known) {
		err = faultAt(0, "write a table with the columns section, ware, count, filled-at, order", "%s: %s", w.Opening.Pieces, err)
	}
	if err != nil {
		d.textFault(d.values["opening-state.pieces"], err)
	}
}

// readPieces reads rows under a head. Columns that are left out are empty; a
// count left out is one piece.
func readPieces(content io.Reader) ([]plant.OpenPieces, error) {
	table := csv.NewReader(content)
	table.TrimLeadingSpace = true
	table.Comment = '#'
	head, err := table.Read()
	if err != nil {
		return nil, errors.New("the table is empty")
	}
	column := map[string]int{}
	for k, name := range head {
		name = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff"))
		if !slices.Contains(pieceColumns, name) {
			return nil, fmt.Errorf("no column %q is known", name)
		}
		column[name] = k
	}
	for _, name := range pieceColumns[:2] {
		if _, there := column[name]; !there {
			return nil, fmt.Errorf("the column %s is missing", name)
		}
	}
	var rows []plant.OpenPieces
	for {
		cells, err := table.Read()
		switch {
		case errors.Is(err, io.EOF):
			return rows, nil
		case err != nil:
			return nil, err
		case len(rows) == mostPieceRows:
			return nil, fmt.Errorf("more than %d rows; count like pieces in one", mostPieceRows)
		}
		cell := func(name string) string {
			if k, there := column[name]; there {
				return strings.TrimSpace(cells[k])
			}
			return ""
		}
		l := plant.OpenPieces{Row: len(rows) + 1, Section: cell("section"), Ware: cell("ware"), Count: 1, Filled: cell("filled-at"), Order: cell("order")}
		if text := cell("count"); text != "" {
			if l.Count, err = strconv.Atoi(text); err != nil {
				return nil, fmt.Errorf("row %d: %q is no count", l.Row, text)
			}
		}
		rows = append(rows, l)
	}
}
