package report

import (
	"fmt"
	"math"
	"time"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// rests names the runs behind a date.
func (v *promised) rests() string {
	return fmt.Sprintf("%d runs, each with a works of its own as far as the evidence leaves it open; seed %d.", v.Runs, v.Seed)
}

// daysTo is the whole days from the start of the order to an instant.
func (v *promised) daysTo(t time.Time) float64 { return math.Round(t.Sub(v.Start).Hours() / 24) }

// dueMark is the end of the day asked for.
func (v *promised) dueMark() []Mark {
	if v.Due.IsZero() {
		return nil
	}
	return []Mark{{At: v.daysTo(v.Due) + 1, Name: "due, end of " + civilDay(v.Due)}}
}

// weekTicks names every week of the order by its first day.
func (v *promised) weekTicks(days int) []Tick {
	var ticks []Tick
	for d := 0; d <= days; d += 7 {
		ticks = append(ticks, Tick{float64(d), v.Start.AddDate(0, 0, d).Format("2 Jan")})
	}
	return ticks
}

// fanCharts show the good pieces adding up towards the quantity.
func (v *promised) fanCharts() []Chart {
	if len(v.Days) == 0 {
		return nil
	}
	s := Series{Name: "half of the runs have packed", Unit: "pieces"}
	for i, d := range v.Days {
		s.X, s.Y = append(s.X, float64(i+1)), append(s.Y, d.Mid)
		s.Low, s.High = append(s.Low, d.Low), append(s.High, d.High)
	}
	c := Chart{Kind: Lines, X: Axis{Name: "days from the start of the order", Ticks: v.weekTicks(len(v.Days))}, Y: Axis{Name: "good pieces", Unit: "pieces", FromZero: true},
		Series: []Series{s}, Marks: append([]Mark{{At: float64(v.Quantity), Name: "ordered", Level: true}}, v.dueMark()...), Rests: v.rests(),
		Means: "Good pieces counted for the order by the end of each day: the 5, 50 and 95 % points over the runs. What is packed before the forecast is in them.",
		Note:  "The band holds nine runs of ten. The order is done where a run crosses the level line."}
	if !v.Due.IsZero() {
		c.Series = append(c.Series, Series{Name: "even pace to the due date", Unit: "pieces", X: []float64{0, v.daysTo(v.Due) + 1}, Y: []float64{float64(v.Packed), float64(v.Quantity)}, Broken: true})
	}
	c.Title = v.crossing()
	return []Chart{c}
}

// crossing says when half of the runs, and those of the service, are done.
func (v *promised) crossing() string {
	if len(v.Dates) == 0 || v.Dates[0].At.IsZero() {
		return fmt.Sprintf("The %s pieces are not packed within the run", count(int64(v.Quantity)))
	}
	text := fmt.Sprintf("The %s pieces are as likely as not packed by %s", count(int64(v.Quantity)), civilDay(v.Dates[0].At))
	if last := v.Dates[len(v.Dates)-1]; len(v.Dates) > 1 && !last.At.IsZero() {
		text += fmt.Sprintf(", and in %g of 100 cases by %s", 100*last.P, civilDay(last.At))
	}
	return text
}

// dateCharts show the chance of being done by day, as a calendar.
func (v *promised) dateCharts() []Chart {
	first := -1
	for i, d := range v.Days {
		if d.Done > 0 {
			first = i
			break
		}
	}
	if first < 0 {
		return nil
	}
	c := Chart{Kind: Calendar, X: Axis{Name: "day of the week", Unit: "d"}, Y: Axis{Name: "Week of"}, Rests: v.rests(), Title: v.crossing(),
		Means: "Share of the runs in which the order is done by the end of the day.", Note: "Each day is filled as far as it is likely that the order is done by its end; a full box is certain as far as the runs tell."}
	for k, day := range []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"} {
		c.X.Ticks = append(c.X.Ticks, Tick{float64(k), day})
	}
	c.X.Ticks = append(c.X.Ticks, Tick{7, ""})
	for _, d := range v.Days[first:] {
		day := d.End.Add(-time.Minute) // an end at midnight belongs to the day before
		place := float64((int(day.Weekday()) + 6) % 7)
		if place == 0 || len(c.Lanes) == 0 {
			c.Lanes = append(c.Lanes, Lane{Name: day.AddDate(0, 0, -int(place)).Format("2 Jan")})
		}
		lane := &c.Lanes[len(c.Lanes)-1]
		lane.Spans = append(lane.Spans, Stretch{From: place, To: place + 1, What: "done by its end", Text: Digits(100*d.Done) + " %", Filled: d.Done, Tone: Work})
	}
	if !v.Due.IsZero() && v.InTime.Value == v.InTime.Value {
		c.Title = fmt.Sprintf("By the end of %s, as asked, it is done in %s of 100 cases", civilDay(v.Due), fixed(100*v.InTime.Value, 0))
	}
	return []Chart{c}
}

