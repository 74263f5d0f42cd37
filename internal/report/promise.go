package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// PromiseDocument lays out when an order will be done: the promise in one
// sentence, what would turn it, the dates, then what must be cast and poured, the
// progress to expect, why the date is wide, who slips, what levers are worth, and
// how far the order has drifted.
func PromiseDocument(name experiment.Scenario, r *decision.PromiseAnswer) Document {
	v := &promised{r}
	d := Document{Title: r.Recommendation, Lead: v.lead(name)}
	for _, part := range []func() Part{
		v.warnings, v.turns, v.drift, v.dates, v.lots, v.levers, v.casts, v.weeks, v.causes, v.unknown, v.slips, v.assumptions, caution,
	} {
		d.add(part())
	}
	v.front(&d, name)
	return d
}

// front is the first page.
func (v *promised) front(d *Document, name experiment.Scenario) {
	doubt := strings.Join(d.Lead[1:], " ")
	if n := len(v.Dates); n > 1 && !v.Dates[0].At.IsZero() && !v.Dates[n-1].At.IsZero() {
		doubt = fmt.Sprintf("As likely as not it is done by %s; in %g of 100 cases by %s. One standard deviation of the date is %.1f working days.", civilDay(v.Dates[0].At), 100*v.Dates[n-1].P, civilDay(v.Dates[n-1].At), v.Spread)
	}
	var figures []KeyFigure
	if v.Promise >= 0 {
		figures = append(figures, KeyFigure{Name: fmt.Sprintf("date to promise, %g of 100 cases", 100*v.Service), Value: civilDate(v.Promise), Note: chanceKey("", v.Chance).Note})
	}
	figures = append(figures, chanceKey("in time for "+civilDay(v.Due), v.InTime), KeyFigure{Name: "casts it takes on average", Value: count(int64(math.Round(v.Casts.Mean))), Note: fmt.Sprintf("%s in one batch that is never topped up", count(int64(v.Casts.Batch)))})
	if len(v.Dates) > 0 {
		figures = append(figures, key("working days, as likely as not", v.Dates[0].WorkDays, "d", ""))
	}
	b := experiment.Basis{Scenario: name, Runs: v.Runs, Turned: len(v.Flips)+len(v.Levers) > 0, Drawn: true}
	d.decided(b, doubt, v.Seed, v.rests(), figures...)
}

// promised lays out one answer.
type promised struct{ *decision.PromiseAnswer }

func (v *promised) lead(name experiment.Scenario) []string {
	text := fmt.Sprintf("%s (%s): %s, %s %s, from %s", name.Path, shortHash(name.Hash), v.Order, count(int64(v.Quantity)), v.Ware, v.Start.Format("Mon 2 Jan 2006 15:04"))
	if v.Packed > 0 {
		text += fmt.Sprintf(", %s packed", count(int64(v.Packed)))
	}
	text += fmt.Sprintf("; %d runs.", v.Runs)
	if v.Partial != "" {
		text += " " + v.Partial
	}
	lead := []string{text}
	if h := v.ByHand; h.Known {
		lead = append(lead, fmt.Sprintf("By hand: %s casts at a yield of %.1f %% are %d working days of casting at %s a day, %s good pieces a day; the time from cast to pallet comes on top.",
			count(int64(math.Round(h.Starts()))), 100*h.Yield, h.CastingDays(), plain(h.Casts), plain(h.PerDay)))
	}
	return lead
}

func (v *promised) warnings() Part {
	p := Part{Heading: "Warnings"}
	for _, w := range v.Warnings {
		p.Text = append(p.Text, "- "+w)
	}
	return p
}

func (v *promised) turns() Part {
	p := Part{Heading: "What would turn the answer"}
	for _, f := range v.Flips {
		p.Text = append(p.Text, "- "+f)
	}
	return p
}

