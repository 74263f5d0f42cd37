package calendar_test

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"potbank/internal/calendar"
	"potbank/internal/quantity"
)

// A reader reads a text and prints what it read.
type reader func(s string) (string, error)

func readPattern(s string) (string, error) {
	p, err := calendar.ParsePattern(s)
	return p.String(), err
}

func readDates(s string) (string, error) {
	d, err := calendar.ParseDates(s)
	return d.String(), err
}

func readExtra(s string) (string, error) {
	e, err := calendar.ParseExtra(s)
	return e.String(), err
}

func readRule(s string) (string, error) {
	r, err := calendar.ParseRule(s)
	return r.String(), err
}

func readStart(s string) (string, error) {
	t, err := calendar.ParseStart(s, "Europe/Berlin")
	return t.Format("2006-01-02 15:04"), err
}

func TestReadAndPrint(t *testing.T) {
	for _, tt := range []struct {
		read       reader
		text, want string
	}{
		{readPattern, "Mon-Fri 06:00-10:00 11:06-14:00, Sat 06:00-12:00", "Mon-Fri 06:00-10:00 11:06-14:00, Sat 06:00-12:00"},
		{readPattern, "Mon Tue Wed 06:00-14:00,Thu-Fri  06:00-14:00", "Mon-Fri 06:00-14:00"},
		{readPattern, "Mon-Fri 06:00-14:00, Mon 14:00-22:00", "Mon 06:00-14:00 14:00-22:00, Tue-Fri 06:00-14:00"},
		{readPattern, "daily 00:00-24:00", "always"},
		{readPattern, " always ", "always"},
		{readPattern, "never", "never"},
		{readPattern, "Fri-Mon 22:00-06:00", "Mon 22:00-06:00, Fri-Sun 22:00-06:00"},
		{readPattern, "Mon-Fri 06:00-14:00 break 10:00-10:30", "Mon-Fri 06:00-10:00 10:30-14:00"},
		{readPattern, "Mon 22:00-06:00 break 23:00-23:30 02:00-02:30", "Mon 22:00-23:00 23:30-06:00 break 02:00-02:30"},
		{readPattern, "Mon 14:00-24:00", "Mon 14:00-24:00"},
		{readPattern, "Mon 14:00-00:00", "Mon 14:00-24:00"},
		{readDates, "2027-12-25", "2027-12-25"},
		{readDates, "2027-08-02..2027-08-15", "2027-08-02..2027-08-15"},
		{readDates, "2027-W31", "2027-08-02..2027-08-08"},
		{readDates, "2027-W31 .. 2027-W32", "2027-08-02..2027-08-15"},
		{readDates, "2026-W53", "2026-12-28..2027-01-03"},
		{readDates, "2028-02-29", "2028-02-29"},
		{readExtra, "2027-05-01 06:00-14:00 break 10:00-10:30", "2027-05-01 06:00-10:00 10:30-14:00"},
		{readRule, " FREQ=MONTHLY;BYDAY=1FR ", "FREQ=MONTHLY;BYDAY=1FR"},
		{readStart, "2027-01-04 06:00", "2027-01-04 06:00"},
	} {
		got, err := tt.read(tt.text)
		if err != nil || got != tt.want {
			t.Errorf("%q reads as %q, %v, want %q", tt.text, got, err, tt.want)
		}
	}
}

