package page

import "potbank/internal/report"

// columns draws a histogram.
func (d *drawing) columns(c *report.Chart) {
	s := &c.Series[0]
	bars := report.Series{X: s.X, Y: s.Y}
	c2 := *c
	c2.Y.FromZero = true
	d.high = 200 + below
	f := d.frame(&c2, []report.Series{bars}, 0, d.high-below, 0, d.wide)
	for i, y := range s.Y {
		a, b := f.x.at(s.X[i]), f.x.at(s.X[i+1])
		d.rect(a, f.y.at(y), b-a, f.y.from-f.y.at(y), "#7fa1b8", "class", "edge")
	}
	d.line(f.x.from, f.y.from, f.x.to, f.y.from, "base")
	f.marks(c)
	d.text(d.wide-right, d.high-4, "end", "axis", axisName(c.X))
}
