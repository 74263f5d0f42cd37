package calendar

import (
	"cmp"
	"slices"

	"potbank/internal/des"
)

// Union returns the hours in which a or b is open.
func Union(a, b *des.Hours) *des.Hours {
	return join(slices.Concat(a.Intervals(), b.Intervals()))
}

// Intersect returns the hours in which both are open: those of a job that
// needs two crews.
func Intersect(a, b *des.Hours) *des.Hours {
	var both []des.Interval
	s, o := a.Intervals(), b.Intervals()
	for len(s) > 0 && len(o) > 0 {
		both = append(both, des.Interval{Open: max(s[0].Open, o[0].Open), Close: min(s[0].Close, o[0].Close)})
		if s[0].Close < o[0].Close {
			s = s[1:]
		} else {
			o = o[1:]
		}
	}
	return join(both)
}

// Minus returns the hours in which a is open and b is not: a shift less the
// times when its crew is called away.
func Minus(a, b *des.Hours) *des.Hours {
	var left []des.Interval
	closed := b.Intervals()
	for _, piece := range a.Intervals() {
		for len(closed) > 0 && closed[0].Close <= piece.Open {
			closed = closed[1:]
		}
		// One closure can cut several pieces, so it is not used up here.
		from := piece.Open
		for _, c := range closed {
			if c.Open >= piece.Close {
				break
			}
			left = append(left, des.Interval{Open: from, Close: c.Open})
			from = c.Close
		}
		left = append(left, des.Interval{Open: from, Close: piece.Close})
	}
	return join(left)
}

// join makes hours of intervals in any order. Those that overlap or touch
// become one; empty ones are dropped. None may open before 0.
func join(intervals []des.Interval) *des.Hours {
	sorted := slices.DeleteFunc(intervals, func(i des.Interval) bool { return i.Close <= i.Open })
	slices.SortFunc(sorted, func(a, b des.Interval) int { return cmp.Compare(a.Open, b.Open) })
	var joined []des.Interval
	for _, next := range sorted {
		if n := len(joined); n > 0 && next.Open <= joined[n-1].Close {
			joined[n-1].Close = max(joined[n-1].Close, next.Close)
			continue
		}
		joined = append(joined, next)
	}
	hours, err := des.NewHours(joined)
	if err != nil {
		panic("calendar: " + err.Error())
	}
	return hours
}

// SubtractWork returns the latest instant from which the open time until t is
// work, or false if h opens too late for that. It answers when a job due at t
// must be started. From an instant t at which h is open it undoes
// des.Hours.AddWork. It panics if work is negative.
func SubtractWork(h *des.Hours, t, work des.Time) (des.Time, bool) {
	switch {
	case work < 0:
		panic("calendar: negative work " + work.String())
	case work == 0:
		return t, true
	}
	intervals := h.Intervals()
	// Backwards from the last interval that opens before t.
	last, _ := slices.BinarySearchFunc(intervals, t, func(i des.Interval, t des.Time) int { return cmp.Compare(i.Open, t) })
	for _, i := range slices.Backward(intervals[:last]) {
		end := min(i.Close, t)
		if room := end - i.Open; work > room {
			work -= room
			continue
		}
		return end - work, true
	}
	return 0, false
}

// WorkingDays returns the number of civil dates on which h is open at any time
// from a up to but without b. A night shift counts on both of its dates.
func WorkingDays(h *des.Hours, c Clock, a, b des.Time) int {
	days := 0
	next := c.Date(a) // the first date not yet looked at
	for _, i := range h.Intervals() {
		from, to := max(i.Open, a), min(i.Close, b)
		if from >= to {
			continue
		}
		first, last := max(c.Date(from), next), c.Date(to-1) // to the last ms before the close
		if first <= last {
			days += int(last-first) + 1
			next = last + 1
		}
	}
	return days
}
