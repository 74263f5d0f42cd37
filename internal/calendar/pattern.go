package calendar

import (
	"fmt"
	"slices"
	"strings"
)

const minutesPerDay = 24 * 60

// A span is a piece of a shift, in minutes after midnight of the date on which
// the shift starts. A night shift runs beyond 1440.
type span struct{ from, to int }

// A Pattern is the shifts of one week. The zero Pattern is never open.
type Pattern struct {
	days [7][]span // from Monday; spans sorted and disjoint, but may touch
}

var dayNames = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

const dayHint = "days are Mon, Tue, Wed, Thu, Fri, Sat, Sun, a run such as Mon-Fri, or daily"

// ParsePattern reads a week of shifts. Groups are separated by commas; a group
// is its days and then its times:
//
//	Mon-Fri 06:00-10:00 11:06-14:00, Sat 06:00-12:00
//	Mon-Thu 22:00-06:00 break 02:00-02:30
//	daily 00:00-24:00
//
// In full:
//
//	pattern = "always" | "never" | group { "," group }
//	group   = days { days } times { times } [ "break" times { times } ]
//	days    = "daily" | day [ "-" day ]
//	day     = "Mon" | "Tue" | "Wed" | "Thu" | "Fri" | "Sat" | "Sun"
//	times   = hh:mm "-" hh:mm
//
// "always" is open round the clock and "never" not at all. A shift that ends
// before the time it starts ends on the next day. What follows "break" is
// taken out of the group's shifts. A day named in two groups works both.
func ParsePattern(s string) (Pattern, error) {
	switch strings.TrimSpace(s) {
	case "always":
		return ParsePattern("daily 00:00-24:00")
	case "never":
		return Pattern{}, nil
	}
	var p Pattern
	offset := 0
	for group := range strings.SplitSeq(s, ",") {
		ws := words(group, offset)
		days, spans, err := parseGroup(ws, offset)
		if err != nil {
			return Pattern{}, err
		}
		for _, d := range days {
			if !p.add(d, spans) {
				return Pattern{}, faultAt(ws[0].at, "check the times", "these shifts overlap others on %s", dayNames[d])
			}
		}
		offset += characters(group) + 1
	}
	return p, nil
}

// add lets the day work the spans too, unless it already works part of them:
// an overlap on one day is a slip of the pen, and counting its hours once or
// twice would both be guesses.
func (p *Pattern) add(day int, spans []span) bool {
	for _, s := range spans {
		if slices.ContainsFunc(p.days[day], s.overlaps) {
			return false
		}
	}
	p.days[day] = slices.SortedFunc(slices.Values(slices.Concat(p.days[day], spans)),
		func(a, b span) int { return a.from - b.from })
	return true
}

// parseGroup reads days and then times. An empty group begins at offset.
func parseGroup(ws []word, offset int) ([]int, []span, error) {
	var days []int
	for len(ws) > 0 && !startsTime(ws[0].text) {
		named, err := parseDays(ws[0])
		if err != nil {
			return nil, nil, err
		}
		days = append(days, named...)
		offset = ws[0].at
		ws = ws[1:]
	}
	switch {
	case len(days) == 0 && len(ws) == 0:
		return nil, nil, faultAt(offset, "write shifts such as Mon-Fri 06:00-14:00", "no shift is given here")
	case len(days) == 0:
		return nil, nil, faultAt(ws[0].at, "write Mon-Fri "+ws[0].text, "the shift has no days")
	case len(ws) == 0:
		return nil, nil, faultAt(offset, "write shifts such as Mon-Fri 06:00-14:00", "these days have no shift")
	}
	spans, err := parseSpans(ws)
	return days, spans, err
}

// startsTime reports whether a word is meant as a time, or opens the breaks.
func startsTime(s string) bool { return s == "break" || s[0] >= '0' && s[0] <= '9' }

// parseDays reads "Mon", "Mon-Fri", "Sat-Mon" or "daily", as days from Monday.
// A run may pass the end of the week.
func parseDays(w word) ([]int, error) {
	if w.text == "daily" {
		return []int{0, 1, 2, 3, 4, 5, 6}, nil
	}
	head, tail, isRun := strings.Cut(w.text, "-")
	first := slices.Index(dayNames, head)
	if first < 0 {
		return nil, faultAt(w.at, dayHint, "unknown day %q", head)
	}
	days := []int{first}
	if !isRun {
		return days, nil
	}
	last := slices.Index(dayNames, tail)
	if last < 0 {
		return nil, faultAt(w.at+characters(head)+1, dayHint, "unknown day %q", tail)
	}
	for d := first; d != last; {
		d = (d + 1) % 7
		days = append(days, d)
	}
	return days, nil
}

// parseSpans reads shifts, and after the word "break" what to take out.
func parseSpans(ws []word) ([]span, error) {
	var work []span
	for i, w := range ws {
		if w.text == "break" {
			return takeBreaks(work, w, ws[i+1:])
		}
		s, err := parseSpan(w, "shift")
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(work, s.overlaps) {
			return nil, faultAt(w.at, "check the times", "the shift overlaps another of the same days")
		}
		work = append(work, s)
	}
	return work, nil
}

