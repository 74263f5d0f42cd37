package report

import (
	"fmt"
	"math"

	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// weekPart shows one week of the first run hour by hour: stocks, and what the
// kilns did.
func (l *layout) weekPart() Part {
	w := l.a.Pictures.Week
	if w == nil {
		return Part{}
	}
	p := Part{Heading: fmt.Sprintf("One week as it went: week %d of run 1", w.Number)}
	p.Charts = append(p.Charts, l.hourly(w))
	for i := range w.Kilns {
		k := &w.Kilns[i]
		if k.Unit > 1 || len(k.Spans) == 0 {
			continue // drawn with the first of its group
		}
		if k.Kind == "shuttle" {
			p.Charts = append(p.Charts, l.shuttleCalendar(w, k.Kiln))
		} else {
			p.Charts = append(p.Charts, l.tunnelCalendar(w, k))
		}
	}
	return p
}

// oneRun says how far one week of one run can be trusted.
func (l *layout) oneRun(w *experiment.Week) string {
	return fmt.Sprintf("Week %d of run 1, from %s; seed %d. The week whose output is nearest to the mean of that run: one run of chance, which proves nothing.", w.Number, w.Start.Format("Mon 2 January 2006 15:04"), l.a.Seed)
}

// hourly shows the stock of each section through the week.
func (l *layout) hourly(w *experiment.Week) Chart {
	c := Chart{Kind: Lines, Split: true, X: Axis{Name: "the week"}, Y: Axis{Name: "pieces at the end of the hour", FromZero: true}, Rests: l.oneRun(w),
		Means: "Pieces in the section at the end of each hour.", Note: "Grey are Saturday and Sunday. Each section has a scale of its own."}
	for _, d := range w.Days {
		c.X.Ticks = append(c.X.Ticks, Tick{d.From, d.Name[:2]})
	}
	for _, d := range w.Weekend {
		c.Shades = append(c.Shades, Shade{d.From, d.To, "weekend"})
	}
	swing, most := "", 0
	for s, stock := range w.Stock {
		one := Series{Name: spoken(w.Sections[s]), Unit: "pieces"}
		low, high := math.MaxInt, 0
		for h, n := range stock {
			one.X, one.Y = append(one.X, float64(h+1)), append(one.Y, float64(n))
			low, high = min(low, n), max(high, n)
		}
		c.Series = append(c.Series, one)
		if high-low > most {
			swing, most = fmt.Sprintf("%s swings most through the week: from %s to %s pieces", upper(one.Name), count(int64(low)), count(int64(high))), high-low
		}
	}
	c.Title = swing
	return c
}

// stretchOf shows what a kiln did; what is in it gives the colour of a push or a
// fire, the state that of all else.
func stretchOf(s experiment.KilnSpan) Stretch {
	out := Stretch{From: s.From, To: s.To, What: s.State, Text: s.Text, Filled: 1, Tone: stateTones[s.State]}
	switch s.State {
	case plant.Pushed:
		out.What, out.Filled, out.Tone = s.Ware, s.Share, Next
		if s.Ware == "" {
			out.What, out.Tone = "empty", Rest
		}
		if s.Full {
			out.Filled = 1
		}
	case "holding", "stopped":
		out.Text = s.State
	}
	return out
}

// tunnelCalendar shows a day in each lane: a push is too short to be seen in a
// week.
func (l *layout) tunnelCalendar(w *experiment.Week, k *experiment.KilnWeek) Chart {
	c := Chart{Kind: Calendar, X: Axis{Name: "hour of the day", Unit: "h", Ticks: dayHours("%02d")}, Y: Axis{Name: "Day"}, Rests: l.oneRun(w),
		Means: "Each stretch is a push: the car that goes in, coloured by the ware that is most of its load. A part load fills its share of the height; an empty car is an outline. Stops and holds are stretches of their own."}
	n, full, none := 0, 0, 0
	for _, s := range k.Spans {
		if s.State == plant.Pushed {
			n++
			if s.Full {
				full++
			} else if s.Ware == "" {
				none++
			}
		}
	}
	for _, d := range w.Days {
		lane := Lane{Name: d.Name}
		midnight := d.From
		if d.From == 0 {
			midnight = d.To - 24 // the week begins within this day
		}
		for _, s := range k.Spans {
			if s.To <= d.From || s.From >= d.To {
				continue
			}
			out := stretchOf(s)
			out.From, out.To = max(s.From, d.From)-midnight, min(s.To, d.To)-midnight
			lane.Spans = append(lane.Spans, out)
		}
		c.Lanes = append(c.Lanes, lane)
	}
	c.Title = fmt.Sprintf("%s: of %d pushes that week %d went in full, %d part full, %d empty", upper(k.Kiln), n, full, n-full-none, none)
	return c
}

// shuttleCalendar shows a kiln in each lane.
func (l *layout) shuttleCalendar(w *experiment.Week, name string) Chart {
	c := Chart{Kind: Calendar, X: Axis{Name: "the week"}, Y: Axis{Name: "Kiln"}, Rests: l.oneRun(w),
		Means: "Each stretch is a state of the kiln; the table says what is in it. Waiting is for ware, for its hours or for hands."}
	for _, d := range w.Days {
		c.X.Ticks = append(c.X.Ticks, Tick{d.From, d.Name})
	}
	for _, d := range w.Weekend {
		c.Shades = append(c.Shades, Shade{d.From, d.To, "weekend"})
	}
	fires, part := 0, 0
	for i := range w.Kilns {
		k := &w.Kilns[i]
		if k.Kiln != name {
			continue
		}
		lane := Lane{Name: name}
		if k.Units > 1 {
			lane.Name = fmt.Sprintf("%s %d", name, k.Unit)
		}
		for _, s := range k.Spans {
			lane.Spans = append(lane.Spans, stretchOf(s))
			if s.State == "firing" {
				fires++
				if !s.Full {
					part++
				}
			}
		}
		c.Lanes = append(c.Lanes, lane)
	}
	c.Title = fmt.Sprintf("%s: %d fires that week, %d of them part full", upper(name), fires, part)
	return c
}
