package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"potbank/internal/report"
)

//go:embed page.css
var style string

//go:embed page.html
var layout string

var page = template.Must(template.New("page").Parse(layout))

// widths of the two drawings of each chart, in CSS pixels: for paper and a
// screen, and for a telephone.
const (
	wide   = 720.0
	narrow = 340.0
)

// sheet is a document as the layout takes it.
type sheet struct {
	Title, Version string
	Works          string // above the answer
	Front          *report.Front
	Lead           []string
	Head, Parts    []section
	Style          template.CSS
	Policy         string
	Paints         template.HTML
}

// section is a part as the layout takes it.
type section struct {
	ID, Heading string
	Text, After []block
	Table       *grid
	Charts      []figure
	Brief       string
}

// block is a paragraph, or a list.
type block struct {
	Paragraph string
	List      []string
}

// figure is a chart as the layout takes it.
type figure struct {
	*report.Chart
	Wide, Narrow template.HTML
	Table        *grid
}

// grid is a table as the layout takes it.
type grid struct {
	Columns []report.Column
	Rows    []line
}

type line struct {
	Group bool
	Cells []cell
}

type cell struct {
	Text string
	Word bool // set left
	In   bool // set in under its group
}

// first are the parts that belong on the first page, in its order.
var first = []string{"Warnings", "Audit", "Values that nobody measured", "Caution"}

// Write writes a document as one HTML file; version is that of the program. The
// bytes depend on the document alone.
func Write(w io.Writer, d report.Document, version string) error {
	hash := sha256.Sum256([]byte(style))
	s := sheet{
		Title: d.Title, Version: version, Front: d.Front, Lead: d.Lead, Style: template.CSS(style), Paints: template.HTML(paints()),
		Policy: fmt.Sprintf("default-src 'none'; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'", base64.StdEncoding.EncodeToString(hash[:])),
	}
	if s.Works = "potbank"; d.Front != nil && d.Front.Answer != d.Title {
		s.Works = d.Title
	}
	if d.Front != nil {
		for i := range d.Front.Notes {
			s.Head = append(s.Head, sectionOf(&d.Front.Notes[i], len(d.Parts)+i))
		}
	}
	if d.Front != nil && d.Front.About != "" {
		s.Works = d.Front.About
	}
	for i := range d.Parts {
		part := sectionOf(&d.Parts[i], i)
		if place := indexOf(first, part.Heading); place >= 0 {
			s.Head = append(s.Head, part)
			continue
		}
		s.Parts = append(s.Parts, part)
	}
	s.sortHead()
	var b bytes.Buffer
	if err := page.Execute(&b, s); err != nil {
		return fmt.Errorf("laying out the page: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// sortHead puts the parts of the first page in its order.
func (s *sheet) sortHead() {
	var sorted []section
	for _, heading := range first {
		for _, part := range s.Head {
			if part.Heading == heading {
				sorted = append(sorted, part)
			}
		}
	}
	s.Head = sorted
}

func indexOf(all []string, one string) int {
	for i, s := range all {
		if s == one {
			return i
		}
	}
	return -1
}

// sectionOf lays out one part.
func sectionOf(p *report.Part, number int) section {
	s := section{ID: fmt.Sprintf("p%d", number+1), Heading: p.Heading, Text: blocks(p.Text), After: blocks(p.After), Table: gridOf(p.Table), Brief: p.Brief}
	for i := range p.Charts {
		c := &p.Charts[i]
		s.Charts = append(s.Charts, figure{c, drawn(c, wide, "wide"), drawn(c, narrow, "narrow"), gridOf(c.Numbers())})
	}
	return s
}

// blocks gathers the lines of a list.
func blocks(texts []string) []block {
	var all []block
	for _, text := range texts {
		item, listed := strings.CutPrefix(text, "- ")
		switch n := len(all); {
		case !listed:
			all = append(all, block{Paragraph: text})
		case n > 0 && all[n-1].List != nil:
			all[n-1].List = append(all[n-1].List, item)
		default:
			all = append(all, block{List: []string{item}})
		}
	}
	return all
}

// gridOf lays out a table; nil if it has no rows. Columns that are pictures in
// characters are left out.
func gridOf(t *report.Table) *grid {
	if t == nil || len(t.Rows) == 0 {
		return nil
	}
	g := &grid{}
	for _, c := range t.Columns {
		if !c.Picture {
			g.Columns = append(g.Columns, c)
		}
	}
	for _, row := range t.Rows {
		l := line{Group: row.Group}
		for i, c := range t.Columns {
			text := ""
			if i < len(row.Cells) {
				text = row.Cells[i]
			}
			if !c.Picture {
				l.Cells = append(l.Cells, cell{strings.TrimSpace(text), c.Text, strings.HasPrefix(text, "  ")})
			}
		}
		g.Rows = append(g.Rows, l)
	}
	return g
}

// drawn draws a chart at a width.
func drawn(c *report.Chart, size float64, class string) template.HTML {
	d := &drawing{wide: size}
	switch c.Kind {
	case report.Lines:
		d.lines(c)
	case report.Columns:
		d.columns(c)
	case report.Calendar:
		d.calendar(c)
	case report.Flow:
		d.flow(c)
	case report.Matrix:
		d.matrix(c)
	default:
		d.rowed(c)
	}
	told := strings.TrimSpace(c.Note + " Its numbers are in the table below.")
	return template.HTML(d.svg(c.Title, told, class)) // every text in it is escaped as it is drawn
}
