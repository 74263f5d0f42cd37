package calendar

import (
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // for machines without zone data of their own

	"potbank/internal/des"
	"potbank/internal/quantity"
)

// A Clock ties simulated time to wall-clock time in the zone of the works.
type Clock struct {
	start int64 // simulated time 0, in ms since 1970-01-01 UTC
	zone  *time.Location
}

// NewClock returns the clock whose simulated time 0 is start, in start's zone.
func NewClock(start time.Time) Clock {
	return Clock{start.UnixMilli(), start.Location()}
}

// Civil returns the wall-clock time at simulated time t, exact to the ms.
func (c Clock) Civil(t des.Time) time.Time {
	return time.UnixMilli(c.start + int64(t)).In(c.zone)
}

// Tick returns the simulated time at which the wall clock shows t. What is
// finer than 1 ms is cut off.
func (c Clock) Tick(t time.Time) des.Time { return des.Time(t.UnixMilli() - c.start) }

// Date returns the civil date at simulated time t.
func (c Clock) Date(t des.Time) Date { return DateOf(c.Civil(t)) }

// at returns the simulated time of a number of minutes after midnight of the
// date by the wall clock; 1440 and more is on the days that follow.
func (c Clock) at(d Date, minutes int) des.Time {
	d += Date(minutes / minutesPerDay)
	return c.Tick(wallTime(d.utc().Add(time.Duration(minutes%minutesPerDay)*time.Minute), c.zone))
}

// wallTime returns the instant at which clocks in the zone show the date and
// time that wall shows. A time that occurs twice means the first occurrence;
// one that the clocks skip is read with the offset in force before the gap, so
// that 02:30 becomes 03:30 (RFC 5545, section 3.3.5). time.Date leaves both
// cases open.
func wallTime(wall time.Time, zone *time.Location) time.Time {
	asUTC := time.Date(wall.Year(), wall.Month(), wall.Day(), wall.Hour(), wall.Minute(), wall.Second(), wall.Nanosecond(), time.UTC)
	// The offsets a day before and a day after are those on either side of any
	// change; changes are never less than two days apart.
	before := asUTC.Add(-offsetAt(asUTC.Add(-24*time.Hour), zone))
	after := asUTC.Add(-offsetAt(asUTC.Add(24*time.Hour), zone))
	if !shows(before, asUTC, zone) && shows(after, asUTC, zone) {
		return after.In(zone)
	}
	return before.In(zone)
}

// offsetAt returns how far clocks in the zone are ahead of UTC.
func offsetAt(t time.Time, zone *time.Location) time.Duration {
	_, seconds := t.In(zone).Zone()
	return time.Duration(seconds) * time.Second
}

// shows reports whether at instant t clocks in the zone show wall, given as a
// time in UTC.
func shows(t, wall time.Time, zone *time.Location) bool {
	return t.Add(offsetAt(t, zone)).Equal(wall)
}

// ParseStart reads the start of a run, "2027-01-04 06:00" or "2027-01-04", as
// the wall clock shows it in the zone of an IANA name such as Europe/Berlin;
// an empty name is UTC. A time that the clocks skip in that zone is refused.
func ParseStart(s, zone string) (time.Time, error) {
	location, err := LoadZone(zone)
	if err != nil {
		return time.Time{}, err
	}
	offset := leadingSpace(s)
	text := strings.TrimSpace(s)
	wall, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		day, dayErr := ParseDates(text)
		if dayErr != nil && len(text) == len("2027-02-30 06:00") {
			// Let the date speak if it is the date that is impossible.
			day, dayErr = ParseDates(text[:len(dayLayout)])
			if dayErr == nil {
				dayErr = &quantity.Fault{Offset: len(dayLayout) + 1, What: fmt.Sprintf("%q is not a time of day", text[len(dayLayout)+1:]), Hint: "write hours and minutes such as 06:00"}
			}
		}
		if dayErr != nil || day.First != day.Last {
			return time.Time{}, startFault(offset, text, dayErr)
		}
		wall = day.First.utc()
	}
	start := wallTime(wall, location)
	if !shows(start, wall, location) {
		return time.Time{}, &quantity.Fault{Offset: offset, What: text + " is skipped in " + zone + ", where the clocks go forward then", Hint: "start an hour earlier or later"}
	}
	return start, nil
}

// startFault keeps the fault of the date, moved to its place, or makes one.
func startFault(offset int, text string, err error) error {
	if f, ok := err.(*quantity.Fault); ok && !strings.HasSuffix(f.What, "is not a date") {
		f.Offset += offset
		return f
	}
	return &quantity.Fault{Offset: offset, What: fmt.Sprintf("%q is not a date and time", text), Hint: "write a start such as 2027-01-04 06:00"}
}

// LoadZone returns the zone of an IANA name such as Europe/Berlin; an empty
// name is UTC. The machine's own zone ("Local") is refused, since a scenario
// must mean the same everywhere.
func LoadZone(name string) (*time.Location, error) {
	if name == "Local" {
		return nil, &quantity.Fault{What: "Local is a different zone on every machine", Hint: "write a zone such as Europe/Berlin"}
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, &quantity.Fault{What: fmt.Sprintf("unknown time zone %q", name), Hint: "write a zone such as Europe/Berlin or UTC"}
	}
	return zone, nil
}
