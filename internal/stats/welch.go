package stats

// Welch smooths a series (best averaged over runs) for the eye to see where the
// start-up ends (Welch, in Lavenberg, Computer Performance Modeling Handbook,
// 1983). Value i is the mean of the values up to w before and w after it; near
// the beginning the window shrinks to what is there on both sides. The last w
// values have no full window and are left out, so the result is w shorter than
// the series, and empty when w is as long. A negative w panics.
func Welch(series []float64, w int) []float64 {
	if w < 0 {
		panic("stats: Welch window is negative")
	}
	smoothed := make([]float64, max(0, len(series)-w))
	for i := range smoothed {
		arm := min(i, w)
		t := tallyOf(series[i-arm : i+arm+1])
		smoothed[i] = t.Mean()
	}
	return smoothed
}
