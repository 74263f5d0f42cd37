package page

import (
	"slices"

	"potbank/internal/report"
)

// calendar draws lanes of stretches along time.
func (d *drawing) calendar(c *report.Chart) {
	var what []string
	var tones []report.Tone
	var paints []int
	x := noSpan()
	left := 0.0
	for _, lane := range c.Lanes {
		left = max(left, textWide(lane.Name)+8)
		for _, s := range lane.Spans {
			x.take(s.From, s.To)
			if !slices.Contains(what, s.What) {
				what, tones = append(what, s.What), append(tones, s.Tone)
				paints = append(paints, paint(tones, len(tones)-1))
			}
		}
	}
	for _, t := range c.X.Ticks {
		x.take(t.At)
	}
	top := d.legend(fillNames(what, paints), 0) + 4
	const high, gap = 20.0, 8.0
	bottom := top + float64(len(c.Lanes))*(high+gap)
	d.high = bottom + below
	f := frame{d, scale{x.low, x.high, min(left, d.wide/3), d.wide - right}, scale{0, 1, bottom, top}}
	f.shades(c.Shades)
	for _, t := range c.X.Ticks {
		d.line(f.x.at(t.At), bottom, f.x.at(t.At), top, "grid")
	}
	for i, lane := range c.Lanes {
		y := top + float64(i)*(high+gap) + gap/2
		d.text(f.x.from-6, y+high-6, "end", "tick", lane.Name)
		d.line(f.x.from, y+high, f.x.to, y+high, "grid")
		for _, s := range lane.Spans {
			f.stretch(s, y, high, paints[slices.Index(what, s.What)])
		}
	}
	f.ticks(named(c.X, x.within(6)))
	d.text(d.wide-right, d.high-4, "end", "axis", axisName(c.X))
}

// stretch draws one stretch: filled from below to its share, outlined to the
// top.
func (f frame) stretch(s report.Stretch, y, high float64, paint int) {
	a, b := f.x.at(s.From), f.x.at(s.To)
	if s.Filled < 1 {
		f.d.rect(a, y, b-a, high, "#ffffff", "class", "cell")
	}
	if s.Filled > 0 {
		f.d.rect(a, y+high*(1-s.Filled), b-a, high*s.Filled, fill(paint), "class", "cell")
	}
}
