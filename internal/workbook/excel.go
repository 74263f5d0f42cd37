package workbook

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"potbank/internal/report"
)

// Excel writes sheets as one workbook (Office Open XML), the charts on a sheet
// of their own at the end. Rows are streamed, so that a long series does not
// have to stand in memory as cells.
func Excel(w io.Writer, sheets []report.Sheet) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &book{f: f}
	// The day is none: the file must not tell when it was written.
	err := f.SetDocProps(&excelize.DocProperties{Creator: "potbank", Created: "1980-01-01T00:00:00Z", Modified: "1980-01-01T00:00:00Z"})
	if err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	if b.head, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	if b.bold, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: []excelize.Border{{Type: "top", Color: "000000", Style: 1}}}); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	for i, s := range sheets {
		if err := b.sheet(i, s); err != nil {
			return fmt.Errorf("writing sheet %s: %w", s.Name, err)
		}
	}
	if err := b.charts(sheets); err != nil {
		return fmt.Errorf("writing the charts: %w", err)
	}
	var raw bytes.Buffer
	if err := f.Write(&raw); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	return inOrder(w, raw.Bytes())
}

// book is a workbook being written.
type book struct {
	f          *excelize.File
	head, bold int // styles
}

// sheet writes one sheet; the first takes the place of the empty sheet that a
// new workbook has.
func (b *book) sheet(i int, s report.Sheet) error {
	if i == 0 {
		if err := b.f.SetSheetName("Sheet1", s.Name); err != nil {
			return err
		}
	} else if _, err := b.f.NewSheet(s.Name); err != nil {
		return err
	}
	out, err := b.f.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	for c := range s.Columns {
		if err := out.SetColWidth(c+1, c+1, width(s, c)); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	heads := make([]any, len(s.Columns))
	for c, head := range s.Columns {
		heads[c] = excelize.Cell{StyleID: b.head, Value: head}
	}
	row := 1
	if err := out.SetRow("A1", heads); err != nil {
		return err
	}
	for k, cells := range append(slices.Clone(s.Rows), s.Live...) {
		style := 0
		if k >= len(s.Rows) {
			style = b.bold
		}
		row++
		if err := out.SetRow(fmt.Sprintf("A%d", row), styled(cells, style)); err != nil {
			return err
		}
	}
	return out.Flush()
}

// styled turns the cells of a sheet into those of the workbook. Only a formula
// of ours becomes one: what begins with = in text is written as text.
func styled(cells []any, style int) []any {
	row := make([]any, len(cells))
	for i, v := range cells {
		switch v := v.(type) {
		case nil:
		case report.Formula:
			row[i] = excelize.Cell{StyleID: style, Formula: v.Text, Value: v.Value}
		case string:
			row[i] = excelize.Cell{StyleID: style, Value: longest(v)}
		default:
			row[i] = excelize.Cell{StyleID: style, Value: v}
		}
	}
	return row
}

// longest cuts a text to what a cell can hold.
func longest(text string) string {
	if utf8.RuneCountInString(text) <= excelize.TotalCellChars {
		return text
	}
	return string([]rune(text)[:excelize.TotalCellChars])
}

// Widths of columns, characters.
const (
	narrowest = 9
	widest    = 60
)

// width is the width of a column: that of its longest text, within reason.
func width(s report.Sheet, c int) float64 {
	most := utf8.RuneCountInString(s.Columns[c])
	for _, r := range s.Rows {
		if c < len(r) {
			if t, ok := r[c].(string); ok {
				most = max(most, utf8.RuneCountInString(t))
			}
		}
	}
	return float64(min(widest, max(narrowest, most+1)))
}

// chartSheet is the name of the sheet that the charts are on, and how many rows
// one of them takes.
const (
	chartSheet = "charts"
	chartRows  = 18
)

// charts draws the charts of all sheets, one below the other. Their figures are
// those of the cells: who changes a cell sees it.
func (b *book) charts(sheets []report.Sheet) error {
	row := 0
	for _, s := range sheets {
		for _, c := range s.Charts {
			if c.Rows == 0 {
				continue
			}
			if row == 0 {
				if _, err := b.f.NewSheet(chartSheet); err != nil {
					return err
				}
			}
			if err := b.f.AddChart(chartSheet, fmt.Sprintf("A%d", row*chartRows+1), chartOf(s, c)); err != nil {
				return err
			}
			row++
		}
	}
	return nil
}

// chartOf describes a chart.
func chartOf(s report.Sheet, c report.SheetChart) *excelize.Chart {
	chart := &excelize.Chart{
		Type: excelize.Bar, Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: c.Title}}},
		Dimension: excelize.ChartDimension{Width: 900, Height: 340}, Legend: excelize.ChartLegend{Position: "bottom"},
		YAxis: excelize.ChartAxis{Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: c.Unit}}}},
	}
	if c.Line {
		chart.Type = excelize.Line
	}
	for _, k := range c.Drawn {
		chart.Series = append(chart.Series, excelize.ChartSeries{
			Name: place(s.Name, k, 1, 1), Categories: place(s.Name, c.Label, 2, c.Rows+1), Values: place(s.Name, k, 2, c.Rows+1),
			Marker: excelize.ChartMarker{Symbol: "none"},
		})
	}
	return chart
}

// place is the address of cells of one column.
func place(sheet string, column, from, to int) string {
	name, _ := excelize.ColumnNumberToName(column + 1) // a sheet never has as many as would fail
	at := fmt.Sprintf("'%s'!$%s$%d", strings.ReplaceAll(sheet, "'", "''"), name, from)
	if to > from {
		at += fmt.Sprintf(":$%s$%d", name, to)
	}
	return at
}
