package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/experiment"
)

// HoursCaution stands beside every answer about shifts.
const HoursCaution = "Hours, rest, nights and breaks are limited by law and agreement, which are not in this program: the rules " +
	"held against the rotas are those that the question states, and no more. Where local codes or agreements are stricter, " +
	"they hold. Night and overlong shifts tire people, and tired people are hurt: the figures here take a hand at three in " +
	"the morning to be as quick, as careful and as safe as at ten. Ask those who will work the pattern, and whoever " +
	"answers for safety, before it is changed."

func hoursCaution() Part {
	return Part{Heading: "Before hours are changed", Text: []string{HoursCaution}}
}

// output shows the good pieces of a week: the mean, and single weeks.
func (v *weighed) output() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 22}, {Head: "Mean ± its confidence"}, {Head: "Single week: 5 % below"}, {Head: "half below"}, {Head: "95 % below"},
		{Head: "A good piece, " + v.Currency}, {Head: "Lead time, 95 %, h"},
	}}
	weeks := math.MaxInt
	for _, x := range v.Options {
		t.add(x.Name, estimate(x.Good), blank(x.OneWeek[0], 0), blank(x.OneWeek[1], 0), blank(x.OneWeek[2], 0), estimate(x.Cost), estimate(x.LeadP95))
		weeks = min(weeks, x.WeeksOf)
	}
	return Part{Heading: "Good pieces a week: the mean, and a single week", Table: t, Charts: v.weekCharts(), After: []string{
		fmt.Sprintf("The mean is over all futures, and more replications narrow its ±. Single weeks are those of %s, %d or more of each option: where a week may lie however long one simulates.", v.Futures[v.Main].Name, weeks)}}
}

// hours shows what is paid for.
func (v *weighed) hours() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}, {Head: "Hours paid a week"}, {Head: "against today"}, {Head: "At night"}, {Head: "Premiums, " + v.Currency + "/wk"}, {Head: "People on the books"}}}
	for o, x := range v.Options {
		d := ""
		if o > 0 {
			d = fixed(x.Paid-v.Options[0].Paid, 0)
		}
		t.add(x.Name, fixed(x.Paid, 0), d, fixed(x.Night, 1), fixed(x.Premiums, 0), fixed(x.People, 1))
	}
	return Part{Heading: "Hours", Table: t, After: []string{
		fmt.Sprintf("Rostered heads times rostered hours, by the calendar: no chance in it. Night: %s. People: the hours paid over %s h a week each, %s away.", v.Terms.Night, plain(v.Terms.Contract), share(v.Terms.Absence))}}
}

// crews shows how the crews that differ from today's, or are busiest, spend
// their hours.
func (v *weighed) crews() Part {
	t := &Table{Columns: []Column{{Head: "Crew", Text: true}, {Head: "Hours paid a week"}, {Head: "At night"}, {Head: "Working"}, {Head: "Changing tools"}, {Head: "No work"}, {Head: "Waiting"}, {Head: "Blocked"}}}
	for _, x := range v.Options {
		t.group(x.Name)
		for _, c := range x.Crews {
			parts, _ := addUp([]float64{100 * c.Working, 100 * c.Change, 100 * c.NoWork, 100 * c.Waiting, 100 * c.Blocked}, 0)
			t.add(append([]string{indent + c.Name, fixed(c.Paid, 0), fixed(c.Night, 0)}, parts...)...)
		}
	}
	return Part{Heading: "Crews, " + v.Futures[v.Main].Name, Table: t, After: []string{
		"In % of the hours attended. Waiting: there is work, and it is too early for it: its window, a full load, mates, a wall to build, the next shift. Blocked: a place, a car, the floor, moulds or further hands are wanting. Ware that waits for hands instead shows in the lead time."}}
}

// windows shows what the punching window asks for and what it gets.
func (v *weighed) windows() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 20}, {Head: "Window, by hand", Text: true, Wide: 22}, {Head: "Needed at once"}, {Head: "There, mean"}, {Head: "fewest"},
		{Head: "Late, % of punched"}, {Head: "Too dry, pieces/wk"},
	}}
	for _, x := range v.Options {
		for i := range max(1, len(x.Windows)) {
			cells := []string{"", "", "", "", "", "", ""}
			if i == 0 {
				cells[0], cells[5], cells[6] = x.Name, estimate(x.Late), estimate(x.TooDry)
			}
			if i < len(x.Windows) {
				n := x.Windows[i]
				cells[1] = fmt.Sprintf("%s %s-%s", n.Ware, clock(n.From), clock(n.To))
				cells[2], cells[3], cells[4] = fixed(n.Need, 1), fixed(n.There, 1), fixed(n.Least, 0)
			}
			t.add(cells...)
		}
	}
	return Part{Heading: "The punching window", Table: t, After: []string{
		"By hand: the ware of one fill must be punched between the first window's opening and the last one's closing; that takes so many people at once, and so many are there. Late and too dry are simulated, all wares, expected over the futures."}}
}

