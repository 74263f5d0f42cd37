package report

import (
	"fmt"
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/experiment"
)

// casting is how casts lie to the hours of the day, of one works or of several
// side by side.
type casting struct {
	works []castingOf
	of    string // what the watched replications are of
	rests string // the runs behind the risks
}

// castingOf is the casting of one works.
type castingOf struct {
	name   string // of the option; empty: there is only this works
	stands []experiment.Stand
	pours  []experiment.PourRisk
}

// casting is that of the answer.
func (l *layout) casting() casting {
	p := &l.a.Pictures
	return casting{[]castingOf{{"", p.Stands, p.Pours}}, l.a.Scenario.Name, l.rests() + " Every piece is watched in the first few."}
}

// stairs is the part of an answer about one works.
func (l *layout) stairs() Part { return l.casting().stairs() }

// pours is only drawn: tables show what misses its window as a whole, and it must
// not hang on what is written besides what is printed.
func (l *layout) pours() Part {
	p := l.casting().pours()
	p.Table, p.After = nil, nil
	return p
}

// pours shows the risk of the window by hour of pour. Hours are rows, works
// columns.
func (c casting) pours() Part {
	t := &Table{Columns: []Column{{Head: "Poured", Text: true}}}
	for _, x := range c.works {
		t.Columns = append(t.Columns, Column{Head: either(x.name == "", "miss their window, %", x.name)})
	}
	runs := 0
	for _, ware := range c.wares() {
		t.group(ware)
		for hour := range 24 {
			cells, poured := []string{fmt.Sprintf("%s%02d:00-%02d:00", indent, hour, (hour+1)%24)}, false
			for _, x := range c.works {
				cell := ""
				for _, p := range x.pours {
					if p.Ware == ware && p.Hour == hour {
						cell, poured, runs = risk(p), true, p.Runs
					}
				}
				cells = append(cells, cell)
			}
			if poured {
				t.add(cells...)
			}
		}
	}
	if len(t.Rows) == 0 {
		return Part{}
	}
	return Part{Heading: "Window risk by hour of pour, %", Table: t, Charts: c.pourCharts(), After: []string{
		fmt.Sprintf("Of the pieces poured in that hour, those punched too late or grown too dry to be punched; %s of %s, every piece watched. Empty: nothing is poured then.", plural(runs, "replication"), c.of)}}
}

// risk prints the share that misses the window, in per cent.
func risk(p experiment.PourRisk) string {
	if p.Missed.HasInterval() {
		return fmt.Sprintf("%s ± %s", fixed(100*p.Missed.Value, 1), fixed(100*p.Missed.HalfWidth(), 1))
	}
	return fixed(100*p.Missed.Value, 1)
}

// wares lists the wares in which pours were watched, in their order.
func (c casting) wares() []string {
	var all []string
	for _, x := range c.works {
		for _, p := range x.pours {
			if !slices.Contains(all, p.Ware) {
				all = append(all, p.Ware)
			}
		}
	}
	return all
}

// stairs shows casts a day over hours of cover, and where a works stands.
func (c casting) stairs() Part {
	t := &Table{Columns: []Column{{Head: "Benches", Text: true, Wide: 18}, {Head: "Hours of cover: casts a day", Text: true, Wide: 26}, {Head: "Hours now"}, {Head: "Casts a day"}, {Head: "Needed"}, {Head: "Next step", Text: true}}}
	var before []string
	for _, x := range c.works {
		for _, s := range x.stands {
			var steps []string
			for _, step := range s.Steps {
				steps = append(steps, fmt.Sprintf("%s: %s", hoursText(step.Hours), fixed(step.Casts, 2)))
			}
			next, need := "none", missing
			if s.Next.Casts > 0 {
				next = fmt.Sprintf("%s: %s", hoursText(s.Next.Hours), fixed(s.Next.Casts, 2))
			}
			if s.Need > 0 {
				need = hoursText(s.Need)
			}
			key := fmt.Sprint(s.Bench, s.Hours, s.Casts, steps)
			if slices.Contains(before, key) {
				continue
			}
			before = append(before, key)
			name := either(x.name == "", s.Bench, x.name+", "+s.Bench)
			t.add(name, strings.Join(steps, ", "), hoursText(s.Hours), fixed(s.Casts, 2), need, next)
		}
	}
	if len(t.Rows) == 0 {
		return Part{}
	}
	after := "Every touch of a bench begins and ends on shift, and none is filled that cannot be drained. Hours now: paid for on a working day, of which the hours needed would do for as many casts; cover between two steps buys nothing."
	if len(c.works) > 1 {
		after += " An option that stands where an earlier one does is left out."
	}
	return Part{Heading: "Staircase of casts", Table: t, Charts: c.stairCharts(), After: []string{after}}
}

// hoursText prints hours of cover.
func hoursText(t des.Time) string { return fixed(float64(t)/float64(des.Hour), 1) + " h" }

