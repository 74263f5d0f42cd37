package random

import (
	"math"
	"testing"
)

// TestCommonAndAntitheticDraws holds inversion to its purpose: with the same
// uniform two variants rise and fall together, with the opposite uniform they
// cancel.
//
// source: textbook results for the exponential by inversion (G. S. Fishman; A.
// M. Law, Simulation Modeling and Analysis, variance reduction).
func TestCommonAndAntitheticDraws(t *testing.T) {
	const n = 1_000_000
	x, y := must(Exponential(1)), must(Exponential(0.9))
	source, p, q := New(42, 0), PurposeOf("service"), PurposeOf("other service")
	var common, independent, antithetic, halfSum moments
	for i := range uint64(n) {
		u := source.Uniform(p, i, 0)
		a, b := x.Quantile(u), x.Quantile(1-u)
		common.add(a - y.Quantile(u))
		independent.add(a - y.Quantile(source.Uniform(q, i, 0)))
		antithetic.add((a - 1) * (b - 1)) // its mean is the correlation
		halfSum.add((a + b) / 2)
	}
	tests := []struct {
		name      string
		got, want float64
	}{
		{"variance of the difference, same draws", common.variance(), 0.01},
		{"variance of the difference, independent draws", independent.variance(), 1.81},
		{"correlation of opposite draws, 1 - pi^2/6", antithetic.mean(), -0.644934067},
		{"variance of the mean of opposite draws", halfSum.variance(), 0.177532967},
	}
	for _, test := range tests {
		if !near(test.got, test.want, 0.01*math.Abs(test.want)) {
			t.Errorf("%s: got %.5f, want %.5f", test.name, test.got, test.want)
		}
	}
}

// moments sums up numbers of order one.
type moments struct{ n, sum, squares float64 }

func (m *moments) add(x float64) { m.n++; m.sum += x; m.squares += x * x }

func (m *moments) mean() float64 { return m.sum / m.n }

func (m *moments) variance() float64 { return m.squares/m.n - m.mean()*m.mean() }

func TestTrialIsMonotone(t *testing.T) {
	source, p := New(1, 1), PurposeOf("fired.reject")
	better, worse := 0, 0
	for i := range uint64(10_000) {
		u := source.Uniform(p, i, 0)
		if Trial(u, 0) || !Trial(u, 1) {
			t.Fatalf("u = %v: the impossible happened or the certain did not", u)
		}
		if Trial(u, 0.03) {
			better++
			if !Trial(u, 0.05) {
				t.Fatalf("u = %v is lost at 3 %% and saved at 5 %%", u)
			}
		}
		if Trial(u, 0.05) {
			worse++
		}
	}
	if better == 0 || worse <= better {
		t.Errorf("%d lost at 3 %%, %d at 5 %%", better, worse)
	}
}
