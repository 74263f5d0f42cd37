package report

import (
	"fmt"
	"strconv"
)

// mostSheetColumns is how many columns of a sheet have a name of one letter.
const mostSheetColumns = 26

// sheet is the figures of a chart, exact and live: what is stacked has its sum as
// a formula, and a native chart draws the columns. Nil for what is not figures in
// columns.
func (c *Chart) sheet() *Sheet {
	rows := len(c.Rows)
	s := &Sheet{Columns: []string{c.Y.Name}}
	switch c.Kind {
	case Bars, Swings, Ranges, Matrix:
	case Lines:
		if len(c.Series) == 0 || c.Series[0].Points {
			return nil // single points have no rows in common
		}
		s.Columns[0], rows = withUnit(c.X.Name, c.X.Unit), len(c.Series[0].X)
	default:
		return nil
	}
	names := func(i int) any { return exactly(c.Series[0].X[i]) }
	if c.Kind != Lines {
		names = func(i int) any { return c.Rows[i] }
	}
	for i := range rows {
		s.add(names(i))
	}
	drawn := c.sheetColumns(s)
	if rows == 0 || len(drawn) == 0 || len(s.Columns) > mostSheetColumns {
		return nil
	}
	if c.Kind == Bars && len(c.Series) > 1 {
		c.sheetSums(s)
	}
	s.Charts = []SheetChart{{Title: c.Title, Line: c.Kind == Lines, Label: 0, Drawn: drawn, Rows: rows, Unit: c.Series[0].Unit}}
	return s
}

// sheetColumns adds the columns of the series that share the rows of the first,
// and tells which of them are to be drawn.
func (c *Chart) sheetColumns(s *Sheet) []int {
	var drawn []int
	for k := range c.Series {
		one := &c.Series[k]
		if len(one.Y) != len(s.Rows) {
			continue
		}
		drawn = append(drawn, len(s.Columns))
		s.Columns = append(s.Columns, withUnit(one.Name, one.Unit))
		if one.hasBand() {
			s.Columns = append(s.Columns, one.Name+", low", one.Name+", high")
		}
		for i := range s.Rows {
			s.Rows[i] = append(s.Rows[i], exactly(one.Y[i]))
			if one.hasBand() {
				s.Rows[i] = append(s.Rows[i], exactly(one.Low[i]), exactly(one.High[i]))
			}
		}
	}
	return drawn
}

// sheetSums adds what the stacked parts of each row add up to.
func (c *Chart) sheetSums(s *Sheet) {
	last := columnName(len(s.Columns) - 1)
	s.Columns = append(s.Columns, "sum")
	for i := range s.Rows {
		sum := 0.0
		for _, cell := range s.Rows[i][1:] {
			if v, ok := cell.(float64); ok {
				sum += v
			}
		}
		at := strconv.Itoa(i + 2)
		s.Rows[i] = append(s.Rows[i], Formula{fmt.Sprintf("SUM(B%s:%s%s)", at, last, at), sum})
	}
}
