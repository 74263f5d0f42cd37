package random

import "math"

// maxTick is the longest time a draw can give, in milliseconds: 2^53, about
// 285,000 years. Beyond it a float64 no longer counts single milliseconds, and
// sums of such times could overflow the clock.
const maxTick = 1 << 53

// Time draws a time in milliseconds from a law that is itself in milliseconds.
// The value is rounded once, here, to the nearest tick, half to even; it is
// never negative and never above 2^53.
func Time(l Law, u float64) (ms int64) { return tick(l.Quantile(u)) }

// tick rounds a value in milliseconds to the clock's tick. A NaN means a law
// broke its promise; no clock should be started on it.
func tick(ms float64) int64 {
	switch {
	case math.IsNaN(ms):
		panic("random: a law gave a time that is not a number")
	case ms <= 0:
		return 0
	case ms >= maxTick:
		return maxTick
	}
	return int64(math.RoundToEven(ms))
}
