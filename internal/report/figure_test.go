package report

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/stats"
)

func TestEstimateShowsTheDigitsThatItsHalfWidthAllows(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		value, half float64
		want        string
		reason      string
	}{
		{6012.4, 31.2, "6,012 ± 31", "whole numbers from a half-width of tens"},
		{12.3456, 3.1, "12 ± 3", "a half-width of 3.1 allows whole numbers"},
		{12.3456, 0.31, "12.3 ± 0.3", "one decimal"},
		{12.3456, 0.0996, "12.35 ± 0.10", "rounding up keeps the decimals"},
		{1234567.8, 1500, "1,234,568 ± 1,500", "thousands apart, in both"},
		{-1234.5, 20, "-1,234 ± 20", "negative"},
		{-0.2, 3, "0 ± 3", "no negative zero"},
		{0.0123456, 0.00021, "0.0123 ± 0.0002", "small values"},
		{3083.496, 0.0412, "3,083.5 ± 0.1", "five digits are enough; the half-width is rounded up"},
		{54.22238, 0.0006, "54.222 ± 0.001", "five digits are enough"},
		{3, 4e-16, "3 ± 0", "rounding in the last bits is no spread"},
		{42, 0, "42 ± 0", "no spread at all, whole"},
		{42.125, 0, "42.1 ± 0.0", "no spread at all"},
		{42.125, nan, "42.1", "no interval: three digits"},
		{6012, nan, "6,012", "no interval: whole numbers in full"},
		{0.05123, nan, "0.0512", "no interval, small"},
		{nan, nan, "-", "nothing to measure"},
	}
	for _, test := range tests {
		e := stats.Estimate{Value: test.value, Low: test.value - test.half, High: test.value + test.half}
		if got := estimate(e); got != test.want {
			t.Errorf("%s: %g ± %g is printed %q, want %q", test.reason, test.value, test.half, got, test.want)
		}
	}
}

func TestAddUpByLargestRemainder(t *testing.T) {
	got, total := addUp([]float64{33.333, 33.333, 33.334}, 1)
	if want := []string{"33.3", "33.3", "33.4"}; !slices.Equal(got, want) || total != "100.0" {
		t.Errorf("printed %q and %q, want %q and 100.0", got, total, want)
	}
}

// What is printed adds up, and no part is off by one unit or more.
func TestAddUpAlwaysAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Float64Range(0, 5000), 1, 12).Draw(t, "parts")
		decimals := rapid.IntRange(0, 2).Draw(t, "decimals")
		printed, total := addUp(parts, decimals)
		unit := math.Pow10(-decimals)
		var sum float64
		for i, text := range printed {
			v := number64(t, text)
			if math.Abs(v-parts[i]) >= unit*(1+1e-9) {
				t.Errorf("%g is printed %s", parts[i], text)
			}
			sum += v
		}
		if math.Abs(sum-number64(t, total)) > unit/2 {
			t.Errorf("%q add up to %g, printed %s", printed, sum, total)
		}
	})
}

// number64 reads back a printed number.
func number64(t *rapid.T, text string) float64 {
	var v, scale float64 = 0, 0
	for _, r := range text {
		switch {
		case r == '.':
			scale = 1
		case r >= '0' && r <= '9':
			v = 10*v + float64(r-'0')
			scale *= 10
		case r != ',':
			t.Fatalf("%q is no number", text)
		}
	}
	if scale > 0 {
		v /= scale
	}
	return v
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zµ±]{1,9}`), 1, 40).Draw(t, "words")
		var again []string
		for _, line := range wrap(join(words), 20, "") {
			if n := len([]rune(line)); n > 20 {
				t.Errorf("line of %d: %q", n, line)
			}
			again = append(again, line)
		}
		if join(again) != join(words) {
			t.Errorf("words changed: %q", again)
		}
	})
}

func join(words []string) string {
	text := words[0]
	for _, w := range words[1:] {
		text += " " + w
	}
	return text
}
