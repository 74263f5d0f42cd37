package decision_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/decision"
	"potbank/internal/des"
)

// laid lays weekly patterns over ten weeks from a Monday at six.
func laid(t *testing.T, weeks ...string) (*des.Hours, calendar.Clock) {
	t.Helper()
	clock := calendar.NewClock(time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC))
	var plan calendar.Plan
	for _, w := range weeks {
		p, err := calendar.ParsePattern(w)
		if err != nil {
			t.Fatal(err)
		}
		plan.Weeks = append(plan.Weeks, p)
	}
	h, err := plan.Hours(clock, 10*des.Week)
	if err != nil {
		t.Fatal(err)
	}
	return h, clock
}

// houseRules are those of the tests; they are nobody's law.
var houseRules = decision.WorkingTime{
	WeekMean: 48 * des.Hour, WeekMost: 60 * des.Hour, Shift: 10 * des.Hour, DailyRest: 11 * des.Hour,
	WeeklyRest: 35 * des.Hour, Nights: 4, NightFrom: 3 * des.Hour, Break: 4 * des.Hour,
}

// TestBreaches holds each rule on rotas whose breaches are counted by hand over
// nine weeks.
func TestBreaches(t *testing.T) {
	night, _ := laid(t, "daily 23:00-06:00")
	for _, c := range []struct {
		name  string
		weeks []string
		want  []string
	}{
		{"five early shifts", []string{"Mon-Fri 06:00-14:00"}, nil},
		{"a break of two hours is no rest", []string{"Mon-Fri 06:00-10:00 12:00-16:00"}, nil},
		// Seven times eight hours, and sixteen hours from each shift to the next.
		{"every day", []string{"daily 06:00-14:00"}, []string{"hours a week, mean: 56 h (1)", "longest rest in a week: 16 h (8)"}},
		{"long days", []string{"Mon-Fri 06:00-18:00"}, []string{"hours a week, mean: 60 h (1)", "longest shift: 12 h (45)"}},
		// Late on Monday, early on Tuesday: eight hours between, once a week.
		{"a quick return", []string{"Mon 14:00-22:00, Tue-Fri 06:00-14:00"}, []string{"rest between shifts: 8 h (9)"}},
		// The fifth night in a row is the fault, once a week; nights end on Saturday.
		{"five nights", []string{"Mon-Fri 22:00-06:00"}, []string{"nights in a row: 5 or more (9)"}},
		{"four nights", []string{"Mon-Thu 22:00-06:00"}, nil},
		// Three weeks in rotation: nights until Saturday 06:00, then early on Monday.
		// Every third week has five nights.
		{"rotating", []string{"Mon-Fri 06:00-14:00", "Mon-Fri 14:00-22:00", "Mon-Fri 22:00-06:00"}, []string{"nights in a row: 5 or more (3)"}},
		// Two hours after 23:00 make no night shift.
		{"late but no nights", []string{"Mon-Fri 17:00-01:00"}, nil},
		// What is just at a limit keeps it: eleven hours from each of the first three
		// shifts of ten to the next, two nights, 3 x 10 + 2 x 9 = 48 h a week.
		{"quick returns at the limit", []string{"Mon 06:00-16:00, Tue 03:00-13:00, Wed 00:00-10:00, Thu-Fri 08:00-17:00"}, nil},
		// From Saturday 19:00 to the end of the week on Monday 06:00 are 35 h.
		{"weekly rest at the limit", []string{"Mon-Sat 11:00-19:00"}, nil},
		// Five weeks of 60 h and four of 33 are 432 h, 48 h a week.
		{"week at the limit", []string{"Mon-Sat 06:00-16:00", "Mon-Thu 06:00-14:15"}, nil},
		{"four hours are no break", []string{"Mon 06:00-10:00 14:00-18:00"}, []string{"rest between shifts: 4 h (9)"}},
		{"one week too long", []string{"Mon-Sat 06:00-17:00", "Mon-Thu 06:00-10:00"}, []string{"hours in a week: 66 h (5)", "longest shift: 11 h (30)"}},
	} {
		h, clock := laid(t, c.weeks...)
		var got []string
		for _, b := range houseRules.Check("crew", h, night, clock, 9*des.Week) {
			got = append(got, fmt.Sprintf("%s: %s (%d)", b.Rule, b.Worst, b.Times))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	h, clock := laid(t, "daily 00:00-24:00")
	if got := (decision.WorkingTime{}).Check("nobody", h, night, clock, 9*des.Week); got != nil {
		t.Errorf("without rules there is %v", got)
	}
}

// TestBreachesOfPlantA holds that every crew is looked at once, that the placers
// who feed the kiln in turns are not taken for one person, and that a rota of
// them is looked at instead.
func TestBreachesOfPlantA(t *testing.T) {
	p := plantAToday(t)
	night, _ := laid(t, "daily 23:00-06:00")
	found, unchecked, err := houseRules.Breaches(p, night, nil)
	if err != nil || found != nil || !slices.Equal(unchecked, []string{"place-week", "place-weekend"}) {
		t.Errorf("Plant A breaks %v, not looked at: %v, %v", found, unchecked, err)
	}
	rota := decision.Rota{Hours: "place-week", Weeks: []string{"Mon-Fri 06:00-14:00", "Mon-Fri 14:00-22:00", "Mon-Fri 22:00-06:00"}}
	found, unchecked, err = houseRules.Breaches(p, night, []decision.Rota{rota})
	if err != nil || !slices.Equal(unchecked, []string{"place-weekend"}) || len(found) != 1 || found[0].Who != "place-week (rota)" || found[0].Rule != "nights in a row" || found[0].Times != 3 {
		t.Errorf("with a rota Plant A breaks %+v, not looked at: %v, %v", found, unchecked, err)
	}
	if _, _, err = houseRules.Breaches(p, night, []decision.Rota{{Hours: "place-week", Weeks: []string{"Mon-Fri 6-14"}}}); err == nil {
		t.Error("a rota that cannot be read is looked at")
	}
}
