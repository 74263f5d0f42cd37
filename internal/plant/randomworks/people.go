package randomworks

import (
	"slices"

	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// frame draws start, zone and length. The starts lie before changes of the
// clocks, a leap day and the turn of a year.
func (m *maker) frame() {
	m.weeks = m.count("weeks", 2, 4)
	date := m.word("start", "2027-01-04", "2027-03-22", "2027-10-25", "2027-12-20", "2028-02-21")
	m.start, _ = time.Parse(time.DateOnly, date)
	m.w.Start = date + m.word("time of start", " 06:00", " 00:00", " 22:00")
	m.w.Zone = m.word("zone", "UTC", "Europe/Berlin", "America/New_York", "Asia/Kolkata")
	m.w.Run = plant.Run{
		Length: des.Time(m.weeks) * des.Week, WarmUp: "auto", Replications: 10, Most: 60, Precision: 0.01, Seed: 1,
	}
}

// patterns are the weeks that hours are drawn from: one shift, three shifts,
// breaks, nights over midnight, odd days, round the clock.
var patterns = []string{
	"always",
	"Mon-Fri 06:00-14:00",
	"Mon-Fri 14:00-22:00",
	"Mon-Fri 22:00-06:00",
	"Mon-Sat 06:00-10:00 10:30-14:00",
	"Mon-Thu 20:00-06:00 break 01:30-02:30",
	"Mon Wed Fri 08:00-16:00, Sat 06:00-12:00",
	"daily 04:00-12:00 12:00-20:00",
}

// hours draws two to four sets of working hours, one of them rotating at times.
func (m *maker) hours() {
	n := m.count("hours", 2, 4)
	for k := range n {
		h := plant.Hours{Name: numbered("hours", k), Weeks: []string{m.word("pattern", patterns...)}}
		if m.yes("rotates") {
			h.Weeks = append(h.Weeks, m.word("second week", patterns...))
			if m.yes("rotation dated") {
				h.From = m.date(7)
			}
		}
		if m.yes("closed days") {
			h.Closed = []string{m.date(m.count("closed on day", 0, 13))}
		}
		if m.yes("extra hours") {
			h.Open = []string{m.date(m.count("open on day", 0, 13)) + " 09:00-12:00"}
		}
		h.KeepGoing = m.yes("keeps going")
		m.w.Hours = append(m.w.Hours, h)
	}
	if m.yes("working time") {
		m.w.WorkingTime = m.someHours("working time")
	}
}

// someHours draws the name of one set of hours.
func (m *maker) someHours(what string) string {
	return m.w.Hours[m.count(what+" hours", 0, len(m.w.Hours)-1)].Name
}

// maybeHours draws hours, or none for round the clock.
func (m *maker) maybeHours(what string) string {
	if !m.yes(what + " has hours") {
		return ""
	}
	return m.someHours(what)
}

// closures draws closed days of all shops.
func (m *maker) closures() {
	if m.yes("closed dates") {
		m.w.Closures.Dates = []string{m.date(3), m.date(8) + ".." + m.date(9)}
	}
	if m.yes("closure rule") {
		m.w.Closures.Rules = []string{"FREQ=MONTHLY;BYDAY=2TU"}
	}
}

// inHandWords are the rules for work in hand at the end of a shift.
var inHandWords = []string{"finish", "pause", "fits", "half"}

// people draws two crews that work anywhere. Casters are drawn with their benches.
func (m *maker) people() {
	for k := range m.count("crews", 1, 3) {
		name := numbered("crew", k)
		m.crew(name, 1, 4)
		m.crews = append(m.crews, name)
	}
}

// crew draws a crew, of at least so many heads in each of its hours.
func (m *maker) crew(name string, low, high int) *plant.Crew {
	c := plant.Crew{
		Name: name, Roster: map[string]int{m.someHours(name): m.count(name+" heads", low, high)},
		InHand: m.word(name+" in hand", inHandWords...), Effective: 1,
	}
	if m.yes(name + " on two shifts") {
		c.Roster[m.someHours(name+" second")] = m.count(name+" second heads", low, high)
	}
	if m.yes(name + " has allowances") {
		c.Effective = m.share(name+" effective", 60, 99)
	}
	if m.yes(name+" is away at times") && m.closes(c.Roster) {
		c.Absence = m.share(name+" absence", 1, 30)
	}
	if m.yes(name + " is paid") {
		c.Wage = quantity.Wage(m.euros(name+" wage", 30))
		for hours := range c.Roster {
			c.Premium = map[string]quantity.Share{hours: 0.25}
		}
	}
	m.w.Crews = append(m.w.Crews, c)
	return &m.w.Crews[len(m.w.Crews)-1]
}

// closes tells whether all hours of a roster close from day to day: who is away is
// drawn when they open.
func (m *maker) closes(roster map[string]int) bool {
	for _, h := range m.w.Hours {
		if _, mine := roster[h.Name]; mine && slices.Contains(h.Weeks, "always") {
			return false
		}
	}
	return true
}

// anyCrew draws the name of a crew that does not cast.
func (m *maker) anyCrew(what string) string { return m.word(what+" crew", m.crews...) }
