package calendar_test

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/quantity"
)

// civil prints hours by the wall clock: "Mon 04 06:00-14:00".
func civil(h *des.Hours, c calendar.Clock) []string {
	var text []string
	for _, i := range h.Intervals() {
		text = append(text, c.Civil(i.Open).Format("Mon 02 15:04")+"-"+c.Civil(i.Close).Format("15:04"))
	}
	return text
}

// monday is the first day of most cases.
const monday = "2027-01-04"

func extra(t testing.TB, s string) []calendar.Extra {
	t.Helper()
	e, err := calendar.ParseExtra(s)
	if err != nil {
		t.Fatal(err)
	}
	return []calendar.Extra{e}
}

func rule(t testing.TB, s string) []calendar.Rule {
	t.Helper()
	r, err := calendar.ParseRule(s)
	if err != nil {
		t.Fatal(err)
	}
	return []calendar.Rule{r}
}

func weeks(t testing.TB, patterns ...string) (weeks []calendar.Pattern) {
	t.Helper()
	for _, s := range patterns {
		weeks = append(weeks, pattern(t, s))
	}
	return weeks
}

// A planCase is a plan and the hours it must give, in Europe/Berlin.
type planCase struct {
	reason string
	start  string
	length des.Time
	plan   calendar.Plan
	want   []string
}

func checkPlans(t *testing.T, cases []planCase) {
	t.Helper()
	for _, tt := range cases {
		clock := clockAt(t, tt.start, "Europe/Berlin")
		h := hours(t, tt.plan, clock, tt.length)
		if got := civil(h, clock); !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got %q\nwant %q", tt.reason, got, tt.want)
		}
	}
}

func TestShifts(t *testing.T) {
	checkPlans(t, []planCase{
		{"the zero plan", monday, des.Week, calendar.Plan{}, nil},
		{"never", monday, des.Week, calendar.Plan{Weeks: weeks(t, "never")}, nil},
		{"always is one interval", monday, des.Week, calendar.Plan{Weeks: weeks(t, "always")}, []string{"Mon 04 00:00-00:00"}},
		{"no length", monday, 0, calendar.Plan{Weeks: weeks(t, "always")}, nil},
		{"two groups of days", monday, des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-10:00 11:06-14:00, Sat 06:00-12:00")},
			[]string{"Mon 04 06:00-10:00", "Mon 04 11:06-14:00", "Sat 09 06:00-12:00"}},
		{"a break after midnight", monday, 2 * des.Day, calendar.Plan{Weeks: weeks(t, "Mon 22:00-06:00 break 02:00-02:30")},
			[]string{"Mon 04 22:00-02:00", "Tue 05 02:30-06:00"}},
		{"days across the weekend", monday, des.Week, calendar.Plan{Weeks: weeks(t, "Sun-Mon 06:00-14:00")},
			[]string{"Mon 04 06:00-14:00", "Sun 10 06:00-14:00"}},
		{"the shift before the start reaches in", monday, des.Day, calendar.Plan{Weeks: weeks(t, "Sun 22:00-06:00")}, []string{"Mon 04 00:00-06:00"}},
		{"start and length cut shifts", "2027-01-04 08:00", 4 * des.Hour, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00")}, []string{"Mon 04 08:00-12:00"}},
		{"three shifts join", monday, des.Day, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00 14:00-22:00 22:00-06:00")}, []string{"Mon 04 06:00-00:00"}},
		{"weeks in rotation", monday, 3 * des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00", "Tue 14:00-22:00")},
			[]string{"Mon 04 06:00-14:00", "Tue 12 14:00-22:00", "Mon 18 06:00-14:00"}},
		{"a week in rotation ends on Sunday", monday, 2 * des.Week, calendar.Plan{Weeks: weeks(t, "Sun 06:00-14:00", "Sun 14:00-22:00")},
			[]string{"Sun 10 06:00-14:00", "Sun 17 14:00-22:00"}},
		{"rotation counted from a later week", monday, 2 * des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00", "Tue 14:00-22:00"), From: dates(t, "2027-01-14").First},
			[]string{"Tue 05 14:00-22:00", "Mon 11 06:00-14:00"}},
		{"rotation starts with the week of a midweek start", "2027-01-07", des.Week, calendar.Plan{Weeks: weeks(t, "Fri 06:00-14:00", "Mon 06:00-14:00")},
			[]string{"Fri 08 06:00-14:00", "Mon 11 06:00-14:00"}},
	})
}

func TestExceptions(t *testing.T) {
	checkPlans(t, []planCase{
		{"a closed date", monday, 3 * des.Day, calendar.Plan{Weeks: weeks(t, "daily 06:00-14:00"), Closed: []calendar.Dates{dates(t, "2027-01-05")}},
			[]string{"Mon 04 06:00-14:00", "Wed 06 06:00-14:00"}},
		{"a closed date ends no night shift that began before", monday, 3 * des.Day, calendar.Plan{Weeks: weeks(t, "daily 22:00-06:00"), Closed: []calendar.Dates{dates(t, "2027-01-05")}},
			[]string{"Mon 04 00:00-06:00", "Mon 04 22:00-06:00", "Wed 06 22:00-00:00"}},
		{"a shutdown week", monday, 3 * des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00"), Closed: []calendar.Dates{dates(t, "2027-W02")}},
			[]string{"Mon 04 06:00-14:00", "Mon 18 06:00-14:00"}},
		{"a holiday", monday, 2 * des.Day, calendar.Plan{Weeks: weeks(t, "daily 06:00-14:00"), Holidays: []calendar.Dates{dates(t, "2027-01-04")}},
			[]string{"Tue 05 06:00-14:00"}},
		{"every second Monday closed", monday, 3 * des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00"), Rules: rule(t, "FREQ=WEEKLY;INTERVAL=2")},
			[]string{"Mon 11 06:00-14:00"}},
		{"the other Mondays closed", monday, 3 * des.Week, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00"), Rules: rule(t, "2026-12-28 FREQ=WEEKLY;INTERVAL=2")},
			[]string{"Mon 04 06:00-14:00", "Mon 18 06:00-14:00"}},
		{"an extra shift on a closed date", monday, des.Week, calendar.Plan{Closed: []calendar.Dates{dates(t, "2027-01-09")}, Extra: extra(t, "2027-01-09 06:00-10:00 10:30-12:00")},
			[]string{"Sat 09 06:00-10:00", "Sat 09 10:30-12:00"}},
		{"an extra shift lengthens one of the pattern", monday, des.Day, calendar.Plan{Weeks: weeks(t, "Mon 06:00-14:00"), Extra: extra(t, "2027-01-04 12:00-16:00")},
			[]string{"Mon 04 06:00-16:00"}},
		{"an extra shift beyond the end", monday, des.Day, calendar.Plan{Extra: extra(t, "2030-01-04 12:00-16:00")}, nil},
		{"a shift end that the clocks skip comes an hour later", "2027-03-28", des.Day, calendar.Plan{Weeks: weeks(t, "Sun 00:00-02:30")},
			[]string{"Sun 28 00:00-03:30"}},
		{"a shift start that occurs twice is the first", "2027-10-31", 4 * des.Hour, calendar.Plan{Weeks: weeks(t, "Sun 02:30-03:00")},
			[]string{"Sun 31 02:30-03:00"}},
		{"a shift within the skipped hour is worked after it", "2027-03-28", des.Day, calendar.Plan{Weeks: weeks(t, "Sun 02:15-03:10")}, nil},
	})
}

func TestRepeatedHourIsOpenTwice(t *testing.T) {
	clock := clockAt(t, "2027-10-31", "Europe/Berlin")
	h := hours(t, calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "Sun 02:30-03:00")}}, clock, des.Day)
	if got := h.OpenBetween(0, des.Day); got != 90*des.Minute {
		t.Errorf("02:30-03:00 in the night when 02:00-03:00 comes twice is open %v, want 1 h 30 min", got)
	}
}

