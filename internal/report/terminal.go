package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/tw"
)

// Width is the number of columns that terminal output keeps within.
const Width = 100

// Terminal writes the document as text with tables, at most Width columns wide
// as long as no single name is wider.
func Terminal(w io.Writer, d Document) error {
	var b bytes.Buffer
	if d.Title != "" {
		lines, wide := wrap(d.Title, Width, ""), 0
		for _, line := range lines {
			wide = max(wide, utf8.RuneCountInString(line))
		}
		fmt.Fprintf(&b, "%s\n%s\n", strings.Join(lines, "\n"), strings.Repeat("=", wide))
	}
	paragraphs(&b, d.Lead)
	for _, p := range d.Parts {
		if p.onlyDrawn() {
			continue
		}
		if p.Heading != "" {
			fmt.Fprintf(&b, "\n%s\n%s\n", p.Heading, strings.Repeat("-", utf8.RuneCountInString(p.Heading)))
		}
		paragraphs(&b, p.Text)
		if p.Table != nil && len(p.Table.Rows) > 0 {
			if err := table(&b, p.Table); err != nil {
				return fmt.Errorf("table %q: %w", p.Heading, err)
			}
		}
		paragraphs(&b, p.After)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// paragraphs writes texts, each wrapped; those of a list hang under their dash.
func paragraphs(b *bytes.Buffer, texts []string) {
	for _, text := range texts {
		hang := ""
		if strings.HasPrefix(text, "- ") {
			hang = "  "
		}
		b.WriteString(strings.Join(wrap(text, Width, hang), "\n") + "\n")
	}
}

// table renders one table. Words are wrapped here rather than by tablewriter,
// so that every renderer breaks at the same places and indents survive.
func table(b *bytes.Buffer, t *Table) error {
	var text bytes.Buffer
	aligns := make([]tw.Align, len(t.Columns))
	heads := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		aligns[i], heads[i] = tw.AlignRight, strings.Join(wrap(c.Head, headWide(c), ""), "\n")
		if c.Text {
			aligns[i] = tw.AlignLeft
		}
	}
	out := tablewriter.NewTable(&text,
		// Widths must not depend on the locale of whoever runs the program.
		tablewriter.WithEastAsian(tw.Off),
		tablewriter.WithHeaderAutoFormat(tw.Off),
		tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithTrimSpace(tw.Off),
		tablewriter.WithTrimLine(tw.Off),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: aligns}),
		tablewriter.WithRowAlignmentConfig(tw.CellAlignment{PerColumn: aligns}),
		tablewriter.WithRendition(tw.Rendition{
			Borders: tw.BorderNone,
			Settings: tw.Settings{
				Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.On, ShowFooterLine: tw.Off},
				Separators: tw.Separators{ShowHeader: tw.On, BetweenRows: tw.Off, BetweenColumns: tw.Off},
			},
		}),
	)
	out.Header(heads...)
	columns := fit(t)
	for _, row := range t.Rows {
		if err := out.Append(wrapCells(columns, row)); err != nil {
			return err
		}
	}
	if err := out.Render(); err != nil {
		return err
	}
	// Blanks to the right make files differ that look the same.
	for line := range strings.Lines(text.String()) {
		b.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
	return nil
}

// headMost is the width to which a head of a column of figures is wrapped.
const headMost = 12

// headWide is the width to which a column's head is wrapped.
func headWide(c Column) int {
	if c.Text {
		return Width
	}
	return headMost
}

// leastWide is the width below which words are not squeezed.
const leastWide = 16

// fit returns the columns of a table with the last column of words squeezed,
// if need be, so that the table keeps within Width.
func fit(t *Table) []Column {
	columns := slices.Clone(t.Columns)
	total, last := 0, -1
	for i, c := range columns {
		wide := 0
		for _, line := range wrap(c.Head, headWide(c), "") {
			wide = max(wide, utf8.RuneCountInString(line))
		}
		for _, row := range t.Rows {
			if i < len(row.Cells) {
				n := utf8.RuneCountInString(row.Cells[i])
				if c.Wide > 0 {
					n = min(n, c.Wide)
				}
				wide = max(wide, n)
			}
		}
		if c.Wide > 0 {
			columns[i].Wide, last = wide, i
		}
		total += wide + 2 // a space on either side
	}
	if last >= 0 && total > Width {
		columns[last].Wide = max(leastWide, columns[last].Wide-(total-Width))
	}
	return columns
}

// wrapCells wraps the words of a row.
func wrapCells(columns []Column, row Row) []string {
	cells := make([]string, len(columns))
	for i, c := range columns {
		if i >= len(row.Cells) {
			break
		}
		cells[i] = row.Cells[i]
		if c.Wide > 0 && !row.Group {
			cells[i] = strings.Join(wrap(cells[i], c.Wide, ""), "\n")
		}
	}
	return cells
}

// wrap breaks a text between words so that no line is wider than width unless
// a word is; hang begins every line but the first.
func wrap(text string, width int, hang string) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = hang + word
		}
	}
	return append(lines, line)
}
