package workbook

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"potbank/internal/cell"
	"potbank/internal/report"
)

// CSV writes a sheet as a CSV file (RFC 4180, lines ended by a newline alone)
// with a head. Figures have a decimal point and no separators of thousands,
// whatever the machine's language; a cell with nothing in it is empty. Rows that
// only a workbook can have are left out.
func CSV(w io.Writer, s report.Sheet) error {
	out := csv.NewWriter(w)
	row := make([]string, 0, len(s.Columns))
	for _, head := range s.Columns {
		row = append(row, cell.Text(head))
	}
	out.Write(row) // an error stays in the writer
	for _, cells := range s.Rows {
		row = row[:0]
		for _, v := range cells {
			row = append(row, text(v))
		}
		for len(row) < len(s.Columns) {
			row = append(row, "")
		}
		out.Write(row)
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("writing %s.csv: %w", s.Name, err)
	}
	return nil
}

// text prints a cell.
func text(v any) string {
	switch v := v.(type) {
	case string:
		return cell.Text(v)
	case int:
		return strconv.Itoa(v)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case report.Formula:
		return strconv.FormatFloat(v.Value, 'g', 10, 64)
	}
	return ""
}