// kilns shows how much of their time the kilns go without ware.
func (v *weighed) kilns() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}}}
	for _, k := range v.Options[0].Starved {
		t.Columns = append(t.Columns, Column{Head: k.Kiln})
	}
	if len(t.Columns) == 1 || len(t.Columns) > mostColumns {
		return Part{}
	}
	for _, x := range v.Options {
		cells := []string{x.Name}
		for _, k := range v.Options[0].Starved {
			cell := missing
			for _, own := range x.Starved {
				if own.Kiln == k.Kiln {
					cell = estimate(own.Estimate)
				}
			}
			cells = append(cells, cell)
		}
		t.add(cells...)
	}
	return Part{Heading: "Kilns without ware, %, " + v.Futures[v.Main].Name, Table: t, After: []string{
		"Tunnels: empty cars of those pushed. Shuttles: time spent waiting for a load."}}
}

// clock prints a time of day.
func clock(t des.Time) string { return fmt.Sprintf("%02d:%02d", t/des.Hour, t%des.Hour/des.Minute) }

// mostColumns is how many options stand side by side in columns.
const mostColumns = 6

// casting is where and when each option casts.
func (v *weighed) casting() casting {
	c := casting{rests: v.behind() + " Every piece is watched in the first few.", of: v.Futures[v.Main].Name}
	for _, x := range v.Options {
		c.works = append(c.works, castingOf{x.Name, x.Stands, x.Pours})
	}
	return c
}

// pours shows the risk of the window by hour of pour, unless there are more
// options than columns.
func (v *weighed) pours() Part {
	if len(v.Options) > mostColumns {
		return Part{}
	}
	return v.casting().pours()
}

// stairs shows casts a day over hours of cover, and where each option stands.
func (v *weighed) stairs() Part { return v.casting().stairs() }

// rules shows what breaks the rules on working time.
func (v *weighed) rules() Part {
	rules := v.Terms.Rules
	if !rules.Any() {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 20}, {Head: "Hours", Text: true, Wide: 20}, {Head: "Rule", Text: true, Wide: 22}, {Head: "Limit", Text: true}, {Head: "Worst", Text: true}, {Head: "Times in 9 weeks"}, {Head: "First", Text: true}}}
	for _, x := range v.Options {
		for _, b := range x.Breaches {
			t.add(x.Name, b.Who, b.Rule, b.Limit, b.Worst, fmt.Sprint(b.Times), b.First.Format("2006-01-02 Mon"))
		}
	}
	p := Part{Heading: "Rules on working time", Table: t}
	source := either(rules.Source == "", "the question", rules.Source)
	if len(t.Rows) == 0 {
		p.Text = []string{"No option breaks a rule that was stated (from: " + source + ")."}
		return p
	}
	p.After = []string{"Rules from: " + source + ". What breaks one is not chosen."}
	return p
}

// service shows orders and the limits that were set.
func (v *weighed) service() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}}}
	for i, l := range v.CompareQuestion.Limits {
		text := fmt.Sprintf("%s at least %s", l.Measure, plain(l.Least))
		if !math.IsInf(l.Most, 0) {
			text = fmt.Sprintf("%s at most %s", l.Measure, plain(l.Most))
		}
		t.Columns = append(t.Columns, Column{Head: text + " " + v.Units[i]})
	}
	onTime := !math.IsNaN(v.Options[0].OnTime.Value)
	if onTime {
		t.Columns = append(t.Columns, Column{Head: "Orders in time"})
	}
	if len(t.Columns) == 1 {
		return Part{}
	}
	t.Columns = append(t.Columns, Column{Head: "", Text: true})
	for _, x := range v.Options {
		cells := []string{x.Name}
		for _, e := range x.Limits {
			cells = append(cells, share(e.Value)+within(e))
		}
		if onTime {
			cells = append(cells, share(x.OnTime.Value)+within(x.OnTime))
		}
		word := either(x.Eligible, "keeps the limits", "")
		if len(x.Breaches) > 0 {
			word = "breaks a rule"
		}
		t.add(append(cells, word)...)
	}
	v.certified(t, onTime)
	return Part{Heading: "What must hold", Table: t, After: []string{
		fmt.Sprintf("The probability that it holds on the average of a run of %d weeks; %s is asked for. Intervals count every replication as one trial.", v.Weeks-v.WarmUp, share(v.Service))}}
}

