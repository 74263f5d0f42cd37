package page

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/report"
)

// frame is the box of axes that series are drawn in.
type frame struct {
	d    *drawing
	x, y scale
}

// Margins of a frame.
const (
	below = 34.0 // for the numbers and the name of X
	right = 14.0
)

// lines draws series over X.
func (d *drawing) lines(c *report.Chart) {
	if c.Split {
		d.panels(c)
		return
	}
	top := d.legend(lineNames(c), 0) + 6
	d.high = top + 220 + below
	f := d.frame(c, c.Series, top, d.high-below, 0, d.wide)
	for i := range c.Series {
		f.series(&c.Series[i], i)
	}
	f.marks(c)
	d.text(d.wide-right, d.high-4, "end", "axis", axisName(c.X))
}

// axisName is the name of an axis with its unit.
func axisName(a report.Axis) string {
	if a.Unit == "" {
		return a.Name
	}
	return a.Name + ", " + a.Unit
}

// frame draws the axes for some series within a box.
func (d *drawing) frame(c *report.Chart, series []report.Series, top, bottom, left, end float64) frame {
	xs, ys := noSpan(), noSpan()
	for i := range series {
		xs.take(series[i].X...)
		ys.take(series[i].Y...)
		ys.take(series[i].Low...)
		ys.take(series[i].High...)
	}
	for _, t := range c.X.Ticks {
		xs.take(t.At) // a place that has a name is shown, whether anything lies there or not
	}
	for _, m := range c.Marks {
		if m.Level {
			ys.take(m.At)
		}
	}
	if c.Y.FromZero {
		ys.take(0)
	}
	ticks := tickCount
	if c.Split {
		ticks = 3
	}
	levels := ys.round(ticks)
	labels, wide := named(c.Y, levels), 0.0
	for _, t := range labels {
		wide = max(wide, textWide(t.Name))
	}
	f := frame{d, scale{xs.low, xs.high, left + wide + 10, end - right}, scale{ys.low, ys.high, bottom, top + lineHigh + 5}}
	for _, s := range c.Shades {
		from, to := max(s.From, xs.low), min(s.To, xs.high)
		if from < to {
			d.rect(f.x.at(from), f.y.to, f.x.at(to)-f.x.at(from), f.y.from-f.y.to, "#ececec")
		}
	}
	for _, t := range labels {
		d.line(f.x.from, f.y.at(t.At), f.x.to, f.y.at(t.At), "grid")
		d.text(f.x.from-5, f.y.at(t.At)+4, "end", "tick", t.Name)
	}
	count := int((f.x.to - f.x.from) / 60)
	f.ticks(named(c.X, xs.within(max(2, min(count, 10)))))
	if c.Y.Unit != "" && !c.Split {
		d.text(left, top+8, "start", "axis", axisName(c.Y))
	}
	return f
}

// ticks names places of X; where names would run into one another every second
// is left out.
func (f frame) ticks(ticks []report.Tick) {
	every, wide := 1, 0.0
	for _, t := range ticks {
		wide = max(wide, textWide(t.Name)+8)
	}
	if n := len(ticks); n > 1 {
		gap := math.Abs(f.x.at(ticks[n-1].At)-f.x.at(ticks[0].At)) / float64(n-1)
		every = max(1, int(math.Ceil(wide/gap)))
	}
	for i, t := range ticks {
		x := f.x.at(t.At)
		f.d.line(x, f.y.from, x, f.y.from+4, "tickline")
		if i%every == 0 {
			anchor := "middle"
			if x+textWide(t.Name)/2 > f.d.wide {
				anchor = "end"
			}
			f.d.text(x, f.y.from+16, anchor, "tick", t.Name)
		}
	}
	f.d.line(f.x.from, f.y.from, f.x.to, f.y.from, "base")
}

// series draws one series; n is its number among them.
func (f frame) series(s *report.Series, n int) {
	colour := ink[n%len(ink)]
	if s.Low != nil {
		f.d.path(f.band(s), "band", "fill", colour)
	}
	if s.Points {
		for i := range s.X {
			if s.Y[i] == s.Y[i] {
				f.point(f.x.at(s.X[i]), f.y.at(s.Y[i]), n, colour)
			}
		}
		return
	}
	dash := dashes[n%len(dashes)]
	if s.Broken && dash == "none" {
		dash = dashes[1]
	}
	f.d.path(f.join(s), "curve", "stroke", colour, "stroke-dasharray", dash)
}

