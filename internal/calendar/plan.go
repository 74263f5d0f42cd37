package calendar

import (
	"time"

	"potbank/internal/des"
)

// A Plan is a works calendar. The zero Plan is never open.
type Plan struct {
	// Weeks are the shift patterns that follow one another, a week each, and
	// then start again. Mostly there is one.
	Weeks []Pattern
	// From is any date in a week that works Weeks[0]. Zero means the week in
	// which the simulation starts.
	From Date
	// Closed are dates without work: single days and shutdown weeks.
	Closed []Dates
	// Holidays are closed dates too, from ReadHolidays.
	Holidays []Dates
	// Rules close the dates that they fall on.
	Rules []Rule
	// Extra are dated shifts worked in addition, on closed dates too.
	Extra []Extra
}

// Extra is the shifts of one date, worked in addition to the pattern.
type Extra struct {
	Date  Date
	spans []span
}

// ParseExtra reads a date and its shifts: "2027-05-01 06:00-14:00", with the
// times in the form of ParsePattern.
func ParseExtra(s string) (Extra, error) {
	ws := words(s, 0)
	if len(ws) < 2 {
		return Extra{}, faultAt(0, "write an extra shift such as 2027-05-01 06:00-14:00", "the extra shift needs a date and times")
	}
	day, err := parseDay(ws[0].text, ws[0].at)
	if err != nil {
		return Extra{}, err
	}
	if day.First != day.Last {
		return Extra{}, faultAt(ws[0].at, "write one line for each date", "an extra shift has one date, not a week")
	}
	if !startsTime(ws[1].text) {
		return Extra{}, faultAt(ws[1].at, "write hours and minutes such as 06:00-14:00", "%q is not a shift", ws[1].text)
	}
	spans, err := parseSpans(ws[1:])
	return Extra{day.First, spans}, err
}

// String prints the extra shift in the form that ParseExtra reads.
func (e Extra) String() string { return e.Date.String() + spell(e.spans) }

// lastYear bounds dates to four-digit years, which is all that text can hold.
const lastYear = 9999

// Hours returns the open hours from the start of the simulation up to length.
// The works counts as closed beyond length. A run of ten years with three shifts
// a day takes some 7 ms. The error is that of a rule with too many dates, or of
// a length that is negative or beyond the year 9999.
func (p Plan) Hours(c Clock, length des.Time) (*des.Hours, error) {
	if length < 0 || length > c.at(NewDate(lastYear, time.December, 31), 0) {
		return nil, faultAt(0, "shorten it", "no calendar covers a run of %v from %s", length, c.Date(0))
	}
	// The night shift of the day before may reach into the first day.
	first, last := c.Date(0)-1, c.Date(length)
	closed, err := p.closedDates(c.Date(0), first, last)
	if err != nil {
		return nil, err
	}
	var open []des.Interval
	add := func(d Date, spans []span) {
		for _, s := range spans {
			from, to := c.at(d, s.from), c.at(d, s.to)
			open = append(open, des.Interval{Open: max(from, 0), Close: min(to, length)})
		}
	}
	// Shifts of neighbouring dates may overlap or touch; join sorts that out.
	for d := first; d <= last; d++ {
		if !contains(closed, d) {
			add(d, p.shifts(d, c))
		}
	}
	for _, e := range p.Extra {
		if first <= e.Date && e.Date <= last {
			add(e.Date, e.spans)
		}
	}
	return join(open), nil
}

// shifts returns the work that the pattern of the week starts on the date.
func (p Plan) shifts(d Date, c Clock) []span {
	n := len(p.Weeks)
	if n == 0 {
		return nil
	}
	from := p.From
	if from == 0 {
		from = c.Date(0)
	}
	week := int(d.monday()-from.monday()) / 7
	// Go's remainder takes the sign of week, negative before the first week.
	return p.Weeks[((week%n)+n)%n].days[d.weekday()]
}

// closedDates gathers all closed dates from first to last. Rules without a
// date of their own begin on start.
func (p Plan) closedDates(start, first, last Date) ([]Dates, error) {
	var closed []Dates
	closed = append(closed, p.Closed...)
	closed = append(closed, p.Holidays...)
	for _, r := range p.Rules {
		dates, err := r.dates(start, first, last)
		if err != nil {
			return nil, err
		}
		for _, d := range dates {
			closed = append(closed, Dates{d, d})
		}
	}
	return mergeDates(closed), nil
}
