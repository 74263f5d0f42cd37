package report

import (
	"cmp"
	"fmt"
	"slices"

	"potbank/internal/decision"
)

// rests names the runs behind the cost of a fault.
func (v *master) rests() string {
	return fmt.Sprintf("%d replications of %d weeks, without the fault and with it for every gate, on shared luck; seed %d.", v.Replications, v.Weeks, v.Seed)
}

// costCharts show where the money goes by where the fault is caught.
func (v *master) costCharts() []Chart {
	if len(v.Rows) == 0 {
		return nil
	}
	c := Chart{Kind: Bars, X: Axis{Name: "cost of one fault", Unit: v.Currency}, Y: Axis{Name: "Caught at"}, Rests: v.rests(),
		Means: "Mean cost of one fault if that gate alone watches, besides complaints, by what the money goes into; the luck of inspection is averaged out by replays."}
	for k, name := range decision.MasterParts {
		s, any := Series{Name: name, Unit: v.Currency}, false
		for _, r := range v.Rows {
			y := r.Parts.Parts()[k]
			s.Y, any = append(s.Y, y), any || y != 0
		}
		if any {
			c.Series = append(c.Series, s)
		}
	}
	for _, r := range v.Rows {
		c.Rows = append(c.Rows, inUse(r.Name, r.InUse))
	}
	c.Note = "* watches today. What stands left of 0 the works wins back later."
	least := v.Rows[greatestOf(len(v.Rows), func(i int) float64 { return -v.Rows[i].Cost.Value })]
	last := v.Rows[len(v.Rows)-1]
	c.Title = fmt.Sprintf("Caught at %s a fault costs %s %s; at the %s %s", least.Name, rounded(least.Cost.Value), v.Currency, last.Name, rounded(last.Cost.Value))
	return []Chart{c, v.yearChart()}
}

// yearChart sets what gates cost to run beside what faults cost then.
func (v *master) yearChart() Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "cost of one fault: half below, with 95 % below", Unit: v.Currency, FromZero: true}, Y: Axis{Name: "Caught at"}, Rests: v.rests(),
		Series: []Series{{Name: "cost", Unit: v.Currency}},
		Means:  "Outcomes of histories with the luck of inspection redrawn: the point is the median, the line reaches from there to the cost that 95 of 100 faults stay below.",
		Note:   "The mean says what a fault costs in the long run; a single one may cost far more."}
	worst := -1
	for i, r := range v.Rows {
		c.Rows = append(c.Rows, inUse(r.Name, r.InUse))
		s := &c.Series[0]
		s.Y, s.Low, s.High = append(s.Y, r.P50.Value), append(s.Low, r.P50.Value), append(s.High, r.P95.Value)
		if worst < 0 || r.P95.Value > v.Rows[worst].P95.Value {
			worst = i
		}
	}
	c.Title = fmt.Sprintf("One fault in twenty costs more than %s %s if it is caught at the %s", rounded(v.Rows[worst].P95.Value), v.Currency, v.Rows[worst].Name)
	return c
}

// timeCharts show when a fault is seen, told, stopped and made good.
func (v *master) timeCharts() []Chart {
	c := Chart{Kind: Calendar, X: Axis{Name: "days after the first bad cast, medians", Unit: "d"}, Y: Axis{Name: "Caught at"}, Rests: v.rests(),
		Means: "Seen: the first fault of a bad piece. Alarm: as many faults as the rule asks for. Stop: bad moulds and cases broken. Proven: new cases released. Full: a mould on every place. Medians of the runs; what most runs did not come to is left out."}
	soonest, late := -1, -1
	for i, r := range v.Rows {
		lane, from := Lane{Name: inUse(r.Name, r.InUse)}, 0.0
		for _, step := range []struct {
			what string
			to   float64
			tone Tone
		}{{"unseen", r.Times.Seen, Trouble}, {"seen, no alarm", r.Times.Alarm, Wait}, {"alarm, not stopped", r.Times.Stop, Next}, {"being proven", r.Times.Released, Service}, {"moulds missing", r.Times.Refilled, Rest}} {
			if !(step.to >= from) {
				break
			}
			lane.Spans = append(lane.Spans, Stretch{From: from, To: step.to, What: step.what, Text: step.what, Filled: 1, Tone: step.tone})
			from = step.to
		}
		if len(lane.Spans) == 0 {
			continue
		}
		c.Lanes = append(c.Lanes, lane)
		if stop := r.Times.Stop; stop == stop {
			if soonest < 0 || stop < v.Rows[soonest].Times.Stop {
				soonest = i
			}
			if late < 0 || stop > v.Rows[late].Times.Stop {
				late = i
			}
		}
	}
	if soonest < 0 {
		return nil
	}
	a, b := v.Rows[soonest], v.Rows[late]
	c.Title = fmt.Sprintf("From the first bad cast to the stop it takes %s days at %s, %s at the %s", fixed(a.Times.Stop, 1), a.Name, fixed(b.Times.Stop, 1), b.Name)
	return []Chart{c}
}

// stepCharts show what each share inspected is worth, gate by gate.
func (v *master) stepCharts() []Chart {
	c := Chart{Kind: Lines, X: Axis{Name: "share inspected", Unit: "%"}, Y: Axis{Name: "gains a year", Unit: v.Currency, FromZero: true}, Marks: []Mark{{Level: true}}, Rests: v.rests(),
		Means: fmt.Sprintf("What changing one gate of today's watch to that share gains a year at %s: what it saves on faults less what it costs to run. Chosen and valued on the same histories.", faultsYear(v.PerYear)),
		Note:  "A gate gains most at the top of its line; below 0 it is not worth its price."}
	steps := slices.Clone(v.Steps)
	slices.SortStableFunc(steps, func(a, b decision.GateStep) int { return cmp.Compare(a.To, b.To) })
	best := -1
	for i, s := range steps {
		k := slices.IndexFunc(c.Series, func(one Series) bool { return one.Name == s.Gate })
		if k < 0 {
			k, c.Series = len(c.Series), append(c.Series, Series{Name: s.Gate, Unit: v.Currency})
		}
		one := &c.Series[k]
		one.X = append(one.X, 100*s.To)
		one.takeEstimate(s.Year)
		if best < 0 || s.Year.Value > steps[best].Year.Value {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	b := steps[best]
	c.Title = fmt.Sprintf("%s at %s is worth most: %s %s a year", upper(b.Gate), ofHundred(b.To), estimate(b.Year), v.Currency)
	if !(b.Year.Low > 0) {
		c.Title = "No change of today's watch is shown to pay"
	}
	for i := range c.Series {
		c.Series[i].Points = len(c.Series[i].X) < 2
	}
	return []Chart{c}
}
