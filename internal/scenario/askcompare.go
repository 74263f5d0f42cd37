package scenario

import (
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/quantity"
)

// CompareSection is what a comparison of shift patterns, or of whatever options,
// asks besides them and the futures: the terms on which money is weighed, what
// counts as night, and the rules on working time that must be kept.
type CompareSection struct {
	Rate     quantity.Share `key:"interest" default:"8 %" doc:"interest on capital, a year"`
	Weeks    int            `key:"weeks-a-year" default:"50" doc:"weeks worked in a year, over which capital and upkeep are spread"`
	Night    string         `key:"night" default:"daily 23:00-06:00" doc:"hours that count as night"`
	Contract des.Time       `key:"contract" default:"40 h" doc:"hours a week of one person, from which the people on the books are reckoned"`
	Absence  quantity.Share `key:"absence" default:"0 %" doc:"share of contract hours in which a person is away, for the same"`
	Rules    *RulesSection  `key:"rules" optional:"yes" doc:"rules on working time to hold the rotas against; none is built in: state those of your law and agreements"`
	Rotas    []RotaSection  `key:"rotas" optional:"yes" doc:"by working hours that several people share, such as those round the clock: the weeks of one of them"`
	Trials   int            `key:"trials" default:"3" doc:"pairs of runs at either end of each of the inputs, to see whether the answer flips there"`
}

// RulesSection is limits on working time; what is left out is not looked at.
type RulesSection struct {
	Source     string   `key:"source" optional:"yes" doc:"where the rules are from, shown on the answer"`
	WeekMean   des.Time `key:"weekly-hours" optional:"yes" doc:"most hours a week, mean over the rota"`
	WeekMost   des.Time `key:"hours-in-a-week" optional:"yes" doc:"most hours in any week"`
	Shift      des.Time `key:"shift" optional:"yes" doc:"longest shift, breaks included"`
	DailyRest  des.Time `key:"daily-rest" optional:"yes" doc:"least time from one shift to the next, such as 11 h"`
	WeeklyRest des.Time `key:"weekly-rest" optional:"yes" doc:"least longest rest in any week, such as 35 h"`
	Nights     int      `key:"nights-in-a-row" optional:"yes" doc:"most night shifts on successive days"`
	NightFrom  des.Time `key:"night-shift-from" default:"3 h" doc:"hours of night that make a shift a night shift"`
	Break      des.Time `key:"break-below" default:"4 h" doc:"a shorter gap is a break within a shift, not a rest"`
}

// RotaSection is how one person works hours that several share.
type RotaSection struct {
	Name  string   `key:"-"`
	Weeks []string `key:"weeks" doc:"one weekly pattern, or several that rotate: Mon-Fri 06:00-14:00"`
}

// compare checks the section of a comparison.
func (r *asker) compare(d *decoder) {
	s := r.asked.Compare
	if s == nil {
		return
	}
	if s.Weeks < 1 || s.Weeks > 53 {
		r.fault(d.places["compare.weeks-a-year"], "give the weeks worked, such as 50", "a year of %d weeks", s.Weeks)
	}
	if s.Trials < 2 || s.Trials > 100 {
		r.fault(d.places["compare.trials"], "give 2 or more", "%d pairs of runs tell nothing, or take too long", s.Trials)
	}
	if s.Contract <= 0 || s.Contract > des.Week {
		r.fault(d.places["compare.contract"], "give the hours a week of one person, such as 40 h", "a contract of %s", quantity.FormatTime(int64(s.Contract)))
	}
	if s.Absence >= 1 {
		r.fault(d.places["compare.absence"], "give a share below 100 %", "nobody is ever there")
	}
	r.pattern(d, "compare.night", s.Night)
	var hours []string
	for _, e := range d.names["hours"] {
		hours = append(hours, e.key)
	}
	for _, o := range r.asked.Options {
		if o.Changes.Any() {
			if set, ok := o.Changes.tree.find("hours"); ok {
				for _, e := range set.entries {
					hours = append(hours, e.key)
				}
			}
		}
	}
	for _, rota := range s.Rotas {
		at := "compare.rotas." + rota.Name
		if !slices.Contains(hours, rota.Name) {
			hint := "name working hours of the works or of an option"
			if near, ok := nearest(rota.Name, hours); ok {
				hint = "did you mean " + near + "?"
			}
			r.fault(d.places[at], hint, "there are no hours %q", rota.Name)
		}
		for _, w := range rota.Weeks {
			r.pattern(d, at+".weeks", w)
		}
	}
}

// pattern refuses a week of shifts that cannot be read.
func (r *asker) pattern(d *decoder, path, text string) {
	if _, err := calendar.ParsePattern(text); err != nil {
		r.fault(d.places[path], "write such as daily 23:00-06:00 or Mon-Fri 06:00-14:00", "%s", err)
	}
}