// faults lists texts with the place and message that each must give.
var faults = []struct {
	read   reader
	text   string
	offset int
	what   string
}{
	{readPattern, "Mon-Fri 06:00-06:00", 8, "the shift is zero hours long"},
	{readPattern, "Mon-Fri 06:00-14:00 break 10:00-10:00", 26, "the break is zero hours long"},
	{readPattern, "", 0, "no shift is given here"},
	{readPattern, "Mon 06:00-14:00,", 16, "no shift is given here"},
	{readPattern, "Mon 06:00-14:00, Tue", 17, "these days have no shift"},
	{readPattern, "06:00-14:00", 0, "the shift has no days"},
	{readPattern, "Monday 06:00-14:00", 0, `unknown day "Monday"`},
	{readPattern, "Mon-Fry 06:00-14:00", 4, `unknown day "Fry"`},
	{readPattern, "Mon 06:00", 4, `the shift "06:00" has no end`},
	{readPattern, "Mon 6-14", 4, `"6" is not a time of day`},
	{readPattern, "Mon 06:00-14:60", 10, "there is no time 14:60"},
	{readPattern, "Mon 06:00-24:01", 10, "there is no time 24:01"},
	{readPattern, "Mon 0x:00-14:00", 4, `"0x:00" is not a time of day`},
	{readPattern, "Mon 24:00-06:00", 4, "a shift cannot start at 24:00"},
	{readPattern, "Mon 06:00-14:00 13:00-15:00", 16, "the shift overlaps another of the same days"},
	{readPattern, "Mon-Fri 06:00-14:00, Fri 12:00-18:00", 21, "these shifts overlap others on Fri"},
	{readPattern, "Mon 06:00-14:00 break", 16, "no break is given here"},
	{readPattern, "Mon 06:00-14:00 break 14:00-15:00", 22, "the break is not inside a shift"},
	{readPattern, "Mon 06:00-14:00 break 06:00-07:00", 22, "the break is not inside a shift"},
	{readDates, "2027-02-30", 0, "there is no 30 February 2027"},
	{readDates, "2027-02-29", 0, "there is no 29 February 2027"},
	{readDates, "25.12.2027", 0, `"25.12.2027" is not a date`},
	{readDates, "2027-08-15..2027-08-02", 0, "the dates end before they begin"},
	{readDates, "2027-08-15.. 2027-08-32", 13, `"2027-08-32" is not a date`},
	{readDates, "2027-W53", 0, "there is no week 2027-W53"},
	{readDates, "2027-W00", 0, "there is no week 2027-W00"},
	{readDates, "2027-Wxx", 0, "there is no week 2027-Wxx"},
	{readDates, "", 0, `"" is not a date`},
	{readExtra, "2027-05-01", 0, "the extra shift needs a date and times"},
	{readExtra, "2027-W31 06:00-14:00", 0, "an extra shift has one date, not a week"},
	{readExtra, "2027-02-30 06:00-14:00", 0, "there is no 30 February 2027"},
	{readExtra, "2027-05-01 Mon 06:00-14:00", 11, `"Mon" is not a shift`},
	{readExtra, "2027-05-01 06:00-06:00", 11, "the shift is zero hours long"},
	{readRule, "FREQ=SECONDLY", 0, "FREQ=SECONDLY repeats within a day, but the works closes for whole days"},
	{readRule, "INTERVAL=2;FREQ=MINUTELY", 11, "FREQ=MINUTELY repeats within a day, but the works closes for whole days"},
	{readRule, "FREQ=DAILY;BYHOUR=6", 11, "BYHOUR has no meaning for whole days"},
	{readRule, "2027-01-08 FREQ=DAILY;COUNT=-1", 22, "COUNT=-1: COUNT and INTERVAL cannot be negative"},
	{readRule, "FREQ=DAILY;BYMONTH=13", 11, "BYMONTH=13: bymonth must be between 1 and 12"},
	{readRule, "FREQ=DAILY;DTSTART=20270101", 11, "DTSTART is not part of a rule"},
	{readRule, "FREQ=OFTEN", 0, "FREQ=OFTEN: undefined frequency: OFTEN"},
	{readRule, "BYDAY=MO", 0, "the rule has no FREQ"},
	{readRule, "every Friday of May", 0, "a rule is one word, after a date if there is one"},
	{readRule, "2027-02-30 FREQ=DAILY", 0, "there is no 30 February 2027"},
	{readStart, "2027-03-28 02:30", 0, "2027-03-28 02:30 is skipped in Europe/Berlin, where the clocks go forward then"},
	{readStart, "2027-02-30 06:00", 0, "there is no 30 February 2027"},
	{readStart, "  2027-02-30", 2, "there is no 30 February 2027"},
	{readStart, "2027-01-04 25:00", 11, `"25:00" is not a time of day`},
	{readStart, "2027-W01", 0, `"2027-W01" is not a date and time`},
	{readStart, "tomorrow", 0, `"tomorrow" is not a date and time`},
}

func TestFaults(t *testing.T) {
	for _, tt := range faults {
		got, err := tt.read(tt.text)
		var fault *quantity.Fault
		if !errors.As(err, &fault) {
			t.Errorf("%q reads as %q, %v, want a Fault", tt.text, got, err)
			continue
		}
		if fault.Offset != tt.offset || fault.What != tt.what || fault.Hint == "" {
			t.Errorf("%q gave\n  %d: %s; hint: %s\nwant\n  %d: %s", tt.text, fault.Offset, fault.What, fault.Hint, tt.offset, tt.what)
		}
	}
}

// FuzzText reads any text as every part of a calendar. What is accepted
// survives printing; what is refused points into the text.
func FuzzText(f *testing.F) {
	for _, seed := range []string{
		"Mon-Fri 06:00-14:00 break 10:00-10:30, Sat 22:00-06:00", "always", "2027-08-02..2027-08-15", "2027-W31", "2027-05-01 06:00-14:00",
		"2027-01-08 FREQ=WEEKLY;INTERVAL=2;BYDAY=-1FR", "FREQ=YEARLY;BYEASTER=-2;UNTIL=20300101", "2027-01-04 06:00", "\u00a0\xff,", "Mon 06:00-14:00,,",
	} {
		f.Add(seed)
	}
	readers := []reader{readPattern, readDates, readExtra, readRule, readStart}
	f.Fuzz(func(t *testing.T, text string) {
		for i, read := range readers {
			printed, err := read(text)
			if err == nil {
				if again, err := read(printed); err != nil || again != printed {
					t.Errorf("reader %d: %q printed as %q, which reads as %q, %v", i, text, printed, again, err)
				}
				continue
			}
			var fault *quantity.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("reader %d: %q gave %T", i, text, err)
			}
			if fault.What == "" || fault.Offset < 0 || fault.Offset > utf8.RuneCountInString(text) {
				t.Errorf("reader %d: %q gave %+v", i, text, fault)
			}
		}
	})
}

// FuzzHolidays reads any text as an iCalendar file. It must return, and what
// it returns must be sorted and lie within the dates asked for.
func FuzzHolidays(f *testing.F) {
	for _, body := range []string{"DTSTART;VALUE=DATE:20270101\r\n", "DTSTART:20270101T120000Z\r\nDURATION:P2D\r\nRRULE:FREQ=YEARLY\r\n", "DTSTART;VALUE=DATE:20270101\r\nRDATE:20270102\r\nEXDATE:20270101\r\n"} {
		f.Add("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n" + body + "END:VEVENT\r\nEND:VCALENDAR\r\n")
	}
	from, to := calendar.NewDate(2027, 1, 1), calendar.NewDate(2028, 12, 31)
	f.Fuzz(func(t *testing.T, text string) {
		holidays, err := calendar.ReadHolidays(strings.NewReader(text), from, to)
		if err != nil {
			return
		}
		next := from
		for _, d := range holidays {
			if d.First < next || d.Last < d.First || d.Last > to {
				t.Fatalf("%q gave %v", text, holidays)
			}
			next = d.Last + 2
		}
	})
}