func TestPlanRefuses(t *testing.T) {
	clock := clockAt(t, "2027-01-04", "")
	for _, length := range []des.Time{-1, 8000 * 366 * des.Day} {
		if _, err := (calendar.Plan{}).Hours(clock, length); err == nil {
			t.Errorf("a length of %v was accepted", length)
		}
	}
	daily, err := calendar.ParseRule("1027-01-04 FREQ=DAILY")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := (calendar.Plan{Rules: []calendar.Rule{daily}}).Hours(clock, des.Week); err == nil || !strings.Contains(err.Error(), "more than 100000 dates") {
		t.Errorf("a thousand years of days gave %v", err)
	}
}

// A rule that matches no day must end too, and soon.
func TestEmptyRuleEnds(t *testing.T) {
	rule, err := calendar.ParseRule("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30")
	if err != nil {
		t.Fatal(err)
	}
	plan := calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "always")}, Rules: []calendar.Rule{rule, {}}}
	h := hours(t, plan, clockAt(t, "2027-01-04", ""), des.Week)
	if got := h.OpenBetween(0, des.Week); got != des.Week {
		t.Errorf("30 February closed the works: open for %v", got)
	}
}

func TestWorkingDays(t *testing.T) {
	clock := clockAt(t, "2027-01-04", "Europe/Berlin")
	night := hours(t, calendar.Plan{Weeks: []calendar.Pattern{pattern(t, "Mon Wed 22:00-06:00")}}, clock, des.Week)
	for _, tt := range []struct {
		a, b   des.Time
		want   int
		reason string
	}{
		{0, des.Week, 4, "each night counts on two dates"},
		{0, des.Day, 1, "the first half of a night"},
		{0, 22 * des.Hour, 0, "up to the start of the night"},
		{0, 22*des.Hour + 1, 1, "and 1 ms of it"},
		{des.Day + 6*des.Hour, 2 * des.Day, 0, "from the end of a night"},
		{des.Day, 0, 0, "an empty span of time"},
	} {
		if got := calendar.WorkingDays(night, clock, tt.a, tt.b); got != tt.want {
			t.Errorf("%v to %v has %d working days, want %d (%s)", tt.a, tt.b, got, tt.want, tt.reason)
		}
	}
}

