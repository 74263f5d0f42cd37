package report

import (
	"math"
	"strconv"
	"strings"
)

// Chart is a picture of figures, said rather than drawn: what is shown, not how.
// Renderers that cannot draw leave it out; those that can show its numbers
// beside it, so that no picture has to be measured with a ruler.
type Chart struct {
	Kind  ChartKind
	Title string // states the finding
	Note  string // how to read it
	Means string // definition and formula of what is shown
	Rests string // the runs behind it

	X, Y   Axis
	Rows   []string // Bars, Swings, Ranges, Matrix: names of the rows
	Series []Series
	Marks  []Mark
	Shades []Shade // stretches along X, behind everything
	Split  bool    // Lines: a panel for each series, over one X
	Lanes  []Lane  // Calendar
	Stages []Stage // Flow
}

// ChartKind is the form of a chart.
type ChartKind int

const (
	Lines    ChartKind = iota // series over X, each with a band if it has one
	Columns                   // a histogram: Series[0] has one X more than Y
	Bars                      // rows of stacked bars: Series[s].Y[row]
	Swings                    // rows of two bars from 0: what either end of an input does
	Ranges                    // rows of points with intervals
	Calendar                  // lanes of stretches along time
	Flow                      // stages passed by a stream that loses some of its width
	Matrix                    // rows and, of each series, a column: a figure in each cell, darker where it is more
)

// Axis is what is measured along one side.
type Axis struct {
	Name, Unit string
	Ticks      []Tick // where the values have names; nil: numbers
	FromZero   bool   // the axis begins at 0 whatever the values
}

// Tick is a named place on an axis.
type Tick struct {
	At   float64
	Name string
}

// Series is one set of figures. A value that does not exist is NaN.
type Series struct {
	Name, Unit string
	X, Y       []float64
	Low, High  []float64 // band or interval about Y; nil: none
	Broken     bool      // drawn broken: a law or a plan, not what was simulated
	Points     bool      // drawn as points, not joined
	Steps      bool      // a value holds until the next X
	Tone       Tone      // of bars
}

// Tone is what a stretch of a bar or of a calendar stands for. What is one thing
// looks one way in all charts.
type Tone int

const (
	Next    Tone = iota // whichever comes next
	Work                // makes pieces
	Wait                // could work and does not
	Rest                // is not meant to work
	Trouble             // cannot work
	Service             // set-up, loading, drawing, drying back
)

// Mark is a line across a chart, or a row's place: at X, or at Y if Level.
type Mark struct {
	At    float64
	Name  string
	Level bool
}

// Shade is a stretch of X.
type Shade struct {
	From, To float64
	Name     string
}

// Lane is one line of a calendar.
type Lane struct {
	Name  string
	Spans []Stretch
}

// Stretch is what happens in a lane from one X to another.
type Stretch struct {
	From, To float64
	What     string  // ware or state: it gets the colour
	Text     string  // said in full
	Filled   float64 // share of the height: 1 full, 0 an outline
	Tone     Tone
}

// Stage is one step of a flow: what comes in, what is lost there, what leaves
// the stream there for good use, and what goes through again.
type Stage struct {
	Name                 string
	In, Lost, Out, Again float64
	OutName              string // what Out is
}

// hasBand tells whether any value has an interval.
func (s *Series) hasBand() bool {
	for i := range s.Low {
		if s.Low[i] == s.Low[i] && s.High[i] == s.High[i] {
			return true
		}
	}
	return false
}

// Digits prints a figure of a chart with six significant digits and nothing
// between thousands, for a spreadsheet to take.
func Digits(v float64) string {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return missing
	case v == 0:
		return "0"
	}
	text := strconv.FormatFloat(v, 'g', 6, 64)
	if strings.Contains(text, "e") {
		text = strconv.FormatFloat(v, 'f', max(0, 5-int(math.Floor(math.Log10(math.Abs(v))))), 64)
	}
	return text
}

// Numbers is what the chart shows, as a table.
func (c *Chart) Numbers() *Table {
	switch c.Kind {
	case Lines:
		return c.lineNumbers()
	case Columns:
		return c.columnNumbers()
	case Calendar:
		return c.calendarNumbers()
	case Flow:
		return c.flowNumbers()
	}
	return c.rowNumbers()
}

