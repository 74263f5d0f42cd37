package page

import (
	"fmt"
	"html"
	"strconv"
	"strings"

	"potbank/internal/report"
)

// drawing is an SVG that is being written.
type drawing struct {
	b    strings.Builder
	wide float64
	high float64
}

// Sizes of type, in units of a drawing, which are CSS pixels at its full size.
const (
	small     = 11.0
	charWide  = 0.56 // mean width of a character, in ems
	lineHigh  = 15.0
	barHigh   = 16.0
	tickCount = 5
)

// textWide is roughly how wide a text of small type is.
func textWide(s string) float64 { return float64(len([]rune(s))) * small * charWide }

// px prints a place to a tenth of a pixel.
func px(v float64) string {
	text := strconv.FormatFloat(v, 'f', 1, 64)
	return strings.TrimSuffix(text, ".0")
}

// el writes an empty element; attributes come in pairs.
func (d *drawing) el(name string, attributes ...string) {
	d.b.WriteString("<" + name)
	for i := 0; i+1 < len(attributes); i += 2 {
		fmt.Fprintf(&d.b, ` %s="%s"`, attributes[i], html.EscapeString(attributes[i+1]))
	}
	d.b.WriteString("/>")
}

// rect draws a box; fill is one of fills, or any SVG paint.
func (d *drawing) rect(x, y, w, h float64, fill string, more ...string) {
	if w <= 0 || h <= 0 {
		return
	}
	d.el("rect", append([]string{"x", px(x), "y", px(y), "width", px(w), "height", px(h), "fill", fill}, more...)...)
}

// line draws a line of a class.
func (d *drawing) line(x1, y1, x2, y2 float64, class string) {
	d.el("line", "x1", px(x1), "y1", px(y1), "x2", px(x2), "y2", px(y2), "class", class)
}

// text writes a text; anchor is start, middle or end.
func (d *drawing) text(x, y float64, anchor, class, s string) {
	fmt.Fprintf(&d.b, `<text x="%s" y="%s" text-anchor="%s" class="%s">%s</text>`, px(x), px(y), anchor, class, html.EscapeString(s))
}

// cut shortens a text to a width, with an ellipsis.
func cut(s string, wide float64) string {
	runes := []rune(s)
	most := int(wide / (small * charWide))
	if len(runes) <= most || most < 2 {
		return s
	}
	return string(runes[:most-1]) + "…"
}

// path draws a path.
func (d *drawing) path(data, class string, more ...string) {
	d.el("path", append([]string{"d", data, "class", class}, more...)...)
}

// svg closes the drawing. Whoever cannot see it is told the finding and where
// the numbers are.
func (d *drawing) svg(title, told, size string) string {
	return fmt.Sprintf(`<svg class="%s" viewBox="0 0 %s %s" role="img" xmlns="http://www.w3.org/2000/svg"><title>%s</title><desc>%s</desc>%s</svg>`,
		size, px(d.wide), px(d.high), html.EscapeString(title), html.EscapeString(told), d.b.String())
}

// ink are the colours of lines and of fills, told apart in grey by lightness.
var ink = []string{"#12486b", "#c07f2a", "#5f7f57", "#8a2f20", "#6b5b95", "#3b3b3b", "#2a8c8c", "#a0527a"}

// dashes tell lines apart where colours do not.
var dashes = []string{"none", "7 3", "2 3", "9 3 2 3", "4 2", "1 2", "12 3", "6 2 1 2"}

// fill returns a paint.
func fill(n int) string { return fmt.Sprintf("url(#f%d)", n%fillCount) }

// toned are the paints of tones.
var toned = map[report.Tone]int{report.Work: 0, report.Wait: 1, report.Rest: 4, report.Trouble: 3, report.Service: 2}

// free are the paints, in order, for what shares its tone with another; plain
// those for what has no tone.
var (
	free  = []int{2, 5, 6, 7, 1, 0}
	plain = []int{0, 1, 2, 3, 5, 6, 7, 4}
)

// paint returns the number of the paint for the nth of several things: that of
// its tone, unless an earlier one has it.
func paint(tones []report.Tone, n int) int {
	used := map[int]bool{}
	last := 0
	for i := 0; i <= n; i++ {
		p, ok := toned[tones[i]]
		others := free
		if !ok {
			p, others = plain[0], plain
		}
		for k := 0; used[p] && k < len(others); k++ {
			p = others[k]
		}
		used[p], last = true, p
	}
	return last
}

// fillCount is the number of paints.
const fillCount = 8

// paints are the fills of all drawings, defined once in a page. Neighbours
// differ in lightness, and every second one is hatched.
func paints() string {
	var b strings.Builder
	b.WriteString(`<svg class="paints" width="0" height="0" aria-hidden="true" focusable="false" xmlns="http://www.w3.org/2000/svg"><defs>`)
	pattern := func(n int, size int, ground, marks string) {
		fmt.Fprintf(&b, `<pattern id="f%d" width="%d" height="%d" patternUnits="userSpaceOnUse"><rect width="%d" height="%d" fill="%s"/>%s</pattern>`, n, size, size, size, size, ground, marks)
	}
	pattern(0, 8, "#12486b", "")
	pattern(1, 6, "#f3e3c7", `<path d="M-1 7L7 -1M-1 1L1 -1M5 7L7 5" stroke="#b06f1b" stroke-width="1.3"/>`)
	pattern(2, 8, "#9fb8c8", "")
	pattern(3, 6, "#8a2f20", `<circle cx="3" cy="3" r="1.1" fill="#fff"/>`)
	pattern(4, 6, "#ffffff", `<circle cx="3" cy="3" r=".6" fill="#888"/>`)
	pattern(5, 8, "#5f7f57", `<path d="M0 4H8" stroke="#fff" stroke-width="1"/>`)
	pattern(6, 6, "#e9e4f2", `<path d="M0 0L6 6M0 6L6 0" stroke="#6b5b95" stroke-width="1"/>`)
	pattern(7, 8, "#3b3b3b", "")
	b.WriteString(`</defs></svg>`)
	return b.String()
}