func TestReadHolidays(t *testing.T) {
	file, err := os.Open("testdata/holidays.ics")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	holidays, err := calendar.ReadHolidays(file, dates(t, "2027-01-01").First, dates(t, "2028-12-25").First)
	if err != nil {
		t.Fatal(err)
	}
	want := "2027-01-01 2027-01-05 2027-01-12 2027-02-02 2027-02-09 2027-02-16 2027-02-23 " + // 8 Tuesdays less 2
		"2027-05-03 2027-05-07 2027-05-11 2027-08-02..2027-08-15 2027-10-01..2027-10-02 2027-12-25..2027-12-26 2028-12-25"
	var got []string
	for _, d := range holidays {
		got = append(got, d.String())
	}
	if strings.Join(got, " ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, " "), want)
	}
}

func TestReadHolidaysRefuses(t *testing.T) {
	event := func(lines string) string {
		return "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nSUMMARY:Fair\r\n" + lines + "\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
	}
	for _, tt := range []struct{ text, want string }{
		{"", "cut short"},
		{"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", "cut short"},
		{"<html></html>", "not an iCalendar file"},
		{"BEGIN:VCALENDAR\r\nDTSTART;VALUE=\r\n", "a line ends within a parameter"},
		{"BEGIN:VEVENT\r\nEND:VEVENT\r\n", "not an iCalendar file"},
		{"BEGIN:VCALENDAR\r\n" + strings.Repeat("X-LONG:"+strings.Repeat("x", 60)+"\r\n", 20_000), "larger than 1 MiB"},
		{"BEGIN:VCALENDAR\r\n" + strings.Repeat("BEGIN:VEVENT\r\nDTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=YEARLY\r\nEND:VEVENT\r\n", 101) + "END:VCALENDAR\r\n", "more than 100 recurring events"},
		{event("UID:1"), `event "Fair": it has no start`},
		{event("DTSTART;VALUE=DATE:20270230"), `event "Fair"`},
		{event("DTSTART;VALUE=DATE:20270101\r\nDTEND;VALUE=DATE:20300101"), "it lasts 1096 days; the limit is 366"},
		{event("DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=SECONDLY"), "repeats within a day"},
		{event("DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY;BYHOUR=1"), "repeats within a day"},
		{event("DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY;COUNT=-1"), "cannot be negative"},
		{event("DTSTART;VALUE=DATE:20270101\r\nRRULE:nonsense"), `event "Fair"`},
		{event("DTSTART;VALUE=DATE:20270101\r\nEXDATE:soon"), `"soon" is not a date`},
		{event("DTSTART;VALUE=DATE:20270101\r\nRDATE:soon"), `"soon" is not a date`},
		{event("DTSTART;VALUE=DATE:20270101\r\nSTATUS:PERHAPS"), `event "Fair"`},
		{event("DTSTART;VALUE=DATE:20270101\r\nDTEND:soon"), `event "Fair"`},
	} {
		_, err := calendar.ReadHolidays(strings.NewReader(tt.text), calendar.NewDate(2027, 1, 1), calendar.NewDate(2027, 12, 31))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%.60q gave %v, want %q", tt.text, err, tt.want)
		}
	}
}

func TestParseStart(t *testing.T) {
	for _, tt := range []struct{ text, zone, want string }{
		{"2027-01-04 06:00", "", "2027-01-04T06:00:00Z"},
		{" 2027-01-04 ", "", "2027-01-04T00:00:00Z"},
		{"2027-01-04 06:00", "Europe/Berlin", "2027-01-04T06:00:00+01:00"},
		{"2027-10-31 02:30", "Europe/Berlin", "2027-10-31T02:30:00+02:00"}, // the first of two
	} {
		got, err := calendar.ParseStart(tt.text, tt.zone)
		if err != nil || got.Format("2006-01-02T15:04:05Z07:00") != tt.want {
			t.Errorf("%q in %q is %v, %v, want %s", tt.text, tt.zone, got, err, tt.want)
		}
	}
	for _, zone := range []string{"Local", "Europe/Atlantis", "../etc/passwd"} {
		_, err := calendar.ParseStart("2027-01-04", zone)
		var fault *quantity.Fault
		if !errors.As(err, &fault) || fault.Hint == "" {
			t.Errorf("zone %q gave %v", zone, err)
		}
	}
}
