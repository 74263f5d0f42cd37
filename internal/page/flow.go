package page

import (
	"fmt"

	"potbank/internal/report"
)

// The map of a flow runs downwards, so that names have room on a telephone as on
// paper: the stream narrows by what is lost at each stage, which leaves to the
// right; what goes through again loops on the left.
const (
	stageHigh = 46.0
	stemShare = 0.34 // width of the stream where it begins, share of the drawing
)

// flow draws the map.
func (d *drawing) flow(c *report.Chart) {
	if len(c.Stages) == 0 || !(c.Stages[0].In > 0) {
		d.high = 1
		return
	}
	left := 118.0
	if d.wide < 500 {
		left = 104
	}
	m := streams{d: d, per: stemShare * d.wide / c.Stages[0].In, left: left, unit: c.X.Unit}
	d.high = stageHigh*float64(len(c.Stages)) + 40
	for i, s := range c.Stages {
		m.stage(s, float64(i)*stageHigh+4)
	}
	for i, s := range c.Stages {
		if s.Again > 0 && i > 0 {
			m.loop(s, float64(i)*stageHigh+4)
		}
	}
}

// streams draws the parts of a flow.
type streams struct {
	d    *drawing
	per  float64 // pixels for one piece
	left float64 // edge of the stream
	unit string
}

// stage draws the stream through one stage and what leaves it there.
func (m streams) stage(s report.Stage, y float64) {
	d, in := m.d, s.In*m.per
	rest := (s.In - s.Lost - s.Out) * m.per
	d.text(0, y+18, "start", "name", cut(s.Name, m.left-8))
	d.text(0, y+32, "start", "tick", short(s.In))
	// What goes on.
	if rest > 0 {
		d.path(fmt.Sprintf("M%s %sH%sL%s %sH%sZ", px(m.left), px(y), px(m.left+rest), px(m.left+rest), px(y+stageHigh), px(m.left)), "stream")
	}
	at := m.left + max(0, rest)
	edge := m.left + stemShare*d.wide + 24
	place := y + 14
	if s.Lost > 0 {
		m.branch(at, in, y, s.Lost*m.per, edge, place, "lost")
		d.text(edge+30, place+4, "start", "tick", short(s.Lost)+" lost")
		at += s.Lost * m.per
	}
	if s.Out > 0 {
		m.leave(s, at, y)
	}
}

// branch draws a loss: from its place in the stream to the right.
func (m streams) branch(at, in, y, wide, edge, place float64, class string) {
	middle := at + wide/2
	m.d.path(fmt.Sprintf("M%s %sC%s %s %s %s %s %sH%s", px(middle), px(y), px(middle), px(place), px(middle+10), px(place), px(max(middle+12, edge-20)), px(place), px(edge+24)),
		class, "stroke-width", px(max(0.8, wide)))
}

// leave draws what leaves the stream for good: downwards where nothing goes on,
// to the right otherwise.
func (m streams) leave(s report.Stage, at, y float64) {
	wide := s.Out * m.per
	edge := m.left + stemShare*m.d.wide + 24
	if (s.In-s.Lost-s.Out)*m.per > 1 {
		m.branch(at, 0, y, wide, edge, y+32, "good")
		m.d.text(edge+30, y+36, "start", "tick", short(s.Out)+" "+s.OutName)
		return
	}
	at = m.left
	m.d.path(fmt.Sprintf("M%s %sH%sV%sL%s %sL%s %sZ", px(at), px(y), px(at+wide), px(y+stageHigh-6), px(at+wide/2), px(y+stageHigh+14), px(at), px(y+stageHigh-6)), "goodfill")
	m.d.text(at+wide/2, y+stageHigh/2+2, "middle", "tick in", short(s.Out)+" "+s.OutName)
}

// loop draws what goes back to the stage above.
func (m streams) loop(s report.Stage, y float64) {
	wide := s.Again * m.per
	x, out := m.left-wide/2-1, 16+wide/2
	m.d.path(fmt.Sprintf("M%s %sC%s %s %s %s %s %s", px(m.left), px(y+stageHigh*0.55), px(x-out), px(y+stageHigh*0.55), px(x-out), px(y-stageHigh*0.45), px(m.left), px(y-stageHigh*0.45)),
		"again", "stroke-width", px(max(0.8, wide)))
	m.d.text(m.left-8-out, y+2, "end", "tick halo", short(s.Again)+" again")
}