// withUnit names a column.
func withUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

// columns are the columns of a series: value, and ends if it has them.
func (s *Series) columns(t *Table) {
	t.Columns = append(t.Columns, Column{Head: withUnit(s.Name, s.Unit)})
	if s.hasBand() {
		t.Columns = append(t.Columns, Column{Head: s.Name + ", low"}, Column{Head: s.Name + ", high"})
	}
}

// cells are the cells of a series in one row.
func (s *Series) cells(i int) []string {
	cells := []string{missing}
	if i >= 0 && i < len(s.Y) {
		cells[0] = Digits(s.Y[i])
	}
	if s.hasBand() {
		low, high := missing, missing
		if i >= 0 && i < len(s.Low) {
			low, high = Digits(s.Low[i]), Digits(s.High[i])
		}
		cells = append(cells, low, high)
	}
	return cells
}

// lineNumbers has a row for each X of any series.
func (c *Chart) lineNumbers() *Table {
	t := &Table{Columns: []Column{{Head: withUnit(c.X.Name, c.X.Unit)}}}
	var xs []float64
	at := make([]map[float64]int, len(c.Series))
	seen := map[float64]bool{}
	for s := range c.Series {
		c.Series[s].columns(t)
		at[s] = map[float64]int{}
		for i, x := range c.Series[s].X {
			at[s][x] = i
			if !seen[x] {
				seen[x] = true
				xs = append(xs, x)
			}
		}
	}
	for _, x := range xs {
		cells := []string{Digits(x)}
		for s := range c.Series {
			i, ok := at[s][x]
			if !ok {
				i = -1
			}
			cells = append(cells, c.Series[s].cells(i)...)
		}
		t.add(cells...)
	}
	return c.withMarks(t)
}

// withMarks adds the lines that are drawn across.
func (c *Chart) withMarks(t *Table) *Table {
	for _, m := range c.Marks {
		if m.Name == "" {
			continue
		}
		cells := make([]string, len(t.Columns))
		cells[0] = m.Name + ": " + Digits(m.At)
		t.add(cells...)
	}
	return t
}

// columnNumbers has a row for each class.
func (c *Chart) columnNumbers() *Table {
	s := c.Series[0]
	t := &Table{Columns: []Column{{Head: withUnit(c.X.Name, c.X.Unit) + ", from"}, {Head: "to"}, {Head: withUnit(s.Name, s.Unit)}}}
	for i, y := range s.Y {
		t.add(Digits(s.X[i]), Digits(s.X[i+1]), Digits(y))
	}
	return c.withMarks(t)
}

// rowNumbers has a row for each row.
func (c *Chart) rowNumbers() *Table {
	t := &Table{Columns: []Column{{Head: c.Y.Name, Text: true}}}
	for s := range c.Series {
		c.Series[s].columns(t)
	}
	for i, name := range c.Rows {
		cells := []string{name}
		for s := range c.Series {
			cells = append(cells, c.Series[s].cells(i)...)
		}
		t.add(cells...)
	}
	return c.withMarks(t)
}

// calendarNumbers has a row for each stretch.
func (c *Chart) calendarNumbers() *Table {
	t := &Table{Columns: []Column{{Head: c.Y.Name, Text: true}, {Head: "from, " + c.X.Unit}, {Head: "to, " + c.X.Unit}, {Head: "what", Text: true}}}
	for _, lane := range c.Lanes {
		for _, s := range lane.Spans {
			t.add(lane.Name, Digits(s.From), Digits(s.To), s.Text)
		}
	}
	return t
}

// flowNumbers has a row for each stage.
func (c *Chart) flowNumbers() *Table {
	t := &Table{Columns: []Column{{Head: "Stage", Text: true}, {Head: withUnit("in", c.X.Unit)}, {Head: "lost"}, {Head: "again"}, {Head: "out"}, {Head: "", Text: true}}}
	for _, s := range c.Stages {
		t.add(s.Name, Digits(s.In), Digits(s.Lost), Digits(s.Again), Digits(s.Out), s.OutName)
	}
	return t
}