// stairCharts show casts a day over hours of cover, from none to the whole day,
// and where each works stands.
func (c casting) stairCharts() []Chart {
	var charts []Chart
	for _, s := range c.works[0].stands {
		if len(s.Steps) == 0 {
			continue
		}
		chart := Chart{Kind: Lines, X: Axis{Name: "hours of cover a day", Unit: "h", Ticks: dayHours("%d")}, Y: Axis{Name: "casts of a mould a day", Unit: "casts", FromZero: true}, Series: []Series{stairLine(s)}, Rests: "By hand from the times of a cast and the calendar; no chance in it.",
			Means: "Casts a day of one mould over the hours in which casters are there: every touch begins and ends on shift, and none is filled that cannot be drained.",
			Note:  "Cover between two steps buys nothing. A works may stand below the stairs where its hours are cut up.", Title: fmt.Sprintf("%s: more hours give no more casts", s.Bench)}
		if s.Next.Casts > 0 {
			chart.Title = fmt.Sprintf("%s: the next cast a day takes %s of cover, for %s today", s.Bench, hoursText(s.Next.Hours), hoursText(s.Hours))
		}
		for _, x := range c.works {
			if k := slices.IndexFunc(x.stands, func(o experiment.Stand) bool { return o.Bench == s.Bench }); k >= 0 {
				chart.Series = append(chart.Series, Series{Name: either(x.name == "", "today", x.name), Unit: "a day", X: []float64{float64(inHours(x.stands[k].Hours))}, Y: []float64{x.stands[k].Casts}, Points: true})
			}
		}
		charts = append(charts, chart)
	}
	return charts
}

// stairLine is the staircase itself.
func stairLine(s experiment.Stand) Series {
	line := Series{Name: "could be cast", Unit: "a day", Steps: true, X: []float64{0}, Y: []float64{0}}
	for _, step := range s.Steps {
		line.X, line.Y = append(line.X, float64(inHours(step.Hours))), append(line.Y, step.Casts)
	}
	const day = 24 // h
	if last := len(line.X) - 1; line.X[last] < day {
		line.X, line.Y = append(line.X, day), append(line.Y, line.Y[last])
	}
	return line
}

// pourCharts show the risk of missing the window by hour of pour: several works
// ware by ware, of one all its wares in one chart.
func (c casting) pourCharts() []Chart {
	if len(c.works) == 1 {
		var lines []Series
		var wares []string
		for _, ware := range c.wares() {
			lines = append(lines, c.works[0].risks(ware, ware))
			wares = append(wares, ware)
		}
		if lines == nil {
			return nil
		}
		return []Chart{c.pourChart(lines, func(k int, at string) string {
			return fmt.Sprintf("The riskiest pour is that of %s at %s", wares[k], at)
		}, "No piece misses its window, whenever it is poured")}
	}
	var charts []Chart
	for _, ware := range c.wares() {
		var lines []Series
		for _, x := range c.works {
			if s := x.risks(ware, x.name); len(s.X) > 0 {
				lines = append(lines, s)
			}
		}
		charts = append(charts, c.pourChart(lines, func(k int, at string) string {
			return fmt.Sprintf("%s: the riskiest pour is at %s under %s", upper(ware), at, lines[k].Name)
		}, upper(ware)+": no piece misses its window, whenever it is poured"))
	}
	return charts
}

// risks is the line of one ware, by the hour of the day.
func (x *castingOf) risks(ware, name string) Series {
	s := Series{Name: name, Unit: "%"}
	for _, p := range x.pours {
		if p.Ware == ware {
			s.X = append(s.X, float64(p.Hour))
			s.takeEstimate(timesHundred(p.Missed))
		}
	}
	s.Points = len(s.X) < 2
	return s
}

// pourChart shows lines over the day. Its title names the worst hour of the worst
// line, or says that there is none.
func (c casting) pourChart(lines []Series, worst func(line int, at string) string, none string) Chart {
	chart := Chart{Kind: Lines, X: Axis{Name: "hour of pour", Unit: "h", Ticks: dayHours("%02d")}, Y: Axis{Name: "miss their window", Unit: "%", FromZero: true}, Rests: c.rests, Series: lines,
		Means: "Of the pieces poured in that hour of the day, those punched too late or grown too dry to be punched.", Note: "Where a line has no point nothing is poured then.", Title: none}
	most := 0.0
	for k, s := range lines {
		for i, y := range s.Y {
			if y > most {
				most = y
				chart.Title = fmt.Sprintf("%s: %s %% miss their window", worst(k, fmt.Sprintf("%02.0f:00", s.X[i])), fixed(y, 0))
			}
		}
	}
	return chart
}

// dayHours are the places of an axis along a day: times of day or hours of it.
func dayHours(format string) []Tick {
	var ticks []Tick
	for h := 0; h <= 24; h += 4 {
		ticks = append(ticks, Tick{float64(h), fmt.Sprintf(format, h)})
	}
	return ticks
}
