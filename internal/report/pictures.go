package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potbank/internal/experiment"
)

// rests names the runs behind a chart of means.
func (l *layout) rests() string {
	text := fmt.Sprintf("%s of %d weeks, the first %d left out; seed %d.", replications(l.a), l.a.Weeks, l.a.WarmUp.Weeks, l.a.Seed)
	if l.a.Replications > 1 {
		text += fmt.Sprintf(" Intervals hold with %g %% confidence.", 100*experiment.Level)
	}
	return text
}

// means puts the definition of a measure into words.
func means(f experiment.Figure) string {
	switch {
	case f.Definition == "":
		return ""
	case f.Formula == "":
		return upper(f.Definition) + "."
	}
	return upper(f.Definition) + ": " + f.Formula + "."
}

// upper begins a sentence.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// stateChart shows the time of resources with one list of states as bars that
// add up to all hours.
func (l *layout) stateChart(heading string, states []string) Chart {
	c := Chart{Kind: Bars, X: Axis{Name: "share of all hours", Unit: "%"}, Y: Axis{Name: "Resource"}, Rests: l.rests()}
	for _, s := range states {
		c.Series = append(c.Series, Series{Name: spoken(s), Unit: "%", Tone: stateTones[s]})
	}
	never := l.never(states)
	busiest, load := "", 0.0
	for _, r := range l.a.Resources {
		if !slices.Equal(r.States, states) {
			continue
		}
		c.Rows = append(c.Rows, r.Name)
		for k, s := range states {
			f, _ := l.a.Figure("state." + r.Name + "." + s)
			c.Series[k].Y = append(c.Series[k].Y, f.Value)
			if c.Means == "" {
				c.Means = means(f)
			}
		}
		if f, ok := l.a.Figure("load." + r.Name); ok && f.Value > load {
			busiest, load = r.Name, f.Value
		}
	}
	at := stateColumn - 1
	c.Series = slices.DeleteFunc(c.Series, func(Series) bool { at++; return never[at] })
	what, _ := strings.CutPrefix(heading, "Time by state: ")
	c.Title = fmt.Sprintf("Of the %s %s is loaded most, %s %%", what, busiest, fixed(load, 1))
	if len(c.Rows) == 1 || busiest == "" {
		c.Title = fmt.Sprintf("Where the hours of %s go", c.Rows[0])
		if busiest != "" {
			c.Title = fmt.Sprintf("%s is loaded %s %%", upper(busiest), fixed(load, 1))
		}
	}
	c.Means += " Each bar is all hours of the week, nights and weekends included. Load is reckoned on the time that a resource can be used, so it is more than the share it works of all hours."
	return c
}

// leadCharts shows where the mean lead time goes.
func (l *layout) leadCharts(parts []experiment.Figure) []Chart {
	if len(parts) == 0 {
		return nil
	}
	c := Chart{Kind: Bars, X: Axis{Name: "hours of the mean lead time", Unit: "h"}, Y: Axis{Name: "Part"},
		Series: []Series{{Name: "time", Unit: "h"}}, Means: means(parts[0]), Rests: l.rests(),
		Note: "The parts add up to the mean exactly: every minute of every piece is charged to one of them."}
	sorted := slices.Clone(parts)
	slices.SortStableFunc(sorted, func(a, b experiment.Figure) int { return cmp.Compare(b.Value, a.Value) })
	total, worked := 0.0, 0.0
	s := &c.Series[0]
	for _, f := range sorted {
		c.Rows = append(c.Rows, lead(f.Name))
		s.take(f)
		total += f.Value
		if f.Name == "lead.working" {
			worked = f.Value
		}
	}
	c.Title = fmt.Sprintf("A piece is worked on, dried or fired for %s of %s hours; the rest is waiting", fixed(worked, 0), fixed(total, 0))
	return []Chart{c}
}

// take adds a figure with its interval.
func (s *Series) take(f experiment.Figure) {
	s.Y, s.Low, s.High = append(s.Y, f.Value), append(s.Low, f.Low), append(s.High, f.High)
}

// stateTones are the tones of the states of resources; others get whichever is
// free.
var stateTones = map[string]Tone{
	"working": Work, "casting": Work, "drying": Work, "firing": Work, "running": Work, "building": Work,
	"absent": Rest, "no work": Wait, "blocked": Trouble, "after hours": Service,
	"idle": Wait, "waiting": Wait, "free": Wait, "holding": Wait, "waiting for casters": Wait,
	"off shift": Rest, "drying back": Service, "change-over": Service, "mould change": Service,
	"loading": Service, "drawing": Service, "cooling": Work, "in hand": Service, "down": Trouble, "stopped": Trouble,
}
