package page

import (
	"fmt"
	"math"

	"potbank/internal/report"
)

// matrix draws figures in cells, darker where they are more: read by the figure,
// found by the shade. A name without room is cut; the table below has it whole.
func (d *drawing) matrix(c *report.Chart) {
	const high = 26.0
	left, most := 0.0, 0.0
	for _, name := range c.Rows {
		left = max(left, textWide(name)+10)
	}
	left = min(left, 0.4*d.wide)
	for i := range c.Series {
		for _, v := range c.Series[i].Y {
			if v == v {
				most = max(most, math.Abs(v))
			}
		}
	}
	wide := (d.wide - left - right) / float64(max(1, len(c.Series)))
	top := lineHigh + 4
	for k := range c.Series {
		d.text(left+(float64(k)+0.5)*wide, lineHigh-3, "middle", "tick", cut(c.Series[k].Name, wide-4))
	}
	for i, name := range c.Rows {
		y := top + float64(i)*high
		d.text(left-8, y+high/2+4, "end", "tick", cut(name, left-8))
		for k := range c.Series {
			v := c.Series[k].Y[i]
			depth, class := 0.0, "on"
			if most > 0 && v == v {
				depth = math.Abs(v) / most
			}
			if depth > 0.62 {
				class = "in"
			}
			d.rect(left+float64(k)*wide, y, wide, high, shade(depth), "class", "cell")
			d.text(left+(float64(k)+0.5)*wide, y+high/2+4, "middle", "tick "+class, short(v))
		}
	}
	d.high = top + high*float64(len(c.Rows)) + 18
	d.text(d.wide-right, d.high-4, "end", "axis", unitOf(c))
}

// unitOf is the unit of the cells.
func unitOf(c *report.Chart) string {
	if len(c.Series) == 0 {
		return ""
	}
	return c.Series[0].Unit
}

// shade is a colour between white and the blue of the page; text on it is white
// from about two thirds on, where its contrast is 4.5 or more.
func shade(depth float64) string {
	depth = math.Round(20*depth) / 20
	mix := func(from, to float64) int { return int(math.Round(from + depth*(to-from))) }
	return fmt.Sprintf("#%02x%02x%02x", mix(255, 0x12), mix(255, 0x48), mix(255, 0x6b))
}
