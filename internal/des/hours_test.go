package des_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/des"
)

// mustHours makes hours of opens and closes in turn.
func mustHours(t testing.TB, bounds ...des.Time) *des.Hours {
	t.Helper()
	var intervals []des.Interval
	for i := 0; i+1 < len(bounds); i += 2 {
		intervals = append(intervals, des.Interval{Open: bounds[i], Close: bounds[i+1]})
	}
	h, err := des.NewHours(intervals)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestHours(t *testing.T) {
	h := mustHours(t, 10, 20, 30, 35, 35, 40, 100, 101)
	tests := []struct {
		t                des.Time
		open             bool
		nextOpen, closes des.Time
		before           des.Time // open time before t
	}{
		{-5, false, 10, 20, 0},
		{0, false, 10, 20, 0},
		{10, true, 10, 20, 0},
		{19, true, 19, 20, 9},
		{20, false, 30, 40, 10},
		{35, true, 35, 40, 15}, // touching intervals are one opening
		{40, false, 100, 101, 20},
		{100, true, 100, 101, 20},
		{101, false, des.Never, des.Never, 21},
		{des.Never - 1, false, des.Never, des.Never, 21},
	}
	for _, tt := range tests {
		if got := h.IsOpen(tt.t); got != tt.open {
			t.Errorf("IsOpen(%d) = %v, want %v", tt.t, got, tt.open)
		}
		if got := h.NextOpen(tt.t); got != tt.nextOpen {
			t.Errorf("NextOpen(%d) = %d, want %d", tt.t, got, tt.nextOpen)
		}
		if got := h.NextClose(tt.t); got != tt.closes {
			t.Errorf("NextClose(%d) = %d, want %d", tt.t, got, tt.closes)
		}
		if got := h.OpenBetween(-100, tt.t); got != tt.before {
			t.Errorf("OpenBetween(-100, %d) = %d, want %d", tt.t, got, tt.before)
		}
	}
	if iv, ok := h.At(36); !ok || iv != (des.Interval{Open: 30, Close: 40}) {
		t.Errorf("At(36) = %v, %v", iv, ok)
	}
	if got := mustHours(t, 10, 20, 20, 30).NextClose(10); got != 30 {
		t.Errorf("touching intervals from the first: NextClose(10) = %d, want 30", got)
	}
	if got := h.OpenBetween(40, 10); got != 0 {
		t.Errorf("OpenBetween(40, 10) = %d, want 0", got)
	}
	if got := h.Longest(); got != 10 {
		t.Errorf("Longest() = %d, want 10", got)
	}
}

func TestAddWork(t *testing.T) {
	h := mustHours(t, 10, 20, 30, 40, 100, 101)
	for _, tt := range []struct{ t, d, want des.Time }{
		{0, 0, 0},
		{0, 1, 11},
		{0, 10, 20}, // at the close, not at the next opening
		{0, 11, 31},
		{15, 5, 20},
		{15, 15, 40},
		{15, 16, 101},
		{15, 17, des.Never},
		{20, 1, 31},
		{101, 1, des.Never},
		{101, 0, 101},
		{0, des.Never, des.Never},
	} {
		if got := h.AddWork(tt.t, tt.d); got != tt.want {
			t.Errorf("AddWork(%d, %d) = %d, want %d", tt.t, tt.d, got, tt.want)
		}
	}
	mustPanic(t, "negative work", func() { h.AddWork(0, -1) })
}

// Work that fills openings exactly ends at a close, however many lie between.
func TestAddWorkUpToAClose(t *testing.T) {
	var intervals []des.Interval
	for i := range des.Time(40) {
		intervals = append(intervals, des.Interval{Open: 10 * i, Close: 10*i + 1 + i%5})
	}
	h, err := des.NewHours(intervals)
	if err != nil {
		t.Fatal(err)
	}
	for i, from := range intervals {
		d := des.Time(0)
		for _, to := range intervals[i:] {
			d += to.Len()
			if got := h.AddWork(from.Open, d); got != to.Close {
				t.Errorf("AddWork(%d, %d) = %d, want %d", from.Open, d, got, to.Close)
			}
		}
	}
}

func TestHoursOfNothingAndOfAllTime(t *testing.T) {
	never := mustHours(t)
	if never.IsOpen(0) || never.NextOpen(0) != des.Never || never.NextClose(0) != des.Never ||
		never.OpenBetween(0, des.Week) != 0 || never.AddWork(0, 1) != des.Never || never.Longest() != 0 {
		t.Error("hours without intervals are open some time")
	}
	always := des.Always(des.Never)
	if got := always.AddWork(des.Week, des.Day); got != des.Week+des.Day {
		t.Errorf("AddWork in hours that are always open = %v", got)
	}
	if got := always.OpenBetween(des.Day, des.Never); got != des.Never-des.Day {
		t.Errorf("OpenBetween in hours that are always open = %v", got)
	}
	mustPanic(t, "always until 0d 00:00:00", func() { des.Always(0) })
}

func TestHoursRefused(t *testing.T) {
	for want, intervals := range map[string][]des.Interval{
		"interval 1 is empty: open 0d 00:00:05, close 0d 00:00:05": {{0, 2 * sec}, {5 * sec, 5 * sec}},
		"interval 0 is empty":                         {{5 * sec, 3 * sec}},
		"interval 0 opens at -0d 00:00:01":            {{-sec, sec}},
		"interval 1 opens at 0d 00:00:01, before 0d":  {{0, 2 * sec}, {1 * sec, 3 * sec}},
		"interval 1 opens at 0d 00:00:00, before 0d ": {{5 * sec, 6 * sec}, {0, sec}},
	} {
		if _, err := des.NewHours(intervals); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("NewHours(%v): error %v, want %q", intervals, err, want)
		}
	}
}