// dates shows the dates with the simulation's own error.
func (v *promised) dates() Part {
	t := &Table{Columns: []Column{
		{Head: "Cases of 100", Text: true, Wide: 6}, {Head: "Done by", Text: true}, {Head: "Own error, 95 %", Text: true}, {Head: "Ranks", Text: true}, {Head: "Work days"}, {Head: "All days"},
	}}
	for _, d := range v.Dates {
		ranks, between := missing, missing
		if d.LowRank > 0 {
			ranks = fmt.Sprintf("%d, %d of %d", d.LowRank, d.HighRank, d.Runs)
			between = civilDay(d.Low) + " to " + civilDay(d.High)
		}
		t.add(fmt.Sprintf("%g", 100*d.P), civilTime(d.At), between, ranks, spanDays(d.WorkDays), spanDays(d.Calendar))
	}
	p := Part{Heading: "When it is done", Table: t, Charts: v.dateCharts()}
	if len(v.Dates) > 0 {
		p.After = append(p.After, "The interval is the error of the simulation, from the number of its runs: of so many sorted dates it runs from that of the one rank to that of the other. The spread of the date itself is what the rows differ by. Days are of 24 h from the start of the order; working days leave out what the works does not count as working time.")
	}
	if !v.Due.IsZero() && v.InTime.Value == v.InTime.Value {
		text := fmt.Sprintf("It is done by the end of %s, as asked, with a probability of %s.", longDay(v.Due), odds(v.InTime))
		if v.Penalty > 0 {
			text += fmt.Sprintf(" Lateness is expected to cost %s %s.", plain(v.Penalty), v.Currency)
		}
		p.After = append(p.After, text)
	}
	return p
}

// lots shows the part deliveries.
func (v *promised) lots() Part {
	t := &Table{Columns: []Column{{Head: "Delivery", Text: true}, {Head: "Good pieces, all so far"}, {Head: "Due", Text: true}, {Head: "As likely as not", Text: true},
		{Head: fmt.Sprintf("%g of 100 cases", 100*v.Service), Text: true}, {Head: "In time", Text: true}}}
	for _, l := range v.Lots {
		t.add(l.Name, count(int64(l.Want)), civilDay(l.Due), civilDay(l.Median), civilDay(l.Safe), odds(l.InTime))
	}
	return Part{Heading: "Part deliveries", Table: t}
}

