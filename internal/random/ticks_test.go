package random

import (
	"math"
	"testing"
)

func TestTimeRoundsOnceHalfToEven(t *testing.T) {
	tests := []struct {
		value float64
		want  int64
	}{
		{0, 0}, {0.5, 0}, {0.51, 1}, {1.5, 2}, {2.5, 2}, {4_500_000.5, 4_500_000}, {4_500_001.5, 4_500_002},
		{-3, 0}, {-0.4, 0}, {1e300, 1 << 53}, {1 << 53, 1 << 53}, {1<<53 - 1, 1<<53 - 1},
	}
	for _, test := range tests {
		if got := Time(must(Constant(test.value)), 0.5); got != test.want {
			t.Errorf("a time of %v ms became %d, want %d", test.value, got, test.want)
		}
	}
	if !panics(func() { tick(math.NaN()) }) {
		t.Error("a time that is not a number started a clock")
	}
}

func TestTimeDrawsFromTheLaw(t *testing.T) {
	l := Scaled(must(Uniform(1, 3)), 1000)
	if got := Time(l, 0.75); got != 2500 {
		t.Errorf("got %d ms, want 2500", got)
	}
}

// Do not change these numbers to fix a build: they are the times plants have
// been simulated with. One row a family, in milliseconds from minutes.
func TestFrozenTimes(t *testing.T) {
	tests := []struct {
		law  Law
		want [3]int64
	}{
		{must(Constant(20)), [3]int64{1200000, 1200000, 1200000}},
		{must(Uniform(10, 30)), [3]int64{650565, 686352, 1444360}},
		{must(Triangular(8, 10, 18)), [3]int64{535081, 551980, 787847}},
		{must(PERT(8, 10, 18)), [3]int64{511964, 524062, 710697}},
		{must(Exponential(20)), [3]int64{51661, 89616, 1459389}},
		{must(Gamma(20, 10)), [3]int64{387101, 464740, 1435785}},
		{must(Erlang(3, 12)), [3]int64{182918, 228853, 872718}},
		{must(Weibull(2, 100)), [3]int64{1244920, 1639661, 6616771}},
		{must(LogNormal(75, 8)), [3]int64{3723973, 3830457, 4736569}},
		{must(TruncatedNormal(10, 4, 0, 15)), [3]int64{189601, 246025, 680367}},
		{must(Beta(2, 5, 0, 60)), [3]int64{206128, 276702, 1304541}},
		{must(Empirical([]float64{3, 4, 6, 9}, []float64{4, 3, 2, 1})), [3]int64{180000, 180000, 360000}},
	}
	gate := NewDealer(New(20260101, 0), false).Gate("frozen")
	for _, test := range tests {
		var got [3]int64
		for i := range got {
			got[i] = gate.Time(Scaled(test.law, 60_000), uint64(i), 0)
		}
		if got != test.want {
			t.Errorf("%v: got %v, want %v", test.law, got, test.want)
		}
	}
}
