package page

import "potbank/internal/report"

// key is one entry of a legend.
type key struct {
	name string
	draw func(d *drawing, x, y float64) // in a box of 18 x 10 at its upper left
}

// legend writes the keys in rows and returns where it ends. One key needs no
// legend where the title says what is shown.
func (d *drawing) legend(keys []key, top float64) float64 {
	if len(keys) < 2 {
		return top
	}
	x, y := 0.0, top
	for _, k := range keys {
		wide := 24 + textWide(k.name) + 14
		if x > 0 && x+wide > d.wide {
			x, y = 0, y+lineHigh+2
		}
		k.draw(d, x, y+2)
		d.text(x+24, y+11, "start", "tick", k.name)
		x += wide
	}
	return y + lineHigh + 4
}

// lineNames are the keys of a chart of lines.
func lineNames(c *report.Chart) []key {
	var keys []key
	for i := range c.Series {
		s := c.Series[i]
		if s.Name == "" {
			continue
		}
		keys = append(keys, key{s.Name, func(d *drawing, x, y float64) {
			one := frame{d, scale{0, 1, x, x + 18}, scale{0, 1, y + 9, y}}
			swatch := report.Series{X: []float64{0, 1}, Y: []float64{0.5, 0.5}, Broken: s.Broken, Points: s.Points}
			if s.Low != nil {
				swatch.Low, swatch.High = []float64{0, 0}, []float64{1, 1}
			}
			if s.Points {
				swatch.X, swatch.Y = []float64{0.5}, []float64{0.5}
			}
			one.series(&swatch, i)
		}})
	}
	return keys
}

// fillNames are the keys of fills.
func fillNames(names []string, paints []int) []key {
	var keys []key
	for i, name := range names {
		keys = append(keys, key{name, func(d *drawing, x, y float64) { d.rect(x, y, 18, 10, fill(paints[i]), "class", "edge") }})
	}
	return keys
}