// Hours must not change under those who share them.
func TestHoursAreImmutable(t *testing.T) {
	intervals := []des.Interval{{0, 10}, {20, 30}}
	h, err := des.NewHours(intervals)
	if err != nil {
		t.Fatal(err)
	}
	intervals[1].Open = 12
	h.Intervals()[0].Close = 5
	if want := []des.Interval{{0, 10}, {20, 30}}; !slices.Equal(h.Intervals(), want) {
		t.Errorf("hours are now %v, want %v", h.Intervals(), want)
	}
}

// anyHours draws hours of which some are regular, as shifts are, and some are crowded
// together, which is hard on the index.
func anyHours(t *rapid.T) *des.Hours {
	unit := rapid.SampledFrom([]des.Time{1, 1000, des.Hour}).Draw(t, "unit")
	far := rapid.SampledFrom([]des.Time{1, 1, 1_000_000}).Draw(t, "far")
	steps := rapid.SliceOfN(rapid.Int64Range(0, 20), 0, 60).Draw(t, "steps")
	var intervals []des.Interval
	end := des.Time(0)
	for i := 0; i+1 < len(steps); i += 2 {
		open := end + des.Time(steps[i])*unit
		if i == len(steps)/2 {
			open *= far
		}
		end = open + (1+des.Time(steps[i+1]))*unit
		intervals = append(intervals, des.Interval{Open: open, Close: end})
	}
	h, err := des.NewHours(intervals)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// anyInstant draws an instant near an open or close of h, or anywhere.
func anyInstant(t *rapid.T, h *des.Hours, label string) des.Time {
	intervals := h.Intervals()
	if len(intervals) == 0 || rapid.IntRange(0, 3).Draw(t, label+" kind") == 0 {
		return des.Time(rapid.Int64Range(0, 1<<40).Draw(t, label))
	}
	iv := rapid.SampledFrom(intervals).Draw(t, label+" interval")
	at := rapid.SampledFrom([]des.Time{iv.Open, iv.Close, (iv.Open + iv.Close) / 2}).Draw(t, label+" at")
	return max(0, at+des.Time(rapid.Int64Range(-2, 2).Draw(t, label+" off")))
}

// Every answer must be that of a search through all intervals.
func TestHoursAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHours(t)
		at, b := anyInstant(t, h, "t"), anyInstant(t, h, "b")
		open, nextOpen, nextClose, between := false, des.Never, des.Never, des.Time(0)
		for _, iv := range slices.Backward(h.Intervals()) {
			if at < iv.Close {
				nextOpen, nextClose = max(at, iv.Open), iv.Close
			}
			open = open || iv.Open <= at && at < iv.Close
			between += max(0, min(b, iv.Close)-max(at, iv.Open))
		}
		if h.IsOpen(at) != open || h.NextOpen(at) != nextOpen || h.NextClose(at) != nextClose || h.OpenBetween(at, b) != between {
			t.Errorf("at %d, to %d: %v, %d, %d, %d; by search %v, %d, %d, %d", at, b,
				h.IsOpen(at), h.NextOpen(at), h.NextClose(at), h.OpenBetween(at, b), open, nextOpen, nextClose, between)
		}
	})
}

// AddWork and OpenBetween are inverse to each other, and AddWork is the earliest.
func TestAddWorkInvertsOpenBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHours(t)
		at := anyInstant(t, h, "t")
		left := h.OpenBetween(at, des.Never)
		d := h.OpenBetween(at, anyInstant(t, h, "until")) // often up to a close
		if rapid.Bool().Draw(t, "any work") {
			d = des.Time(rapid.Int64Range(0, int64(left)+1).Draw(t, "d"))
		}
		end := h.AddWork(at, d)
		switch {
		case d > left:
			if end != des.Never {
				t.Errorf("AddWork(%d, %d) = %d, but only %d is left", at, d, end, left)
			}
		case h.OpenBetween(at, end) != d:
			t.Errorf("AddWork(%d, %d) = %d, but %d is open between", at, d, end, h.OpenBetween(at, end))
		case d > 0 && h.OpenBetween(at, end-1) != d-1:
			t.Errorf("AddWork(%d, %d) = %d is not the earliest", at, d, end)
		}
		// And the other way round: from an open instant, the work between brings us back.
		if b := anyInstant(t, h, "b"); b > at && h.IsOpen(b) && h.OpenBetween(at, b) > 0 {
			if back := h.AddWork(at, h.OpenBetween(at, b)); back > b || h.OpenBetween(back, b) != 0 {
				t.Errorf("AddWork(%d, OpenBetween(to %d)) = %d", at, b, back)
			}
		}
	})
}

// Work in two parts is work in one.
func TestAddWorkAdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHours(t)
		at := anyInstant(t, h, "t")
		d := des.Time(rapid.Int64Range(0, 1<<20).Draw(t, "d"))
		e := des.Time(rapid.Int64Range(0, 1<<20).Draw(t, "e"))
		first := h.AddWork(at, d)
		if first == des.Never {
			return
		}
		if got, want := h.AddWork(first, e), h.AddWork(at, d+e); got != want {
			t.Errorf("AddWork(AddWork(%d, %d), %d) = %d, AddWork of the sum = %d", at, d, e, got, want)
		}
	})
}
