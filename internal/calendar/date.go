package calendar

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"potbank/internal/quantity"
)

// A Date is a civil date as the number of days since 1970-01-01 in the
// Gregorian calendar, so that dates order and subtract as integers.
type Date int32

const (
	dayLayout     = "2006-01-02"
	secondsPerDay = 86_400
)

// NewDate returns the date of a year, month and day. A day beyond the end of
// its month runs on into the next, as in time.Date.
func NewDate(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)
}

// DateOf returns the date that t shows in its own zone.
func DateOf(t time.Time) Date { return NewDate(t.Date()) }

// utc returns the start of the date in UTC, where every day has 24 hours.
func (d Date) utc() time.Time { return time.Unix(int64(d)*secondsPerDay, 0).UTC() }

// weekday counts from 0 for Monday, the first day of the ISO 8601 week.
func (d Date) weekday() int { return (int(d.utc().Weekday()) + 6) % 7 }

// monday returns the Monday of the date's week. Weeks begin on Monday
// throughout, whatever the local custom.
func (d Date) monday() Date { return d - Date(d.weekday()) }

// String prints the date as 2027-01-04.
func (d Date) String() string { return d.utc().Format(dayLayout) }

// Week returns the ISO 8601 week date, 2027-W01-1 for Monday 2027-01-04. The
// week's year can differ from the date's own.
func (d Date) Week() string {
	year, week := d.utc().ISOWeek()
	return fmt.Sprintf("%04d-W%02d-%d", year, week, d.weekday()+1)
}

// Dates is a run of dates, both ends included.
type Dates struct{ First, Last Date }

// Contain reports whether d is one of the dates.
func (r Dates) Contain(d Date) bool { return r.First <= d && d <= r.Last }

// String prints one date, or the first and last as 2027-08-02..2027-08-15.
func (r Dates) String() string {
	if r.First == r.Last {
		return r.First.String()
	}
	return r.First.String() + ".." + r.Last.String()
}

// ParseDates reads a date (2027-12-25), an ISO 8601 week (2027-W31) or a run
// of either from the first to the last, both included
// (2027-08-02..2027-08-15, 2027-W31..2027-W33).
func ParseDates(s string) (Dates, error) {
	head, tail, isRun := strings.Cut(s, "..")
	first, err := parseDay(head, 0)
	if err != nil || !isRun {
		return first, err
	}
	last, err := parseDay(tail, characters(head)+2)
	if err != nil {
		return Dates{}, err
	}
	if last.Last < first.First {
		return Dates{}, &quantity.Fault{What: "the dates end before they begin",
			Hint: "did you mean " + strings.TrimSpace(tail) + ".." + strings.TrimSpace(head) + "?"}
	}
	return Dates{first.First, last.Last}, nil
}

// parseDay reads one date or week. Its text begins offset characters into the
// text that faults refer to.
func parseDay(s string, offset int) (Dates, error) {
	offset += leadingSpace(s)
	s = strings.TrimSpace(s)
	if isWeek(s) {
		return parseWeek(s, offset)
	}
	t, err := time.Parse(dayLayout, s)
	if err == nil {
		return Dates{DateOf(t), DateOf(t)}, nil
	}
	var year, day int
	var month time.Month
	if _, scan := fmt.Sscanf(s, "%4d-%2d-%2d", &year, &month, &day); scan == nil && len(s) == len(dayLayout) &&
		1 <= month && month <= 12 && 1 <= day && day <= 31 {
		return Dates{}, &quantity.Fault{Offset: offset, What: fmt.Sprintf("there is no %d %s %d", day, month, year), Hint: "check the date"}
	}
	return Dates{}, &quantity.Fault{Offset: offset, What: fmt.Sprintf("%q is not a date", s), Hint: "write a date such as 2027-12-25 or a week such as 2027-W31"}
}

// isWeek tells whether a text is meant as a week such as 2027-W31. The year must
// be digits: scanning would let a sign or a space pass for one.
func isWeek(s string) bool {
	return len(s) == len("2027-W31") && s[4:6] == "-W" && strings.Trim(s[:4], "0123456789") == ""
}

// parseWeek reads an ISO 8601 week: the first of a year is the one that holds
// 4 January.
func parseWeek(s string, offset int) (Dates, error) {
	var year, week int
	_, err := fmt.Sscanf(s, "%4d-W%2d", &year, &week)
	monday := NewDate(year, time.January, 4).monday() + Date(7*(week-1))
	run := Dates{monday, monday + 6}
	if err != nil || run.String() == "" || !strings.HasPrefix(monday.Week(), s) {
		return Dates{}, &quantity.Fault{Offset: offset, What: fmt.Sprintf("there is no week %s", s), Hint: "weeks run from W01 to W52, in some years W53"}
	}
	return run, nil
}

// mergeDates returns the same dates as sorted runs that neither overlap nor
// touch.
func mergeDates(runs []Dates) []Dates {
	sorted := slices.Clone(runs)
	slices.SortFunc(sorted, func(a, b Dates) int { return int(a.First) - int(b.First) })
	var merged []Dates
	for _, r := range sorted {
		if n := len(merged); n > 0 && r.First <= merged[n-1].Last+1 {
			merged[n-1].Last = max(merged[n-1].Last, r.Last)
			continue
		}
		merged = append(merged, r)
	}
	return merged
}

// contains reports whether d lies in the merged runs, by bisection: it is asked
// for every date of a run of years.
func contains(merged []Dates, d Date) bool {
	i, _ := slices.BinarySearchFunc(merged, d, func(r Dates, d Date) int { return int(r.Last) - int(d) })
	return i < len(merged) && merged[i].Contain(d)
}
