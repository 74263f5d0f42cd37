package stats

import "testing"

// The smallest value that at least a share p does not exceed; of 20 values the
// 5 % point is the first and the 95 % point the 19th.
func TestSampleQuantile(t *testing.T) {
	var xs []float64
	for i := range 20 {
		xs = append(xs, float64(i+1))
	}
	for p, want := range map[float64]float64{0.05: 1, 0.051: 2, 0.5: 10, 0.95: 19, 0.99: 20} {
		if got := SampleQuantile(xs, p); got != want {
			t.Errorf("%g quantile %g, want %g", p, got, want)
		}
	}
	if got := SampleQuantile(nil, 0.5); got == got {
		t.Errorf("a quantile of nothing: %g", got)
	}
}
