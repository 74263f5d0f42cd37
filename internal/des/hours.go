package des

import "fmt"

// Interval is a span in which work can be done, from Open up to but not including
// Close.
type Interval struct{ Open, Close Time }

// Len gives the length of the interval.
func (i Interval) Len() Time { return i.Close - i.Open }

// Hours are working hours: a sorted sequence of openings. They are immutable, so
// several runs may share one. All questions are answered without looking at every
// interval, since a plant asks them at each step of each piece.
type Hours struct {
	intervals []Interval
	worked    []Time // open time before interval i
	longest   Time

	// first[b] is the first interval that closes after instant b<<shift. With about as
	// many steps as intervals, one step leads next to the interval sought.
	first []int32
	shift uint
}

// NewHours makes hours of intervals. Each must be non-empty, begin at 0 or later, and
// begin no earlier than the one before it ends; if not, the error tells which. Where
// one begins as another ends they become one opening. No intervals at all means never
// open.
func NewHours(intervals []Interval) (*Hours, error) {
	h := &Hours{intervals: make([]Interval, 0, len(intervals))}
	end := Time(0)
	for i, iv := range intervals {
		switch n := len(h.intervals); {
		case iv.Open >= iv.Close:
			return nil, fmt.Errorf("interval %d is empty: open %v, close %v", i, iv.Open, iv.Close)
		case iv.Open < end:
			return nil, fmt.Errorf("interval %d opens at %v, before %v", i, iv.Open, end)
		case n > 0 && iv.Open == end:
			h.intervals[n-1].Close = iv.Close
		default:
			h.intervals = append(h.intervals, iv)
		}
		end = iv.Close
	}
	h.index()
	return h, nil
}

// Always gives hours that are open from 0 until the given instant, which must be
// later than 0.
func Always(until Time) *Hours {
	h, err := NewHours([]Interval{{0, until}})
	if err != nil {
		panic("des: always until " + until.String())
	}
	return h
}

// index works out what makes questions quick.
func (h *Hours) index() {
	n := len(h.intervals)
	h.worked = make([]Time, n+1)
	for i, iv := range h.intervals {
		h.worked[i+1] = h.worked[i] + iv.Len()
		h.longest = max(h.longest, iv.Len())
	}
	if n == 0 {
		return
	}
	end := h.intervals[n-1].Close
	for end>>h.shift > Time(2*n) {
		h.shift++
	}
	h.first = make([]int32, end>>h.shift+2)
	i := 0
	for b := range h.first {
		edge := Never // of the last step, where the shift would overflow
		if Time(b) <= Never>>h.shift {
			edge = Time(b) << h.shift
		}
		for i < n && h.intervals[i].Close <= edge {
			i++
		}
		h.first[b] = int32(i)
	}
}

// find gives the index of the first interval that closes after t, or the number of
// intervals if there is none.
func (h *Hours) find(t Time) int {
	n := len(h.intervals)
	switch {
	case n == 0 || t >= h.intervals[n-1].Close:
		return n
	case t < 0:
		return 0
	}
	b := t >> h.shift
	lo, hi := int(h.first[b]), int(h.first[b+1])
	for lo < hi {
		mid := int(uint(lo+hi) / 2)
		if h.intervals[mid].Close <= t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// Intervals gives a copy of the openings.
func (h *Hours) Intervals() []Interval { return append([]Interval(nil), h.intervals...) }

// Longest gives the length of the longest opening, 0 if there is none. Work under
// OnlyIfFits must not be longer.
func (h *Hours) Longest() Time { return h.longest }

// IsOpen reports whether t lies in an opening.
func (h *Hours) IsOpen(t Time) bool {
	_, open := h.At(t)
	return open
}

// At gives the opening in which t lies, if it lies in one.
func (h *Hours) At(t Time) (Interval, bool) {
	if i := h.find(t); i < len(h.intervals) && h.intervals[i].Open <= t {
		return h.intervals[i], true
	}
	return Interval{}, false
}

// NextOpen gives the first instant from t on that lies in an opening: t itself, or
// when the next opens, or Never.
func (h *Hours) NextOpen(t Time) Time {
	if i := h.find(t); i < len(h.intervals) {
		return max(t, h.intervals[i].Open)
	}
	return Never
}

// NextClose gives the first close after t, or Never: of the opening in which t lies, or
// else of the next.
func (h *Hours) NextClose(t Time) Time {
	if i := h.find(t); i < len(h.intervals) {
		return h.intervals[i].Close
	}
	return Never
}

// OpenBetween gives how much of the time from a to b is open; 0 if b is not after a.
func (h *Hours) OpenBetween(a, b Time) Time {
	if b <= a {
		return 0
	}
	return h.openBefore(b) - h.openBefore(a)
}

// openBefore gives the open time before t.
func (h *Hours) openBefore(t Time) Time {
	i := h.find(t)
	if i < len(h.intervals) && h.intervals[i].Open < t {
		return h.worked[i] + t - h.intervals[i].Open
	}
	return h.worked[i]
}

// AddWork gives the earliest instant at which d of open time has passed since t: t
// itself if d is 0, Never if the hours end first. It is the inverse of OpenBetween:
// OpenBetween(t, AddWork(t, d)) is d. AddWork panics if d is negative.
func (h *Hours) AddWork(t, d Time) Time {
	switch {
	case d < 0:
		panic("des: negative work " + d.String())
	case d == 0:
		return t
	}
	target := h.openBefore(t).plus(d)
	n := len(h.intervals)
	if target > h.worked[n] {
		return Never
	}
	// The answer lies in the first interval at whose close the target has been reached.
	// As a rule that is this one or one soon after, so look in growing steps first.
	lo, step := h.find(t), 1
	hi := lo
	for h.worked[hi+1] < target {
		lo, hi = hi+1, min(hi+step, n-1)
		step *= 2
	}
	for lo < hi {
		mid := int(uint(lo+hi) / 2)
		if h.worked[mid+1] < target {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return h.intervals[lo].Open + target - h.worked[lo]
}