// certified adds what fresh replications say of the chosen option's limits.
func (v *weighed) certified(t *Table, onTime bool) {
	c := v.Certified
	if c == nil || len(c.Limits) == 0 {
		return
	}
	cells := []string{v.name(v.Best) + ", fresh"}
	for _, e := range c.Limits {
		cells = append(cells, share(e.Value)+within(e))
	}
	if onTime {
		cells = append(cells, "")
	}
	t.add(append(cells, plural(c.Trials, "replication"))...)
}

// pareto shows the options that no other beats in everything.
func (v *weighed) pareto() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}, {Head: "A good piece, " + v.Currency}, {Head: strings.ToUpper(v.Serves[:1]) + v.Serves[1:]}, {Head: "Hours at night"}, {Head: "", Text: true}}}
	for o, x := range v.Options {
		service := estimate(x.Good)
		if v.Serves != "good pieces a week" {
			service = share(x.OnTime.Value)
		}
		t.add(x.Name, estimate(x.Cost), service, fixed(x.Night, 1), either(slices.Contains(v.Pareto, o), "not beaten", "beaten"))
	}
	return Part{Heading: "Cost, service and nights", Table: t, Charts: v.frontCharts(), After: []string{
		"Beaten: another is as good in all three and better in one. Who weighs them otherwise than the question does should look at those not beaten. Less than what matters counts as no difference."}}
}

// standings shows how sure one can be of each option.
func (v *weighed) standings() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}, {Head: "Replications"}, {Head: "Best with probability"}, {Head: "Expected regret, " + v.Unit}, {Head: "", Text: true}}}
	for o, s := range v.Standings {
		word := ""
		switch {
		case o == v.Best:
			word = either(v.Decided, "chosen", "ahead")
		case !v.Options[o].Eligible:
			word = "not among those to choose from"
		}
		t.add(v.name(o), fmt.Sprint(v.Options[o].Replications), probability(s.Best.Value), rough(s.Loss.Value), word)
	}
	return Part{Heading: "How sure, by " + v.By, Table: t}
}

// regret shows how far each option is behind the best in each future.
func (v *weighed) regret() Part {
	if len(v.Futures) < 2 {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 22}}}
	for _, f := range v.Futures {
		t.Columns = append(t.Columns, Column{Head: fmt.Sprintf("%s (%s)", f.Name, share(f.Weight))})
	}
	t.Columns = append(t.Columns, Column{Head: "Greatest"})
	for o, row := range v.Regret {
		cells := []string{v.name(o)}
		for _, x := range row {
			cells = append(cells, rough(x))
		}
		t.add(append(cells, rough(slices.Max(row)))...)
	}
	return Part{Heading: "Regret by future, " + v.Unit, Table: t, Charts: v.regretCharts(), After: []string{"How far an option is behind the best in each future, limits aside."}}
}

// changes shows what the options change, so that nobody has to trust a name.
func (v *weighed) changes() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 20}, {Head: "Key", Text: true, Wide: 38}, {Head: "Today -> here", Text: true, Wide: 36}}}
	for _, o := range v.Options {
		name := o.Name
		for k, c := range o.Changes {
			if k == changesShown {
				t.add("", fmt.Sprintf("and %d more", len(o.Changes)-k), "")
				break
			}
			t.add(name, c.Path, arrow(c))
			name = ""
		}
	}
	return Part{Heading: "What the options change", Table: t}
}

// method says how the choice was made.
func (v *weighed) method() Part {
	return Part{Heading: "How it was chosen", Text: []string{
		fmt.Sprintf("Options that kept the limits with %s in the first replications, and break no rule on working time, were compared by %s until one was shown to be the best (Kim and Nelson's sequential rule at %g %%, on shared luck); options within %s %s of each other count as equally good. Replication n of all options and futures meets the same luck; the certified figure is from other replications.",
			share(v.Service), v.By, 100*experiment.Level, rough(v.Margin), v.Unit)}}
}
