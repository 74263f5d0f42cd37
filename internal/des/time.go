package des

import (
	"fmt"
	"math"
)

// Time is an instant, in milliseconds since the start of the scenario, or a
// span between two instants. Whole milliseconds make sums exact: a shift end
// and a kiln exit that ought to coincide do, and piece-time sums of 10,000
// pieces fit for 29,000 years.
type Time int64

// Spans from which others are built, as in 48*des.Hour.
const (
	Millisecond Time = 1
	Second           = 1000 * Millisecond
	Minute           = 60 * Second
	Hour             = 60 * Minute
	Day              = 24 * Hour
	Week             = 7 * Day

	// Never is later than every instant. Nothing is ever scheduled then; as a
	// limit it means "without limit".
	Never Time = math.MaxInt64
)

// String gives t as days, hours, minutes and seconds, "3d 04:05:06.789". The
// milliseconds are left out when there are none.
func (t Time) String() string {
	if t == Never {
		return "never"
	}
	sign, ms := "", uint64(t)
	if t < 0 {
		sign, ms = "-", -ms // in uint64, so that the least Time has a negative too
	}
	const second, minute, hour, day = uint64(Second), uint64(Minute), uint64(Hour), uint64(Day)
	text := fmt.Sprintf("%s%dd %02d:%02d:%02d", sign, ms/day, ms%day/hour, ms%hour/minute, ms%minute/second)
	if frac := ms % second; frac != 0 {
		text += fmt.Sprintf(".%03d", frac)
	}
	return text
}

// plus adds a span to an instant and stops at Never instead of overflowing.
func (t Time) plus(d Time) Time {
	if d > Never-t {
		return Never
	}
	return t + d
}
