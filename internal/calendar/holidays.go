package calendar

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/emersion/go-ical"
)

const (
	// largestFile bounds the text of an iCalendar file, in bytes.
	largestFile = 1 << 20
	// longestEvent bounds one event, in days; a longer one is a mistake.
	longestEvent = 366
	// mostRules bounds the recurring events of a file. A rule that falls on no
	// date at all, such as 30 February, costs a quarter of a second.
	mostRules = 100
)

// ReadHolidays reads an iCalendar file (RFC 5545) and returns the dates from
// from to to on which it has an event, sorted and joined. Events may be of
// whole days or timed, and may recur; cancelled ones are left out. A timed
// event closes the dates it touches in its own zone. Errors name the event, not
// the file, which the caller knows. At most 1 MiB is read.
func ReadHolidays(r io.Reader, from, to Date) ([]Dates, error) {
	file, err := decode(r)
	if err != nil {
		return nil, err
	}
	var holidays []Dates
	rules := 0
	for _, event := range file.Events() {
		if rules += len(event.Props.Values(ical.PropRecurrenceRule)); rules > mostRules {
			return nil, fmt.Errorf("the calendar file has more than %d recurring events", mostRules)
		}
		dates, err := eventDates(event, from, to)
		if err != nil {
			name, _ := event.Props.Text(ical.PropSummary)
			return nil, fmt.Errorf("event %q: %w", name, err)
		}
		holidays = append(holidays, dates...)
	}
	return mergeDates(holidays), nil
}

// decode reads the file and puts the parser's errors into words: it reports a
// file cut short as a bare EOF, and panics on a line that ends within a
// parameter.
func decode(r io.Reader) (file *ical.Calendar, err error) {
	defer func() {
		if recover() != nil {
			file, err = nil, errors.New("not an iCalendar file: a line ends within a parameter")
		}
	}()
	limited := &io.LimitedReader{R: r, N: largestFile + 1}
	file, err = ical.NewDecoder(limited).Decode()
	switch {
	case limited.N <= 0:
		return nil, errors.New("the calendar file is larger than 1 MiB")
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return nil, errors.New("the calendar file is cut short: END:VCALENDAR is missing")
	case err != nil:
		return nil, fmt.Errorf("not an iCalendar file: %w", err)
	}
	return file, nil
}

// eventDates returns the dates of one event and its repetitions, cut to the
// dates asked for.
func eventDates(event ical.Event, from, to Date) ([]Dates, error) {
	if status, err := event.Status(); err != nil || status == ical.EventCancelled {
		return nil, err
	}
	start, err := event.DateTimeStart(time.UTC)
	if err != nil {
		return nil, err
	}
	end, err := event.DateTimeEnd(time.UTC)
	if err != nil {
		return nil, err
	}
	if start.IsZero() {
		return nil, errors.New("it has no start")
	}
	first := DateOf(start)
	// An end is exclusive: a day's event ends at the start of the next day.
	days := max(DateOf(end.In(start.Location()).Add(-time.Nanosecond))-first, 0)
	if days >= longestEvent {
		return nil, fmt.Errorf("it lasts %d days; the limit is %d", days+1, longestEvent)
	}
	begins, err := eventStarts(event, first, from-days, to)
	if err != nil {
		return nil, err
	}
	var dates []Dates
	for _, d := range begins {
		if run := (Dates{max(d, from), min(d+days, to)}); run.First <= run.Last {
			dates = append(dates, run)
		}
	}
	return dates, nil
}

// eventStarts returns the dates from from to to on which the event starts: the
// first, those of its rule and of RDATE, without those of EXDATE. The parser's
// own expansion is not used, since it reads one date only from EXDATE and
// none from RDATE.
func eventStarts(event ical.Event, first, from, to Date) ([]Date, error) {
	starts := []Date{first}
	if prop := event.Props.Get(ical.PropRecurrenceRule); prop != nil {
		option, err := readOption(prop.Value)
		if err != nil {
			return nil, err
		}
		repeats, err := recur(*option, first.utc(), from, to)
		if err != nil {
			return nil, err
		}
		starts = append(starts, repeats...)
	}
	added, err := listedDates(event.Props.Values(ical.PropRecurrenceDates))
	if err != nil {
		return nil, err
	}
	removed, err := listedDates(event.Props.Values(ical.PropExceptionDates))
	if err != nil {
		return nil, err
	}
	gone := make(map[Date]bool)
	for _, d := range removed {
		gone[d] = true
	}
	var kept []Date
	for _, d := range append(starts, added...) {
		if !gone[d] {
			kept = append(kept, d)
		}
	}
	return kept, nil
}

// listedDates reads the dates of RDATE or EXDATE properties, each a list of
// dates or of dates with times, of which the date counts.
func listedDates(props []ical.Prop) ([]Date, error) {
	var dates []Date
	for _, prop := range props {
		for text := range strings.SplitSeq(prop.Value, ",") {
			day, _, _ := strings.Cut(text, "T")
			t, err := time.Parse("20060102", day)
			if err != nil {
				return nil, fmt.Errorf("%s: %q is not a date", prop.Name, text)
			}
			dates = append(dates, DateOf(t))
		}
	}
	return dates, nil
}