// casts says how many casts the order takes, by policy, and the moulds for them.
func (v *promised) casts() Part {
	c := v.Casts
	if c.Batch == 0 {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Policy", Text: true, Wide: 44}, {Head: "Casts"}, {Head: "How sure", Text: true, Wide: 44}}}
	t.add("on average", count(int64(math.Round(c.Mean))), "as likely short as not")
	t.add("one batch, never topped up", count(int64(c.Batch)), fmt.Sprintf("%g %% that it gives the quantity", 100*v.Service))
	p := Part{Heading: "Casts and moulds it takes", Table: t}
	if u := c.TopUp; u != nil {
		t.add("topped up day by day (make: order)", estimate(u.Casts), fmt.Sprintf("%g %% point of %d runs; %s on average", 100*u.P, u.Pairs-u.Misses, count(int64(math.Round(u.Mean)))))
		beyond := fmt.Sprintf("about %s good pieces more than ordered are packed or under way when it is done", plain(math.Round(max(0, u.Spare.Value))))
		if u.Others {
			beyond = "casts for the other orders of the ware are among these"
		}
		p.After = append(p.After, fmt.Sprintf("Topped up, %s, and the %g %% date comes %s (%d pairs of runs). To cast by plan fills the works with the next ware for stock meanwhile.",
			beyond, 100*u.P, laterThanPlanned(u.Later), u.Pairs))
	}
	text := fmt.Sprintf("A cast gives %.1f %% good pieces", 100*c.Yield.Value)
	if c.Yield.HasInterval() && c.Yield.HalfWidth() > 1e-6 {
		text = fmt.Sprintf("A cast gives %.1f to %.1f %% good pieces in 95 of 100 works that the evidence allows", 100*c.Yield.Low, 100*c.Yield.High)
	}
	if c.Inflation > 1 {
		text += fmt.Sprintf("; cars of %d that fail together make the variance of a count %.1f times as large", c.Car, c.Inflation)
	}
	p.After = append(p.After, text+".")
	if c.Life > 0 {
		lead := ""
		if c.Lead > 0 {
			lead = fmt.Sprintf(", each poured %s d before it is fitted", plain(c.Lead.Hours()/24))
		}
		p.After = append(p.After, fmt.Sprintf("The batch wears out %s working moulds at %s casts each%s.", plain(c.Moulds), plain(c.Life), lead))
	}
	return p
}

// fanWide is the characters of the bar in the fan.
const fanWide = 20

// weeks shows the progress to expect and what is cast and poured for it.
func (v *promised) weeks() Part {
	t := &Table{Columns: []Column{{Head: "Week from", Text: true}, {Head: "Good, 5 %"}, {Head: "50 %"}, {Head: "95 %"}, {Head: strings.Repeat(" ", fanWide), Text: true},
		{Head: "Casts"}, {Head: "so far"}, {Head: "Worn"}, {Head: "poured", Text: true}}}
	enough := false
	for _, w := range v.Weeks {
		so := count(int64(math.Round(w.AllCast)))
		if w.Enough {
			so, enough = so+" *", true
		}
		t.add(civilDay(w.Begins), count(int64(w.Low)), count(int64(w.Mid)), count(int64(w.High)), fan(w, v.Quantity),
			count(int64(math.Round(w.Casts))), so, fmt.Sprintf("%.0f, %.0f", w.Worn, w.WornMost), civilDay(w.PourBy))
	}
	p := Part{Heading: "Progress to expect, casts and moulds by week", Table: t, Charts: v.fanCharts()}
	if len(v.Weeks) > 0 {
		p.After = []string{"Good pieces by the end of the week: nine runs of ten keep between the outer columns; an order outside of them has drifted. The bar runs from 0 to the quantity. Casts and moulds worn out (mean, and what 95 of 100 weeks keep to) are of the ware, in runs that still go on. What wears out in a week must be poured, day by day, from the last date on. Days are in the JSON."}
		if enough {
			p.After[0] += " * The batch of the table above is cast."
		}
	}
	return p
}

// fan draws one week of the fan.
func fan(w decision.PromiseWeek, quantity int) string {
	cells := []byte(strings.Repeat(" ", fanWide))
	at := func(n float64) int { return min(fanWide-1, int(float64(n/float64(quantity)*(fanWide-1))+0.5)) }
	for k := at(w.Low); k <= at(w.High); k++ {
		cells[k] = '-'
	}
	cells[at(w.Mid)] = '|'
	return strings.TrimRight(string(cells), " ")
}

// causes shows what makes the date wide.
func (v *promised) causes() Part {
	t := &Table{Columns: []Column{{Head: "Cause", Text: true, Wide: 40}, {Head: "Where", Text: true, Wide: 24}, {Head: "Alone, ± working days"}, {Head: "Variance that would go, %"}}}
	for _, c := range v.Causes {
		t.add(c.Name, c.Where, fmt.Sprintf("%.2f", c.Days), shareRange(c.Share))
	}
	p := Part{Heading: "Why the date is wide", Table: t, Charts: v.causeCharts()}
	if len(v.Causes) == 0 {
		return p
	}
	p.Text = []string{fmt.Sprintf("One standard deviation of the date is %.2f working days. Each cause in turn is dealt anew while all else stays (%d pairs of runs): what the date moves by is its own. Causes that only hurt together are counted in each; shares that would add up to more than 100 are scaled to it.", v.Spread, v.Causes[0].Pairs)}
	var full []string
	for _, d := range v.Fullest {
		full = append(full, fmt.Sprintf("%s %.0f %%", d.Name, 100*d.Load))
	}
	p.After = []string{fmt.Sprintf("Fullest by hand: %s. %s", strings.Join(full, ", "), v.Binding)}
	return p
}

// unknown names the inputs to count better.
func (v *promised) unknown() Part {
	t := &Table{Columns: []Column{{Head: "Known from counts or records only", Text: true, Wide: 48}, {Head: "Rests on", Text: true}, {Head: "Goes with, % of the variance"}}}
	for _, u := range v.Unknown {
		t.add(u.Path, u.Rests, fmt.Sprintf("%.0f", 100*u.Share))
	}
	return Part{Heading: "What to count better before you promise", Table: t}
}

// slips shows what taking the order in does to the others.
func (v *promised) slips() Part {
	t := &Table{Columns: []Column{{Head: "Order", Text: true}, {Head: "Ware", Text: true}, {Head: "Due", Text: true}, {Head: "Later on average, d"}, {Head: fmt.Sprintf("%g %% date later, d", 100*v.Service)}, {Head: "In time: without", Text: true}, {Head: "with", Text: true}}}
	pairs := 0
	for _, x := range v.Slips {
		t.add(x.Order, x.Ware, civilDay(x.Due), signed(x.Mean), signedDays(x.AtService), odds(x.Without), odds(x.With))
		pairs = x.Pairs
	}
	p := Part{Heading: "Which other orders slip", Table: t, Charts: v.slipCharts()}
	if len(v.Slips) > 0 {
		p.After = []string{fmt.Sprintf("%d pairs of runs, with this order and without it, on shared luck. Calendar days.", pairs)}
	}
	return p
}

// levers ranks what might bring the date forward.
func (v *promised) levers() Part {
	t := &Table{Columns: []Column{{Head: "Lever", Text: true, Wide: 28}, {Head: "Costs, " + v.Currency}, {Head: fmt.Sprintf("%g %% date sooner, d", 100*v.Service), Text: true}, {Head: "mean sooner, d"}, {Head: "A mean day costs"}, {Head: "In time", Text: true}}}
	var notes []string
	for _, l := range v.Levers {
		if l.Why != "" {
			t.add(l.Name, "", "not tried", "", "", "")
			notes = append(notes, l.Name+" could not be tried: "+l.Why+".")
			continue
		}
		day := "-"
		if l.Sure && !math.IsInf(l.PerDay, 1) {
			day = plain(l.PerDay)
		}
		t.add(l.Name, plain(l.Cost), signedDays(l.AtService), signed(l.Mean), day, odds(l.InTime))
		var changes []string
		for _, c := range l.Changes {
			changes = append(changes, fmt.Sprintf("%s: %s -> %s", c.Path, c.Before, c.After))
		}
		notes = append(notes, l.Name+": "+strings.Join(changes, "; ")+".")
	}
	p := Part{Heading: "What brings it forward", Table: t, Charts: v.leverCharts()}
	if len(v.Levers) > 0 {
		p.After = append([]string{fmt.Sprintf("%d pairs of runs on shared luck; calendar days. The cheapest day first; below those that surely win days, the rest. Where no price of a day stands, luck alone may make the difference, or it is less than a quarter of a day.", v.Levers[0].Pairs)}, notes...)
		if l := v.Levers[0]; l.Fresh != nil {
			p.After = append(p.After, fmt.Sprintf("On %d fresh pairs, which did not choose it, %s brings the %g %% date %s d forward, the mean %s d.", l.Fresh.N, l.Name, 100*v.Service, signedDays(*l.Fresh), signed(*l.FreshMean)))
		}
	}
	return p
}

// drift shows where the order stands in its first forecast.
func (v *promised) drift() Part {
	d := v.Drift
	if d == nil {
		return Part{}
	}
	verdict := "within what luck may do"
	if d.Outside {
		verdict = "outside of it: more than luck"
	}
	p := Part{Heading: "Has it drifted?", Text: []string{fmt.Sprintf(
		"By %s %s good pieces are packed. The first forecast had %s (%s to %s in nine cases of ten): the order is %s. %.0f %% of its %d runs had no more by then.",
		civilTime(d.At), count(int64(d.Good)), count(int64(d.Mid)), count(int64(d.Low)), count(int64(d.High)), verdict, 100*d.Chance, d.Runs)}}
	if !d.Since.IsZero() {
		p.Text = append(p.Text, fmt.Sprintf("It has been outside since %s.", longDay(d.Since)))
	}
	t := &Table{Columns: []Column{{Head: "Cases of 100", Text: true}, {Head: "First forecast", Text: true}, {Head: "Today's", Text: true}}}
	for k, x := range d.First {
		t.add(fmt.Sprintf("%g", 100*x.P), civilDay(x.At), civilDay(v.Dates[k].At))
	}
	p.Table = t
	if len(d.Days) > 0 {
		last := d.Days[len(d.Days)-1]
		p.After = append(p.After, fmt.Sprintf("Days told: %d, the last %s with %s good pieces so far (first forecast %s to %s).", len(d.Days), last.Date, count(int64(last.Good)), count(int64(last.Low)), count(int64(last.High))))
	}
	return p
}

func (v *promised) assumptions() Part {
	p := Part{Heading: "What the date rests on"}
	for _, a := range v.Assumptions {
		p.Text = append(p.Text, "- "+a)
	}
	return p
}

// civilTime prints an instant; one beyond the run has none.
func civilTime(t time.Time) string {
	if t.IsZero() {
		return "not within the run"
	}
	return t.Format("Mon 2 Jan 2006 15:04")
}

// civilDate prints a date that has no time of day.
func civilDate(d calendar.Date) string {
	t, err := time.Parse(time.DateOnly, d.String())
	if err != nil {
		return d.String() // beyond what dates of four figures can say
	}
	return civilDay(t)
}

// civilDay prints a date.
func civilDay(t time.Time) string {
	if t.IsZero() {
		return missing
	}
	return t.Format("Mon 2 Jan")
}

func longDay(t time.Time) string { return t.Format("Monday 2 January 2006") }

// spanDays prints a number of days; one beyond the run has none.
func spanDays(e stats.Estimate) string {
	if !(e.Value < 1e17) {
		return missing
	}
	return fmt.Sprintf("%.1f", e.Value)
}

// odds prints a probability with its interval.
func odds(e stats.Estimate) string {
	if !e.HasInterval() {
		return missing
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*e.Value, 100*e.Low, 100*e.High)
}

// signedDays prints a difference of dates with its interval, which need not be
// symmetric.
func signedDays(e stats.Estimate) string {
	if math.IsNaN(e.Value) {
		return missing
	}
	if !e.HasInterval() {
		return tenths(e.Value)
	}
	return fmt.Sprintf("%s (%s to %s)", tenths(e.Value), tenths(e.Low), tenths(e.High))
}

// laterThanPlanned says in calendar days by how much a date is later, or sooner.
func laterThanPlanned(e stats.Estimate) string {
	than := "later"
	if e.Value < 0 {
		e, than = negative(e), "sooner"
	}
	if math.Round(10*e.Value) == 0 {
		return "as soon as planned"
	}
	text := fixed(e.Value, 1)
	if e.HasInterval() {
		text += fmt.Sprintf(" (%s to %s)", fixed(e.Low, 1), fixed(e.High, 1))
	}
	return text + " calendar days " + than + " than as planned"
}

// tenths prints a difference with its sign; what rounds to nothing has none.
func tenths(v float64) string {
	if math.Abs(v) < 0.05 {
		return "0.0"
	}
	return fmt.Sprintf("%+.1f", v)
}

// shareRange prints a share of the variance with its interval.
func shareRange(e stats.Estimate) string {
	if !e.HasInterval() {
		return fmt.Sprintf("%.0f", 100*e.Value)
	}
	digits := 0
	if e.Value < .1 {
		digits = 1
	}
	return fmt.Sprintf("%.*f (%.*f to %.*f)", digits, 100*e.Value, digits, 100*e.Low, digits, 100*e.High)
}
