package calendar_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
)

// clockAt returns the clock that starts at the wall-clock time in the zone.
func clockAt(t testing.TB, start, zone string) calendar.Clock {
	t.Helper()
	at, err := calendar.ParseStart(start, zone)
	if err != nil {
		t.Fatal(err)
	}
	return calendar.NewClock(at)
}

func pattern(t testing.TB, s string) calendar.Pattern {
	t.Helper()
	p, err := calendar.ParsePattern(s)
	if err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return p
}

func dates(t testing.TB, s string) calendar.Dates {
	t.Helper()
	d, err := calendar.ParseDates(s)
	if err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return d
}

// hours lays the plan over the clock.
func hours(t testing.TB, p calendar.Plan, c calendar.Clock, length des.Time) *des.Hours {
	t.Helper()
	h, err := p.Hours(c, length)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// source: RFC 5545, section 3.8.5.3; the file names how it was obtained.
func TestRecurrences(t *testing.T) {
	file, err := os.Open("../proof/checks/rrule_cases.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines := csv.NewReader(file)
	lines.Comment = '#'
	rows, err := lines.ReadAll()
	if err != nil || len(rows) != 14 {
		t.Fatalf("read %d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		id, start, text := row[0], row[1], row[2]
		want := strings.Fields(strings.ReplaceAll(row[3], "T09:00", ""))
		from := start[:4] + "-" + start[4:6] + "-" + start[6:8]
		rule, err := calendar.ParseRule(from + " " + text)
		if err != nil {
			t.Errorf("%s: %v", id, err)
			continue
		}
		if got := closedDays(t, rule, from); !slices.Equal(got, want) {
			t.Errorf("%s: %s\n got %v\nwant %v", id, text, got, want)
		}
	}
}

// closedDays returns the dates on which a rule stops a works that is otherwise
// always open, in the seven years from a date.
func closedDays(t *testing.T, rule calendar.Rule, from string) []string {
	t.Helper()
	clock := clockAt(t, from, "")
	open := hours(t, calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "always")}, Rules: []calendar.Rule{rule}}, clock, 7*365*des.Day)
	var closed []string
	for at := des.Time(0); at < 7*365*des.Day; at += des.Day {
		if !open.IsOpen(at) {
			closed = append(closed, clock.Date(at).String())
		}
	}
	return closed
}

// source: examples in the "ISO week date" article of Wikipedia, after ISO
// 8601:2004 (from memory).
func TestISOWeeks(t *testing.T) {
	for day, week := range map[string]string{
		"2005-01-01": "2004-W53-6", "2005-12-31": "2005-W52-6", "2007-01-01": "2007-W01-1", "2007-12-31": "2008-W01-1",
		"2008-12-29": "2009-W01-1", "2009-12-31": "2009-W53-4", "2010-01-03": "2009-W53-7", "2026-01-01": "2026-W01-4",
		"2026-12-31": "2026-W53-4",
	} {
		date := dates(t, day).First
		if got := date.Week(); got != week {
			t.Errorf("%s is in %s, want %s", day, got, week)
		}
		run := dates(t, week[:8])
		if !run.Contain(date) || run.Last-run.First != 6 || run.First.Week()[9:] != "1" {
			t.Errorf("%s is %v, want the seven days round %s", week[:8], run, day)
		}
	}
}

// source: clock changes of 2026 in the IANA time zone database.
func TestNightShiftOverClockChange(t *testing.T) {
	for _, tt := range []struct {
		zone, saturday string
		want           des.Time
	}{
		{"Europe/Berlin", "2026-03-28", 7 * des.Hour},
		{"Europe/Berlin", "2026-10-24", 9 * des.Hour},
		{"America/New_York", "2026-03-07", 7 * des.Hour},
		{"America/New_York", "2026-10-31", 9 * des.Hour},
		{"Europe/Berlin", "2026-03-21", 8 * des.Hour},
		{"UTC", "2026-03-28", 8 * des.Hour},
	} {
		plan := calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "daily 22:00-06:00")}}
		clock := clockAt(t, tt.saturday+" 12:00", tt.zone)
		nights := hours(t, plan, clock, 2*des.Day).Intervals()
		if len(nights) != 2 || nights[0].Len() != tt.want || nights[1].Len() != 8*des.Hour {
			t.Errorf("nights of %s in %s are %v, want %v and then 8 h", tt.saturday, tt.zone, nights, tt.want)
		}
		if end := clock.Civil(nights[0].Close); end.Hour() != 6 || end.Minute() != 0 {
			t.Errorf("the night of %s in %s ends at %v, want 06:00", tt.saturday, tt.zone, end)
		}
	}
}

