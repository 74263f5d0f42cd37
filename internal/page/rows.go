package page

import (
	"math"

	"potbank/internal/report"
)

// rowed draws a chart of rows: bars, swings or ranges.
func (d *drawing) rowed(c *report.Chart) {
	top := 0.0
	names, paints := seriesPaints(c)
	if c.Kind != report.Ranges {
		top = d.legend(fillNames(names, paints), 0)
	}
	values, ends := rowSpan(c), 0.0
	if len(c.Series) == 1 || c.Kind != report.Bars {
		ends = 46 // room for the value at the end
	}
	left, above := d.rowNames(c.Rows)
	step := barHigh + 6.0
	if c.Kind == report.Ranges {
		step += 6 // the value stands above its point, not where the interval ends
	}
	if above {
		step += lineHigh - 2
	}
	bottom := top + 4 + step*float64(len(c.Rows))
	x := scale{values.low, values.high, left, d.wide - right - ends}
	if values.low < 0 {
		x.from += ends
	}
	d.high = bottom + below
	f := frame{d, x, scale{0, 1, bottom, top + 2}}
	f.shades(c.Shades)
	for _, v := range values.within(max(2, int((x.to-x.from)/70))) {
		d.line(x.at(v), bottom, x.at(v), top+2, "grid")
	}
	f.ticks(named(c.X, values.within(max(2, int((x.to-x.from)/70)))))
	for i, name := range c.Rows {
		y := top + 4 + float64(i)*step
		if above {
			d.text(0, y+10, "start", "tick", cut(name, d.wide))
			y += lineHigh - 2
		} else {
			d.text(left-6, y+barHigh-4, "end", "tick", name)
		}
		if c.Kind == report.Ranges {
			y += 6
		}
		f.row(c, paints, i, y)
	}
	if values.low < 0 {
		d.line(x.at(0), bottom, x.at(0), top+2, "base")
	}
	for _, m := range c.Marks {
		d.line(x.at(m.At), bottom, x.at(m.At), top+2, "mark")
	}
	d.text(d.wide-right, d.high-4, "end", "axis", axisName(c.X))
}

// seriesPaints are the names of a chart's series and their paints.
func seriesPaints(c *report.Chart) (names []string, paints []int) {
	var tones []report.Tone
	for i := range c.Series {
		names = append(names, c.Series[i].Name)
		tones = append(tones, c.Series[i].Tone)
	}
	for i := range tones {
		paints = append(paints, paint(tones, i))
	}
	return names, paints
}

// shades draws the stretches behind the rows.
func (f frame) shades(all []report.Shade) {
	for _, s := range all {
		from, to := max(s.From, f.x.low), min(s.To, f.x.high)
		if from < to {
			f.d.rect(f.x.at(from), f.y.to, f.x.at(to)-f.x.at(from), f.y.from-f.y.to, "#e4e4e4")
		}
	}
}

// rowNames tells how much room the names need at the left, and whether they
// stand above their rows instead.
func (d *drawing) rowNames(rows []string) (left float64, above bool) {
	for _, name := range rows {
		left = max(left, textWide(name)+8)
	}
	if left > 0.36*d.wide {
		return 2, true
	}
	return left, false
}

// rowSpan is the range that all rows need.
func rowSpan(c *report.Chart) span {
	r := noSpan()
	if c.Kind != report.Ranges {
		r.take(0)
	}
	for i := range c.Rows {
		sum, less := 0.0, 0.0 // to the right and to the left of 0
		for s := range c.Series {
			one := &c.Series[s]
			if c.Kind != report.Bars {
				r.take(one.Y[i])
			} else if one.Y[i] == one.Y[i] {
				sum, less = sum+max(0, one.Y[i]), less+min(0, one.Y[i])
			}
			if one.Low != nil {
				r.take(one.Low[i], one.High[i])
			}
		}
		if c.Kind == report.Bars {
			r.take(sum, less)
		}
	}
	for _, m := range c.Marks {
		r.take(m.At)
	}
	if c.X.FromZero {
		r.take(0)
	}
	if c.Kind == report.Ranges && r.low < r.high {
		room := (r.high - r.low) / 20
		r.low, r.high = r.low-room, r.high+room
	}
	if !(r.low < r.high) {
		r.round(tickCount)
	}
	return r
}

// row draws one row at a height.
func (f frame) row(c *report.Chart, paints []int, i int, y float64) {
	right, left := 0.0, 0.0 // ends of the stack; what is negative stands left of 0
	for s := range c.Series {
		one := &c.Series[s]
		v := one.Y[i]
		if v != v {
			continue
		}
		switch c.Kind {
		case report.Bars:
			at := &right
			if v < 0 {
				at = &left
			}
			f.bar(*at, *at+v, y, barHigh, paints[s])
			if len(c.Series) > 1 {
				f.share(v, *at, y, paints[s])
			}
			*at += v
		case report.Swings:
			f.bar(0, v, y+float64(s)*barHigh/2, barHigh/2, paints[s])
		default:
			f.d.el("circle", "cx", px(f.x.at(v)), "cy", px(y+barHigh/2), "r", "4", "fill", ink[0], "class", "point")
		}
		if one.Low != nil && one.Low[i] == one.Low[i] {
			high, middle := barHigh, y+barHigh/2
			if c.Kind == report.Swings {
				high, middle = barHigh/2, y+(float64(s)+0.5)*barHigh/2
			}
			f.whisker(one.Low[i], one.High[i], middle, high)
		}
	}
	f.end(c, i, y)
}

// bar draws a stretch of a row.
func (f frame) bar(from, to, y, high float64, paint int) {
	a, b := f.x.at(min(from, to)), f.x.at(max(from, to))
	f.d.rect(a, y, b-a, high, fill(paint), "class", "edge")
}

// share writes a value into its part of a bar, if the part is plain and wide
// enough; hatching is not written on.
func (f frame) share(v, from, y float64, paint int) {
	wide := math.Abs(f.x.at(from+v) - f.x.at(from))
	class := map[int]string{0: "in", 2: "on", 7: "in"}[paint%fillCount]
	if text := short(v); class != "" && wide > textWide(text)+8 {
		f.d.text((f.x.at(from)+f.x.at(from+v))/2, y+barHigh-4, "middle", "tick "+class, text)
	}
}

// whisker draws an interval.
func (f frame) whisker(low, high, y, tall float64) {
	a, b := f.x.at(low), f.x.at(high)
	f.d.line(a, y, b, y, "whisker")
	for _, x := range []float64{a, b} {
		f.d.line(x, y-tall/4, x, y+tall/4, "whisker")
	}
}

// end writes the values beside a row, beyond their intervals.
func (f frame) end(c *report.Chart, i int, y float64) {
	if c.Kind == report.Bars && len(c.Series) > 1 {
		return
	}
	for k := range c.Series {
		s := &c.Series[k]
		low, high := s.Y[i], s.Y[i]
		if s.Low != nil && s.Low[i] == s.Low[i] {
			low, high = min(low, s.Low[i]), max(high, s.High[i])
		}
		base := y + barHigh - 4
		if c.Kind == report.Swings {
			base = y + (float64(k)+0.5)*barHigh/2 + 4
		}
		switch v := s.Y[i]; {
		case math.IsNaN(v), c.Kind == report.Swings && v == 0:
		case c.Kind == report.Ranges:
			f.d.text(f.x.at(v), y+1, "middle", "tick halo", short(v))
		case v < 0:
			f.d.text(f.x.at(low)-4, base, "end", "tick halo", short(v))
		default:
			f.d.text(f.x.at(high)+4, base, "start", "tick halo", short(v))
		}
	}
}
