package page

import (
	"math"
	"strconv"
	"strings"

	"potbank/internal/report"
)

// scale takes values to places.
type scale struct {
	low, high float64 // values
	from, to  float64 // places
}

func (s scale) at(v float64) float64 {
	if s.high == s.low {
		return (s.from + s.to) / 2
	}
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// span gathers the range of values.
type span struct{ low, high float64 }

func noSpan() span { return span{math.Inf(1), math.Inf(-1)} }

func (r *span) take(values ...float64) {
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			r.low, r.high = min(r.low, v), max(r.high, v)
		}
	}
}

// step is the distance of round numbers, about so many over the range.
func (r span) step(count int) float64 {
	raw := (r.high - r.low) / float64(count)
	if !(raw > 0) {
		return 1
	}
	power := math.Pow10(int(math.Floor(math.Log10(raw))))
	for _, m := range []float64{1, 2, 2.5, 5, 10} {
		if raw <= m*power*1.0000001 {
			return m * power
		}
	}
	return 10 * power
}

// round widens the range to round numbers and returns them.
func (r *span) round(count int) []float64 {
	if r.low > r.high {
		r.low, r.high = 0, 1
	}
	if r.low == 0 && r.high == 0 {
		r.high = 1 // nothing at all still stands on its axis
	}
	if r.low == r.high {
		r.low, r.high = r.low-math.Abs(r.low)/2-0.5, r.high+math.Abs(r.high)/2+0.5
	}
	step := r.step(count)
	first, last := math.Floor(r.low/step+1e-9), math.Ceil(r.high/step-1e-9)
	r.low, r.high = first*step, last*step
	var at []float64
	for k := first; k <= last; k++ {
		at = append(at, k*step)
	}
	return at
}

// within are the round numbers inside the range, which stays as it is.
func (r span) within(count int) []float64 {
	if !(r.low < r.high) {
		return []float64{r.low}
	}
	step := r.step(count)
	var at []float64
	for k := math.Ceil(r.low/step - 1e-9); k <= math.Floor(r.high/step+1e-9); k++ {
		at = append(at, k*step)
	}
	return at
}

// named are the names of an axis's places: its own, or its numbers.
func named(a report.Axis, at []float64) []report.Tick {
	if a.Ticks != nil {
		return a.Ticks
	}
	var ticks []report.Tick
	for _, v := range at {
		ticks = append(ticks, report.Tick{At: v, Name: number(v)})
	}
	return ticks
}

// number prints a round number with its thousands apart.
func number(v float64) string {
	text := strconv.FormatFloat(math.Round(v*1e9)/1e9, 'f', -1, 64)
	whole, fraction, _ := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if fraction != "" {
		whole += "." + fraction
	}
	if strings.HasPrefix(text, "-") && strings.Trim(whole, "0.,") != "" {
		whole = "−" + whole
	}
	return whole
}

// short prints a value beside what is drawn, with three digits.
func short(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	if a := math.Abs(v); a >= 100 || v == math.Trunc(v) {
		return number(math.Round(v))
	} else if a < 1e-6 {
		return "0"
	}
	digits := 2 - int(math.Floor(math.Log10(math.Abs(v))))
	unit := math.Pow10(digits)
	return number(math.Round(v*unit) / unit)
}