// takeBreaks cuts the breaks out of the work. A break written with a time
// before the shift starts is after midnight. It must leave work on both sides:
// what touches an end is not a break but a shorter shift.
func takeBreaks(work []span, at word, ws []word) ([]span, error) {
	if len(ws) == 0 {
		return nil, faultAt(at.at, "write breaks such as break 10:00-10:30", "no break is given here")
	}
	for _, w := range ws {
		b, err := parseSpan(w, "break")
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(work, b.inside)
		if i < 0 {
			b = span{b.from + minutesPerDay, b.to + minutesPerDay}
			i = slices.IndexFunc(work, b.inside)
		}
		if i < 0 {
			return nil, faultAt(w.at, "check the times", "the break is not inside a shift")
		}
		work = slices.Replace(work, i, i+1, span{work[i].from, b.from}, span{b.to, work[i].to})
	}
	return work, nil
}

// inside reports whether s lies in o and touches neither end.
func (s span) inside(o span) bool { return o.from < s.from && s.to < o.to }

// overlaps reports whether s and o share any time.
func (s span) overlaps(o span) bool { return s.from < o.to && o.from < s.to }

// parseSpan reads "06:00-14:00"; what it is, a shift or a break, serves the
// messages. An end before the start is on the next day. Equal times could mean
// no hours or 24, so they are refused.
func parseSpan(w word, what string) (span, error) {
	head, tail, ok := strings.Cut(w.text, "-")
	if !ok {
		return span{}, faultAt(w.at, "write the start and end, such as 06:00-14:00", "the %s %q has no end", what, w.text)
	}
	from, err := parseClock(word{head, w.at})
	if err != nil {
		return span{}, err
	}
	if from == minutesPerDay {
		return span{}, faultAt(w.at, "write 00:00 on the next day", "a %s cannot start at 24:00", what)
	}
	to, err := parseClock(word{tail, w.at + characters(head) + 1})
	if err != nil {
		return span{}, err
	}
	if from == to {
		hint := "write 00:00-24:00 for round the clock"
		if what == "break" {
			hint = "take it out"
		}
		return span{}, faultAt(w.at, hint, "the %s is zero hours long", what)
	}
	if to < from {
		to += minutesPerDay
	}
	return span{from, to}, nil
}

// parseClock reads a time of day from 00:00 to 24:00, in minutes.
func parseClock(w word) (int, error) {
	t := w.text
	if len(t) != len("06:00") || t[2] != ':' {
		return 0, faultAt(w.at, "write hours and minutes such as 06:00", "%q is not a time of day", t)
	}
	for _, i := range []int{0, 1, 3, 4} {
		if t[i] < '0' || t[i] > '9' {
			return 0, faultAt(w.at, "write hours and minutes such as 06:00", "%q is not a time of day", t)
		}
	}
	hours, minutes := 10*int(t[0]-'0')+int(t[1]-'0'), 10*int(t[3]-'0')+int(t[4]-'0')
	if minutes > 59 || 60*hours+minutes > minutesPerDay {
		return 0, faultAt(w.at, "times of day run from 00:00 to 24:00", "there is no time %s", t)
	}
	return 60*hours + minutes, nil
}

// Minutes returns the work of one week in minutes by the wall clock, without
// regard to clock changes. Where a night shift reaches into a shift of the next
// day, the overlap counts twice.
func (p Pattern) Minutes() int {
	total := 0
	for _, day := range p.days {
		for _, s := range day {
			total += s.to - s.from
		}
	}
	return total
}

// String prints the pattern in a form that ParsePattern reads back: runs of
// days with the same shifts, in the order of the week.
func (p Pattern) String() string {
	var groups []string
	for d := 0; d < 7; {
		end := d + 1
		for end < 7 && slices.Equal(p.days[d], p.days[end]) {
			end++
		}
		if len(p.days[d]) > 0 {
			groups = append(groups, dayRun(d, end-1)+spell(p.days[d]))
		}
		d = end
	}
	if len(groups) == 0 {
		return "never"
	}
	text := strings.Join(groups, ", ")
	if text == "daily 00:00-24:00" {
		return "always"
	}
	return text
}

// dayRun names the days from first to last.
func dayRun(first, last int) string {
	switch last - first {
	case 0:
		return dayNames[first]
	case 6:
		return "daily"
	}
	return dayNames[first] + "-" + dayNames[last]
}

// spell prints spans. Work that starts after midnight belongs to the night
// shift before it, and is what a break has left of that shift.
func spell(spans []span) string {
	var shifts, breaks []string
	for i := 0; i < len(spans); i++ {
		s := spans[i]
		for i+1 < len(spans) && spans[i+1].from >= minutesPerDay {
			breaks = append(breaks, span{s.to, spans[i+1].from}.String())
			i++
			s.to = spans[i].to
		}
		shifts = append(shifts, s.String())
	}
	text := " " + strings.Join(shifts, " ")
	if len(breaks) > 0 {
		text += " break " + strings.Join(breaks, " ")
	}
	return text
}

// String prints the span as 22:00-06:00.
func (s span) String() string { return clockText(s.from) + "-" + clockText(s.to) }

// clockText prints minutes after midnight as a time of day.
func clockText(minutes int) string {
	if minutes > minutesPerDay {
		minutes -= minutesPerDay
	}
	return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
}
