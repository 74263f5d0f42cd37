package proof

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
)

// calendars is the rows on recurrences and clock changes.
var calendars = []method{
	{id: "I01", path: "calendar.Plan with a rule", run: recurrences},
	{id: "I02", path: "calendar.Plan with a rule", run: recurrences},
	{id: "I03", path: "calendar.Plan with a rule", run: recurrences},
	{id: "I04", path: "calendar.Plan with a rule", run: recurrences},
	{id: "I06", path: "calendar.Date", run: isoWeeks},
	{id: "I07", path: "calendar.Plan with a night shift", run: nightShifts},
	{id: "I08", path: "calendar.Clock", run: clockChanges},
	{id: "I09", path: "calendar.Plan with a rule", run: easters},
}

// must returns what cannot fail.
func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}

// clockAt is the clock that starts at a wall-clock time in a zone.
func clockAt(start, zone string) calendar.Clock {
	return calendar.NewClock(must(calendar.ParseStart(start, zone)))
}

// closedDays returns the dates on which a rule stops a works that is otherwise
// always open, in the five years from a date.
func closedDays(rule, from string) []string {
	const length = 5 * 365 * des.Day
	clock := clockAt(from, "")
	plan := calendar.Plan{Weeks: []calendar.Pattern{must(calendar.ParsePattern("always"))}, Rules: []calendar.Rule{must(calendar.ParseRule(rule))}}
	open := must(plan.Hours(clock, length))
	var closed []string
	for at := des.Time(0); at < length; at += des.Day {
		if !open.IsOpen(at) {
			closed = append(closed, clock.Date(at).String())
		}
	}
	return closed
}

// recurrences runs the rules of the data file that belong to the row. The file
// has the dates in full, which the list abbreviates.
func recurrences(t *trial) {
	lines := csv.NewReader(strings.NewReader(dataFile("rrule_cases.csv")))
	lines.Comment = '#'
	for _, row := range must(lines.ReadAll())[1:] {
		if id := row[0]; id == t.id || strings.TrimRight(id, "ab") == t.id {
			start := row[1]
			from := start[:4] + "-" + start[4:6] + "-" + start[6:8]
			want := strings.ReplaceAll(row[3], "T09:00", "")
			t.same(strings.ReplaceAll(row[2], ";", "; "), strings.Join(closedDays(from+" "+row[2], from), " "), want)
		}
	}
}

func isoWeeks(t *trial) {
	days := list("2005-01-01 2005-12-31 2007-01-01 2007-12-31 2008-12-29 2009-12-31 2010-01-03 2026-01-01 2026-12-31")
	weeks := list("2004-W53-6 2005-W52-6 2007-W01-1 2008-W01-1 2009-W01-1 2009-W53-4 2009-W53-7 2026-W01-4 2026-W53-4")
	for i, day := range days {
		t.same(day, must(calendar.ParseDates(day)).First.Week(), weeks[i])
	}
}

// nightShifts: a shift from 22:00 to 06:00 by the wall clock.
func nightShifts(t *trial) {
	plan := calendar.Plan{Weeks: []calendar.Pattern{must(calendar.ParsePattern("daily 22:00-06:00"))}}
	for _, c := range []struct{ zone, saturday, want string }{
		{"Europe/Berlin", "2026-03-28", "7 h"}, {"Europe/Berlin", "2026-10-24", "9 h"},
		{"America/New_York", "2026-03-07", "7 h"}, {"America/New_York", "2026-10-31", "9 h"},
	} {
		night := must(plan.Hours(clockAt(c.saturday+" 12:00", c.zone), des.Day)).Intervals()[0]
		t.same(c.zone+" "+c.saturday, fmt.Sprintf("%g h", hours(night.Len())), c.want)
	}
}

// clockChanges: what is burning knows nothing of summer time.
func clockChanges(t *trial) {
	end := clockAt("2026-03-28 20:00", "Europe/Berlin").Civil(14 * des.Hour)
	t.same("end of the firing", fmt.Sprintf("%s %s (%s)", end.Format("15:04"), end.Weekday(), end.Format("MST")), "11:00 Sunday (CEST)")
	for _, c := range []struct{ monday, want string }{{"2026-03-23", "167"}, {"2026-10-19", "169"}} {
		clock := clockAt(c.monday, "Europe/London")
		t.same("hours of the week from "+c.monday, hours(clock.Tick(clock.Civil(0).AddDate(0, 0, 7))), c.want)
	}
}

func easters(t *trial) {
	for _, want := range list("2024-03-31 2025-04-20 2026-04-05 2027-03-28 1961-04-02 2000-04-23 2038-04-25") {
		year := must(time.Parse(time.DateOnly, want)).Year()
		t.same(fmt.Sprint(year), slices.Min(closedDays("FREQ=YEARLY;BYEASTER=0", fmt.Sprintf("%d-01-01", year))), want)
	}
}