// source: clock changes of 2026 in the IANA time zone database.
func TestElapsedTimeOverClockChange(t *testing.T) {
	lit := clockAt(t, "2026-03-28 20:00", "Europe/Berlin")
	if got := lit.Civil(14 * des.Hour).Format("2006-01-02 15:04 MST"); got != "2026-03-29 11:00 CEST" {
		t.Errorf("a firing of 14 h ends at %s, want 2026-03-29 11:00 CEST", got)
	}
	for start, want := range map[string]des.Time{"2026-03-23": 167 * des.Hour, "2026-10-19": 169 * des.Hour, "2026-06-01": 168 * des.Hour} {
		clock := clockAt(t, start, "Europe/London")
		if got := clock.Tick(clock.Civil(0).AddDate(0, 0, 7)); got != want {
			t.Errorf("the week from %s in London lasts %v, want %v", start, got, want)
		}
	}
}

// source: clock change of 28 March 2027 in the IANA time zone database.
func TestShiftKeepsItsWallClockTime(t *testing.T) {
	plan := calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "Mon-Fri 06:00-14:00")}}
	clock := clockAt(t, "2027-03-22", "Europe/Rome")
	open := hours(t, plan, clock, 14*des.Day).Intervals()
	var starts []string
	for _, i := range open {
		starts = append(starts, clock.Civil(i.Open).UTC().Format("02 15:04"))
	}
	want := []string{"22 05:00", "23 05:00", "24 05:00", "25 05:00", "26 05:00", "29 04:00", "30 04:00", "31 04:00", "01 04:00", "02 04:00"}
	if !slices.Equal(starts, want) {
		t.Errorf("shifts start at %v UTC, want %v", starts, want)
	}
}

// Easter Sundays, from memory; easter computes the same.
var easters = []string{"1961-04-02", "2000-04-23", "2024-03-31", "2025-04-20", "2026-04-05", "2027-03-28", "2038-04-25"}

// easter is the Gregorian computus of Meeus, Jones and Butcher.
// source: J. Meeus, Astronomical Algorithms, 1991, chapter 8 (from memory).
func easter(year int) calendar.Date {
	a, b, c := year%19, year/100, year%100
	d, e := b/4, b%4
	g := (8*b + 13) / 25
	h := (19*a + b - d - g + 15) % 30
	i, k := c/4, c%4
	l := (32 + 2*e + 2*i - h - k) % 7
	m := (a + 11*h + 19*l) / 433
	month := (h + l - 7*m + 90) / 25
	day := (h + l - 7*m + 33*month + 19) % 32
	return calendar.NewDate(year, time.Month(month), day)
}

func TestEaster(t *testing.T) {
	file, err := os.Open("testdata/easter.ics")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	holidays, err := calendar.ReadHolidays(file, calendar.NewDate(1900, 1, 1), calendar.NewDate(2100, 12, 31))
	if err != nil || len(holidays) != len(easters) {
		t.Fatalf("read %v, %v, want %d dates", holidays, err, len(easters))
	}
	rule, err := calendar.ParseRule("FREQ=YEARLY;BYEASTER=0")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range easters {
		day := dates(t, want).First
		year, _ := strconv.Atoi(want[:4])
		if holidays[i].String() != want || easter(year) != day {
			t.Errorf("Easter is %v by file and %v by computus, want %s", holidays[i], easter(year), want)
		}
		if got := closedDays(t, rule, want[:4]+"-01-01")[0]; got != want {
			t.Errorf("Easter is %s by rule, want %s", got, want)
		}
	}
}

// source: arithmetic, 5 days of two shifts of 8 h.
func TestTwoShiftWeek(t *testing.T) {
	plan := calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "Mon-Fri 06:00-14:00 14:00-22:00")}}
	clock := clockAt(t, "2027-01-04", "Europe/Berlin")
	open := hours(t, plan, clock, 13*des.Week)
	for week := range des.Time(13) {
		if got := open.OpenBetween(week*des.Week, (week+1)*des.Week); got != 80*des.Hour {
			t.Errorf("week %d has %v, want 80 h", week, got)
		}
	}
	if got := calendar.WorkingDays(open, clock, 0, 13*des.Week); got != 65 {
		t.Errorf("13 weeks have %d working days, want 65", got)
	}
	if got := plan.Weeks[0].Minutes(); got != 80*60 {
		t.Errorf("the pattern has %d min, want 4800", got)
	}
}
