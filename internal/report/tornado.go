package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/decision"
	"potbank/internal/experiment"
)

// TornadoDocument lays out which inputs move a figure most. The picture is part
// of the table: a bar is read faster than two numbers, and the numbers stand
// beside it.
func TornadoDocument(s experiment.Scenario, t *decision.Tornado) Document {
	v := &tornado{t}
	d := Document{Title: v.title(), Lead: v.lead(s)}
	for _, part := range []func() Part{v.warnings, v.bars, v.screened, caution} {
		d.add(part())
	}
	var figures []KeyFigure
	for _, b := range v.Bars {
		figures = append(figures, KeyFigure{Name: b.Path, Value: rough(b.Length()), Unit: v.Unit, Note: fmt.Sprintf("from %s to %s", b.Low, b.High)})
	}
	runs := fmt.Sprintf("%d replications of every works, on shared luck; seed %d.", v.Replications, v.Seed)
	d.decided(experiment.Basis{Scenario: s, Runs: v.Replications, Turned: true}, d.Lead[1], v.Seed, runs, figures...)
	return d
}

// tornado lays out one tornado.
type tornado struct{ *decision.Tornado }

// title names the input that matters most, if one does.
func (v *tornado) title() string {
	if len(v.Bars) == 0 || v.Bars[0].Length() == 0 {
		return fmt.Sprintf("Nothing that is not known exactly moves %s", v.Name)
	}
	b := v.Bars[0]
	return fmt.Sprintf("%s hangs most on %s: from %s to %s it moves by %s %s", v.Name, b.Path, b.Low, b.High, rough(b.Length()), v.Unit)
}

func (v *tornado) lead(s experiment.Scenario) []string {
	return sentences(
		v.turns(),
		fmt.Sprintf("%s (%s): as stated %s is %s %s; %d replications of every works, on shared luck.", s.Path, shortHash(s.Hash), v.Name, estimate(v.AsStated), v.Unit, v.Replications),
		"Each input is moved to the two ends of where it is likely to lie, with one chance in ten beyond either; all others stay as stated. A long bar is worth measuring better, or watching; a short one is not, whatever people say of it.",
	)
}

// turns says which inputs turn the answer by themselves, or which comes nearest.
func (v *tornado) turns() string {
	if math.IsNaN(v.Turn.At) || len(v.Bars) == 0 {
		return ""
	}
	turned, others := v.Ends()
	side := func(value float64) string { return either(value > v.Turn.At, v.Turn.Above, v.Turn.Below) }
	if turned == nil {
		if others == nil {
			return ""
		}
		nearest := slices.MinFunc(others, func(a, b decision.End) int {
			return cmp.Compare(math.Abs(a.Value-v.Turn.At), math.Abs(b.Value-v.Turn.At))
		})
		return fmt.Sprintf("No input turns the answer by itself: %s wherever one lies. Nearest to it is %s at %s, with %s %s.", side(v.AsStated.Value), nearest.Path, nearest.At, plain(nearest.Value), v.Unit)
	}
	var some []string
	for _, e := range turned[:min(mostTurns, len(turned))] {
		some = append(some, fmt.Sprintf("%s at %s (%s %s)", e.Path, e.At, plain(e.Value), v.Unit))
	}
	return fmt.Sprintf("What turns the answer: %s with %s; as stated, %s.", side(turned[0].Value), strings.Join(some, ", or "), side(v.AsStated.Value))
}

func (v *tornado) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range v.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

// half is the width of one side of the picture, in characters.
const half = 7

// bars shows the inputs, the longest bar first.
func (v *tornado) bars() Part {
	t := &Table{Columns: []Column{
		{Head: "Input", Text: true, Wide: 24}, {Head: "From, to", Text: true, Wide: 14}, {Head: "At the low end"}, {Head: "At the high end"}, {Head: "Fewer, more", Text: true, Picture: true},
	}}
	scale := 0.0
	for _, b := range v.Bars {
		for _, s := range []decision.Swing{b.AtLow, b.AtHigh} {
			if s.Impossible == "" && !math.IsNaN(s.Value) {
				scale = max(scale, math.Abs(s.Value))
			}
		}
	}
	for _, b := range v.Bars {
		t.add(b.Path, b.Low+", "+b.High, swing(b.AtLow), swing(b.AtHigh), picture(b, scale))
	}
	return Part{Heading: fmt.Sprintf("What moves %s, %s", v.Name, v.Unit), Table: t, Charts: v.charts(),
		After: []string{fmt.Sprintf("Differences from the value as stated, each with its own %g %% interval. In a picture of characters - is the low end and + the high end of the input.", 100*experiment.Level)}}
}

// swing prints the difference that one end makes.
func swing(s decision.Swing) string {
	if s.Impossible != "" {
		return "impossible"
	}
	return signed(s.Estimate)
}

// picture draws a bar about a middle line; where both ends lie on one side the
// longer shows behind the shorter.
func picture(b decision.Bar, scale float64) string {
	if !(scale > 0) {
		return ""
	}
	cells := []byte(strings.Repeat(" ", 2*half+1))
	draw := func(s decision.Swing, mark byte) {
		if s.Impossible != "" || math.IsNaN(s.Value) {
			return
		}
		n := int(math.Round(s.Value / scale * half))
		for k := range max(n, -n) {
			if n > 0 {
				cells[half+1+k] = mark
			} else {
				cells[half-1-k] = mark
			}
		}
	}
	long, short, marks := b.AtLow, b.AtHigh, "-+"
	if math.Abs(long.Value) < math.Abs(short.Value) {
		long, short, marks = short, long, "+-"
	}
	draw(long, marks[0])
	draw(short, marks[1])
	cells[half] = '|'
	return strings.TrimRight(string(cells), " ")
}

// screenedShown is how many effects are listed: the rest is in the JSON.
const screenedShown = 15

// screened lists the effects by which the inputs with bars were picked.
func (v *tornado) screened() Part {
	if v.Screened == nil {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Input", Text: true, Wide: 40}, {Head: "From, to", Text: true, Wide: 24}, {Head: "Low to high, " + v.Unit}}}
	for i, e := range v.Screened {
		if i == screenedShown {
			t.add(fmt.Sprintf("and %d that do less", len(v.Screened)-i), "", "")
			break
		}
		t.add(e.Path, e.Input.Low+", "+e.Input.High, signed(e.Estimate))
	}
	return Part{Heading: "How the inputs were picked", Table: t, Text: []string{
		fmt.Sprintf("%d inputs are too many to move one by one. %d works, with all of them moved at once by a screening design, tell the effects apart; those with the largest have a bar above.", len(v.Screened), v.Runs),
	}}
}