// causeCharts show what makes the date wide.
func (v *promised) causeCharts() []Chart {
	if len(v.Causes) == 0 {
		return nil
	}
	c := Chart{Kind: Bars, X: Axis{Name: "share of the variance of the date", Unit: "%"}, Y: Axis{Name: "Cause"}, Series: []Series{{Name: "share", Unit: "%"}}, Rests: v.rests() + fmt.Sprintf(" %d pairs of runs for each cause.", v.Causes[0].Pairs),
		Title: fmt.Sprintf("%s makes the date wide more than anything else", upper(v.Causes[0].Name)),
		Means: "The share of the variance of the working days that goes with one cause: it is dealt anew while all else stays (Jansen's estimator)."}
	for _, x := range v.Causes {
		c.Rows = append(c.Rows, x.Name)
		c.Series[0].takeEstimate(timesHundred(x.Share))
	}
	return []Chart{c}
}

// timesHundred is a share in per cent.
func timesHundred(e stats.Estimate) stats.Estimate {
	e.Value, e.Low, e.High = 100*e.Value, 100*e.Low, 100*e.High
	return e
}

// leverCharts show what brings the date forward.
func (v *promised) leverCharts() []Chart {
	c := Chart{Kind: Ranges, X: Axis{Name: "mean date sooner", Unit: "calendar days", FromZero: true}, Y: Axis{Name: "Lever"}, Series: []Series{{Name: "sooner", Unit: "calendar days"}}, Marks: []Mark{{}}, Rests: v.rests(),
		Means: fmt.Sprintf("Mean date without the lever less that with it, in pairs of runs on shared luck; intervals at %g %%.", 100*experiment.Level),
		Note:  "Right of 0 the lever wins days. An interval that crosses 0 may be luck."}
	best := -1
	for i, l := range v.Levers {
		if l.Why != "" {
			continue
		}
		c.Rows = append(c.Rows, l.Name)
		c.Series[0].takeEstimate(l.Mean)
		if l.Mean.Low > 0 && (best < 0 || l.Mean.Value > v.Levers[best].Mean.Value) {
			best = i
		}
	}
	if len(c.Rows) == 0 {
		return nil
	}
	c.Title = "No lever is shown to bring the date forward"
	if best >= 0 {
		c.Title = fmt.Sprintf("%s brings the mean date forward most, by %s days", upper(v.Levers[best].Name), estimate(v.Levers[best].Mean))
	}
	return []Chart{c}
}

// slipCharts show what taking the order in does to the others.
func (v *promised) slipCharts() []Chart {
	if len(v.Slips) == 0 {
		return nil
	}
	c := Chart{Kind: Ranges, X: Axis{Name: "later on average", Unit: "calendar days", FromZero: true}, Y: Axis{Name: "Order"}, Series: []Series{{Name: "later", Unit: "calendar days"}}, Marks: []Mark{{}}, Rests: v.rests(),
		Means: "Mean date of the other order with this one less that without it, in pairs of runs on shared luck."}
	for _, x := range v.Slips {
		c.Rows = append(c.Rows, x.Order)
		c.Series[0].takeEstimate(x.Mean)
	}
	worst := v.Slips[greatestOf(len(v.Slips), func(i int) float64 { return v.Slips[i].Mean.Value })]
	c.Title = fmt.Sprintf("%s slips most, by %s days on average", upper(worst.Order), estimate(worst.Mean))
	if !(worst.Mean.Low > 0) {
		c.Title = "No other order is shown to slip"
	}
	return []Chart{c}
}