// point draws the nth kind of point. Kinds differ in shape, for grey, and later
// ones are smaller, so that those in one place are all seen.
func (f frame) point(x, y float64, n int, colour string) {
	r := max(3.2, 7-float64(n))
	switch n % 4 {
	case 1:
		f.d.rect(x-r, y-r, 2*r, 2*r, colour, "class", "point")
	case 2:
		f.d.path(fmt.Sprintf("M%s %sL%s %sL%s %sL%s %sZ", px(x), px(y-r-1), px(x+r+1), px(y), px(x), px(y+r+1), px(x-r-1), px(y)), "point", "fill", colour)
	case 3:
		f.d.path(fmt.Sprintf("M%s %sL%s %sL%s %sZ", px(x), px(y-r-1), px(x+r), px(y+r), px(x-r), px(y+r)), "point", "fill", colour)
	default:
		f.d.el("circle", "cx", px(x), "cy", px(y), "r", px(r-1), "fill", colour, "class", "point")
	}
}

// join is the path through the values, broken where there is none.
func (f frame) join(s *report.Series) string {
	var b strings.Builder
	move := "M"
	for i := range s.X {
		if s.Y[i] != s.Y[i] {
			move = "M"
			continue
		}
		if s.Steps && move == "L" {
			b.WriteString("H" + px(f.x.at(s.X[i])))
		}
		fmt.Fprintf(&b, "%s%s %s", move, px(f.x.at(s.X[i])), px(f.y.at(s.Y[i])))
		move = "L"
	}
	return b.String()
}

// band is the outline of the values' intervals.
func (f frame) band(s *report.Series) string {
	var up, down []string
	for i := range s.X {
		if s.Low[i] == s.Low[i] && s.High[i] == s.High[i] {
			up = append(up, px(f.x.at(s.X[i]))+" "+px(f.y.at(s.High[i])))
			down = append([]string{px(f.x.at(s.X[i])) + " " + px(f.y.at(s.Low[i]))}, down...)
		}
	}
	if up == nil {
		return ""
	}
	return "M" + strings.Join(append(up, down...), "L") + "Z"
}

// marks draws the lines across. Their names stand at the top, one below the
// other where they would meet.
func (f frame) marks(c *report.Chart) {
	last, row := math.Inf(-1), 0
	for _, m := range c.Marks {
		if m.Level {
			y := f.y.at(m.At)
			f.d.line(f.x.from, y, f.x.to, y, "mark")
			f.d.text(f.x.to, y-4, "end", "tick", m.Name)
			continue
		}
		x := f.x.at(m.At)
		f.d.line(x, f.y.from, x, f.y.to, "mark")
		anchor, place := "start", x+4
		if x+textWide(m.Name) > f.d.wide-2 {
			anchor, place = "end", x-4
		}
		row++
		if place > last {
			row = 0
		}
		last = max(last, place+textWide(m.Name)+6)
		f.d.text(place, f.y.to+10+float64(row)*13, anchor, "tick halo", m.Name)
	}
}

// panels draws each series in a frame of its own.
func (d *drawing) panels(c *report.Chart) {
	const high, gap = 96.0, 16.0
	across := 1
	if d.wide > 500 {
		across = 3
	}
	wide := (d.wide - gap*float64(across-1)) / float64(across)
	for i := range c.Series {
		left, top := float64(i%across)*(wide+gap), float64(i/across)*(high+below)
		f := d.frame(c, c.Series[i:i+1], top, top+high, left, left+wide)
		d.text(left, top+10, "start", "name", cut(c.Series[i].Name, wide))
		f.series(&c.Series[i], 0)
		for _, m := range c.Marks {
			if !m.Level {
				d.line(f.x.at(m.At), f.y.from, f.x.at(m.At), f.y.to, "mark")
			}
		}
	}
	rows := (len(c.Series) + across - 1) / across
	d.high = float64(rows)*(high+below) + 4
	d.text(d.wide-right, d.high-2, "end", "axis", axisName(c.X)+legendOfPanels(c))
}

// legendOfPanels names what every panel shows.
func legendOfPanels(c *report.Chart) string {
	if c.Y.Name == "" {
		return ""
	}
	return "; up: " + axisName(c.Y)
}
