package random

import (
	"math"
	"strings"
	"testing"
)

// Parameters reach a law from a plant's file; each mistake must be named in the
// words of the file, and none may reach distuv, which panics.
func TestRefusedParameters(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	of := func(l Law, err error) func() (Law, error) { return func() (Law, error) { return l, err } }
	tests := []struct {
		made func() (Law, error)
		want string
	}{
		{of(Constant(nan)), "constant: value must be a finite number, got NaN"},
		{of(Constant(inf)), "constant: value must be a finite number, got +Inf"},
		{of(Uniform(9, 3)), "uniform takes min, then max: 9 is above 3"},
		{of(Uniform(0, inf)), "uniform: max must be a finite number, got +Inf"},
		{of(Uniform(-math.MaxFloat64, math.MaxFloat64)), "uniform: range must be a finite number, got +Inf"},
		{of(Triangular(10, 8, 18)), "triangular takes least, most likely, greatest in that order, got 10, 8, 18"},
		{of(Triangular(8, 18, 10)), "triangular takes least, most likely, greatest in that order, got 8, 18, 10"},
		{of(Triangular(8, nan, 10)), "triangular: most likely must be a finite number, got NaN"},
		{of(PERT(3, 2, 1)), "pert takes least, most likely, greatest in that order, got 3, 2, 1"},
		{of(Exponential(0)), "exponential: mean must be above 0, got 0"},
		{of(Exponential(-20)), "exponential: mean must be above 0, got -20"},
		{of(Exponential(nan)), "exponential: mean must be a finite number, got NaN"},
		{of(Gamma(0, 1)), "gamma: mean must be above 0, got 0"},
		{of(Gamma(20, -1)), "gamma: sd cannot be negative, got -1"},
		{of(Gamma(20, inf)), "gamma: sd must be a finite number, got +Inf"},
		{of(Gamma(1, 6)), "gamma: sd must lie between 0.0001 and 5 times the mean (or be 0), got 6 for a mean of 1"},
		{of(Erlang(0, 20)), "erlang: k counts stages, 1 to 10000, got 0"},
		{of(Erlang(3, -2)), "erlang: mean must be above 0, got -2"},
		{of(Weibull(0, 100)), "weibull: shape must be above 0, got 0"},
		{of(Weibull(2, -1)), "weibull: scale must be above 0, got -1"},
		{of(Weibull(0.01, 1)), "weibull: shape must lie between 0.1 and 1000, got 0.01"},
		{of(WeibullMean(-5, 2)), "weibull: mean must be above 0, got -5"},
		{of(WeibullMean(5, 2000)), "weibull: shape must lie between 0.1 and 1000, got 2000"},
		{of(LogNormal(-75, 8)), "lognormal: mean must be above 0, got -75"},
		{of(LogNormal(75, -8)), "lognormal: sd cannot be negative, got -8"},
		{of(LogNormal(75, nan)), "lognormal: sd must be a finite number, got NaN"},
		{of(LogNormal(1e-200, 1e200)), "lognormal: sd 1"},
		{of(TruncatedNormal(nan, 1, 0, 9)), "normal: mean must be a finite number, got NaN"},
		{of(TruncatedNormal(10, -2, 0, 9)), "normal: sd cannot be negative, got -2"},
		{of(TruncatedNormal(10, 2, 9, 3)), "normal: min must be below max, got 9 and 3"},
		{of(TruncatedNormal(10, 2, nan, 3)), "normal: min must be below max, got NaN and 3"},
		{of(TruncatedNormal(10, 2, 40, 50)), "normal: with mean 10 and sd 2 almost nothing lies between 40 and 50"},
		{of(TruncatedNormal(10, 0, 40, 50)), "normal: with mean 10 and sd 0 almost nothing lies between 40 and 50"},
		{of(Beta(0, 1, 0, 1)), "beta: alpha must be above 0, got 0"},
		{of(Beta(1, nan, 0, 1)), "beta: beta must be a finite number, got NaN"},
		{of(Beta(2, 5, 1, 1)), "beta: min must be below max, got 1 and 1"},
		{of(Beta(2, 5, 0, inf)), "beta: max must be a finite number, got +Inf"},
		{of(Weibull(0.1, 1e305)), "weibull: mean must be a finite number, got +Inf"},
		{of(Beta(1e-9, 5, 0, 1)), "beta: alpha and beta must lie between 0.001 and 1000000, got 0.000000001 and 5"},
		{of(Empirical(nil, nil)), "empirical: needs at least one value"},
		{of(Empirical([]float64{1, nan}, nil)), "empirical: value 2 must be a finite number, got NaN"},
		{of(Empirical([]float64{1, 2}, []float64{1})), "empirical: needs one weight a value, got 2 values and 1 weights"},
		{of(Empirical([]float64{1, 2}, []float64{1, -1})), "empirical: weight 2 cannot be negative, got -1"},
		{of(Empirical([]float64{1, 2}, []float64{1, nan})), "empirical: weight 2 must be a finite number, got NaN"},
		{of(Empirical(make([]float64, 1_000_001), nil)), "empirical: at most 1000000 values, got 1000001"},
		{of(Empirical([]float64{1e200, -1e200}, nil)), "empirical: sd must be a finite number, got +Inf"},
		{of(EmpiricalCSV(strings.NewReader("min\n"+strings.Repeat("1\n", 1_000_001)), "min")), "empirical: at most 1000000 rows"},
		{of(Empirical([]float64{1, 2}, []float64{0, 0})), "empirical: the weights must add up to a finite number above 0, got 0"},
	}
	for _, test := range tests {
		law, err := test.made()
		if err == nil {
			t.Errorf("got %v, want error %q", law, test.want)
			continue
		}
		if law != nil {
			t.Errorf("%v: a law came with the error", err)
		}
		if !strings.HasPrefix(err.Error(), test.want) {
			t.Errorf("got error %q, want %q", err, test.want)
		}
	}
}
