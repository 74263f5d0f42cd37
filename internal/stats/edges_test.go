package stats_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potbank/internal/stats"
)

// hasWarning tells whether a warning contains the words.
func hasWarning(e stats.Estimate, words string) bool {
	return slices.ContainsFunc(e.Warnings, func(w string) bool { return strings.Contains(w, words) })
}

// steps returns first, first+1, ... of the given length.
func steps(first float64, n int) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = first + float64(i)
	}
	return values
}

// exponentialGrid and normalGrid return n values spread evenly over a law.
func exponentialGrid(n int) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = -math.Log(1 - (float64(i)+.5)/float64(n))
	}
	return values
}

func normalGrid(n int) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = stats.NormalQuantile((float64(i) + .5) / float64(n))
	}
	return values
}

// swing is a sine of the given period: neighbours correlate by its cosine.
func swing(n int, period float64) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = math.Sin(2 * math.Pi * float64(i) / period)
	}
	return values
}

// Where there is no interval it must be absent and explained, never a number.
func TestNoIntervalIsExplained(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	quantile := func(xs []float64, p float64) stats.Estimate {
		e, _ := stats.QuantileInterval(xs, p, .95)
		return e
	}
	tests := []struct {
		name  string
		e     stats.Estimate
		value float64
		words string
	}{
		{"mean of none", stats.MeanInterval(nil, .95), nan, "no values"},
		{"mean of one", stats.MeanInterval([]float64{7}, .95), 7, "one value only"},
		{"mean with a gap", stats.MeanInterval([]float64{1, nan, 3}, .95), nan, "missing or infinite"},
		{"mean with infinity", stats.MeanInterval([]float64{1, inf, 3}, .95), nan, "missing or infinite"},
		{"ratio of none", stats.RatioInterval(nil, nil, .95), nan, "no values"},
		{"ratio of one", stats.RatioInterval([]float64{6}, []float64{3}, .95), 2, "one value only"},
		{"ratio over zero", stats.RatioInterval([]float64{1, 2}, []float64{0, 0}, .95), nan, "divisor is zero"},
		{"difference of one", stats.PairedInterval([]float64{5}, []float64{3}, .95), 2, "one value only"},
		{"share of none", stats.Wilson(0, 0, .95), nan, "no trials"},
		{"exact share of none", stats.ClopperPearson(0, 0, .95), nan, "no trials"},
		{"variance of one", stats.VarianceInterval([]float64{4}, .95), nan, "one value only"},
		{"quantile of none", quantile(nil, .5), nan, "no values"},
		{"late date from few", quantile(steps(1, 20), .95), 19, "need >= 59 values"},
		{"median from few", quantile(steps(1, 5), .5), 3, "need >= 6 values"},
		{"range of one", stats.PredictionRange([]float64{4}, .95), 4, "one value only"},
		{"batches of nothing", stats.BatchMeans(steps(1, 5), 10, .95), 3, "too few for 10"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.e.HasInterval() || tt.e.Contains(tt.value) || tt.e.Excludes(1e9) {
				t.Errorf("there is an interval: %+v", tt.e)
			}
			if tt.e.Value != tt.value && !(math.IsNaN(tt.e.Value) && math.IsNaN(tt.value)) {
				t.Errorf("value %v, want %v", tt.e.Value, tt.value)
			}
			if !hasWarning(tt.e, tt.words) {
				t.Errorf("warnings %q do not say %q", tt.e.Warnings, tt.words)
			}
		})
	}
}

func TestDoubtIsSaid(t *testing.T) {
	skew := append(steps(0, 11), 400)
	tests := []struct {
		name  string
		e     stats.Estimate
		words string // empty: no warning at all
	}{
		{"few values", stats.MeanInterval(steps(1, 5), .95), "only 5 values"},
		{"few values in a tally", gather(steps(1, 5)).Interval(.95), "only 5 values"},
		{"enough even values", stats.MeanInterval(steps(1, 30), .95), ""},
		{"long tail", stats.MeanInterval(skew, .95), "far out to one side"},
		{"ratio near zero", stats.RatioInterval(steps(10, 12), []float64{-9, 9, -8, 9, -9, 9, -9, 9, -9, 9, -9, 9}, .95), "close to zero"},
		{"long tail, but enough values", stats.MeanInterval(exponentialGrid(200), .95), ""},
		{"long tail, not enough values", stats.MeanInterval(exponentialGrid(40), .95), "far out to one side"},
		{"variance of a bell curve", stats.VarianceInterval(normalGrid(200), .95), ""},
		{"batches that swing slowly", stats.BatchMeans(swing(20, 8), 20, .95), "resemble each other"},
		{"batches that swing fast", stats.BatchMeans(swing(20, 3), 20, .95), ""},
		{"never happened", stats.Wilson(0, 30, .95), "never happened"},
		{"always happened", stats.ClopperPearson(30, 30, .95), "all 30 trials"},
		{"variance of a heavy tail", stats.VarianceInterval(skew, .95), "bell curve"},
		{"range from few", stats.PredictionRange(steps(1, 12), .95), "39 or more"},
		{"range from enough", stats.PredictionRange(steps(1, 39), .95), ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if !tt.e.HasInterval() {
				t.Errorf("no interval: %+v", tt.e)
			}
			if tt.words == "" && len(tt.e.Warnings) > 0 || tt.words != "" && !hasWarning(tt.e, tt.words) {
				t.Errorf("warnings %q, want %q", tt.e.Warnings, tt.words)
			}
			for _, w := range tt.e.Warnings {
				if !strings.HasSuffix(w, ".") || strings.ContainsAny(w[:1], "abcdefghijklmnopqrstuvwxyz") {
					t.Errorf("%q is no sentence", w)
				}
			}
		})
	}
}

// Values without spread give an interval of no length, not an error: a plant
// without chance must come out exact.
func TestNoSpread(t *testing.T) {
	same := slices.Repeat([]float64{0.1}, 12)
	mean, variance := stats.MeanInterval(same, .95), stats.VarianceInterval(same, .95)
	ratio := stats.RatioInterval(slices.Repeat([]float64{0.3}, 12), same, .95)
	if mean.Low != 0.1 || mean.High != 0.1 || mean.HalfWidth() != 0 || len(mean.Warnings) > 0 {
		t.Errorf("mean: %+v", mean)
	}
	if variance.Low != 0 || variance.High != 0 {
		t.Errorf("variance: %+v", variance)
	}
	if !within(ratio.Low, 3, 1e-12) || !within(ratio.High, 3, 1e-12) {
		t.Errorf("ratio: %+v", ratio)
	}
	if !math.IsNaN(stats.Correlation(same, same)) || !math.IsNaN(stats.Autocorrelation(same, 1)) {
		t.Error("a constant correlates with nothing")
	}
}

// A correlation of -.2 between 20 runs is chance; one of -1 is harm.
func TestPairingWarnsOfHarmOnly(t *testing.T) {
	a, slight, opposite := make([]float64, 20), make([]float64, 20), make([]float64, 20)
	for i := range a {
		a[i] = float64(1 - 2*(i%2))
		slight[i] = -.2*a[i] + math.Sqrt(.96)*float64(1-2*(i/2%2))
		opposite[i] = -a[i]
	}
	if r := stats.Correlation(a, slight); !within(r, -.2, 1e-12) {
		t.Fatalf("correlation %g, want -.2", r)
	}
	if e := stats.PairedInterval(a, slight, .95); len(e.Warnings) > 0 {
		t.Errorf("at -.2: %v", e.Warnings)
	}
	if e := stats.PairedInterval(a, opposite, .95); !hasWarning(e, "against each other") {
		t.Errorf("at -1: %v", e.Warnings)
	}
}

func TestNothingGivesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	if got := stats.AverageSeries(nil); len(got) != 0 {
		t.Errorf("average of no runs: %v", got)
	}
	if got := stats.AverageSeries([][]float64{{1, 2, 3}, {3, 4}}); !slices.Equal(got, []float64{2, 3}) {
		t.Errorf("average over the shorter run: %v", got)
	}
	if got := stats.BootstrapMeans(nil, 2, rng); len(got) != 2 || len(got[0]) != 0 {
		t.Errorf("means of no plants: %v", got)
	}
	for _, lag := range []int{-1, 3} {
		if got := stats.Autocorrelation([]float64{1, 2, 4}, lag); !math.IsNaN(got) {
			t.Errorf("lag %d of three values: %v", lag, got)
		}
	}
	if got := (stats.KimNelson{Alpha: .05, Delta: 1}).Select(nil); got.Best != -1 {
		t.Errorf("choice among nothing: %+v", got)
	}
	if got := stats.Skewness([]float64{5}); got != 0 {
		t.Errorf("one value is skewed by %v", got)
	}
	if !math.IsNaN(stats.Skewness(nil)) {
		t.Error("skewness of nothing")
	}
}

// The ratio is that of the means. The mean of the single ratios would be 2/3.
func TestRatioIsNotTheMeanOfRatios(t *testing.T) {
	e := stats.RatioInterval([]float64{1, 1}, []float64{1, 3}, .95)
	if e.Value != 0.5 {
		t.Errorf("ratio = %g, want .5", e.Value)
	}
}

// With a constant divisor Fieller's interval is the t interval, scaled.
func TestRatioOverConstantIsTheMean(t *testing.T) {
	xs := []float64{3, 5, 4, 8, 1, 9, 4, 4, 7, 2}
	mean := stats.MeanInterval(xs, .9)
	ratio := stats.RatioInterval(xs, slices.Repeat([]float64{4}, 10), .9)
	if !near(ratio.Low, mean.Low/4, 1e-12) || !near(ratio.High, mean.High/4, 1e-12) || !near(ratio.SD, mean.SD/4, 1e-12) {
		t.Errorf("ratio %+v, want a quarter of %+v", ratio, mean)
	}
}

// Where the divisor may be zero the interval is that of the residuals about the
// ratio, which is 10 over 1/3 here: the first is 3 - 30 x -9 = 273, over 1/3.
func TestRatioOverAlmostNothing(t *testing.T) {
	num, den := []float64{3, 12, 15}, []float64{-9, 4, 6}
	e := stats.RatioInterval(num, den, .95)
	residuals := stats.MeanInterval([]float64{3 * 273, 3 * -108, 3 * -165}, .95)
	if !near(e.Value, 30, 1e-12) || !near(e.Low, 30+residuals.Low, 1e-9) || !near(e.High, 30+residuals.High, 1e-9) {
		t.Errorf("%v from %v to %v, want 30 from %v to %v", e.Value, e.Low, e.High, 30+residuals.Low, 30+residuals.High)
	}
}

// Swapping numerator and divisor must give the reciprocal interval: a property
// of Fieller's that the delta method lacks.
func TestRatioReciprocal(t *testing.T) {
	a := []float64{30, 52, 41, 80, 25, 90, 44, 48, 70, 36}
	b := []float64{10, 12, 11, 18, 9, 19, 12, 13, 15, 11}
	e, r := stats.RatioInterval(a, b, .95), stats.RatioInterval(b, a, .95)
	if !near(e.Low, 1/r.High, 1e-12) || !near(e.High, 1/r.Low, 1e-12) {
		t.Errorf("%v..%v and reciprocal of %v..%v differ", e.Low, e.High, r.Low, r.High)
	}
}

// The sample quantile must lie in its interval, and a rank must be what the
// decimal figure says, not what its binary neighbour rounds to.
func TestQuantileValue(t *testing.T) {
	for _, n := range []int{6, 59, 100, 137, 400, 1000} {
		for _, p := range []float64{.05, .5, .8, .9, .95} {
			if e, _ := stats.QuantileInterval(steps(1, n), p, .95); e.HasInterval() && !e.Contains(e.Value) {
				t.Errorf("n=%d p=%g: %g lies outside %g..%g", n, p, e.Value, e.Low, e.High)
			}
		}
	}
	if e, _ := stats.QuantileInterval(steps(1, 100), .07, .95); e.Value != 7 {
		t.Errorf("the 7 %% point of 1..100 = %g, want 7", e.Value)
	}
	if n := stats.QuantileSampleSize(.95, .95); n != 59 {
		t.Errorf("values needed for the 95 %% point: %d, want 59", n)
	}
}

// The ends of the range of a single case are known ranks: of 39 values the
// extremes, of 200 the fifth from either end.
func TestPredictionRangeRanks(t *testing.T) {
	for _, c := range []struct {
		n         int
		low, high float64
	}{{39, 1, 39}, {78, 1, 78}, {79, 2, 78}, {200, 5, 196}} {
		if e := stats.PredictionRange(steps(1, c.n), .95); e.Low != c.low || e.High != c.high {
			t.Errorf("n=%d: %g..%g, want %g..%g", c.n, e.Low, e.High, c.low, c.high)
		}
	}
}

// What does not fill the batches is dropped at the beginning.
func TestBatchMeansDropsTheBeginning(t *testing.T) {
	series := append([]float64{1e6, 1e6, 1e6}, slices.Repeat([]float64{4, 6}, 50)...)
	if e := stats.BatchMeans(series, 10, .95); e.Value != 5 || e.N != 10 {
		t.Errorf("%+v, want 5 from 10 batches", e)
	}
}

func TestWrongUsePanics(t *testing.T) {
	xs := []float64{1, 2, 3}
	tests := map[string]func(){
		"level 95":            func() { stats.MeanInterval(xs, 95) },
		"level not a number":  func() { stats.MeanInterval(xs, math.NaN()) },
		"unequal pairs":       func() { stats.PairedInterval(xs, xs[:2], .95) },
		"unequal ratio":       func() { stats.RatioInterval(xs, xs[:2], .95) },
		"unequal correlation": func() { stats.Correlation(xs, xs[:2]) },
		"more than all":       func() { stats.Wilson(4, 3, .95) },
		"less than none":      func() { stats.ClopperPearson(-1, 3, .95) },
		"quantile 95":         func() { stats.QuantileInterval(xs, 95, .95) },
		"one batch":           func() { stats.BatchMeans(xs, 1, .95) },
		"batch of nothing":    func() { stats.MSER(xs, 0) },
		"negative window":     func() { stats.Welch(xs, -1) },
		"no values for D":     func() { stats.KolmogorovCritical(0, .05) },
		"certain rejection":   func() { stats.KolmogorovCritical(10, 1) },
		"first stage of one":  func() { stats.KimNelson{Alpha: .05, Delta: 1, First: 1}.Select([][]float64{xs, xs}) },
		"no difference":       func() { stats.KimNelson{Alpha: .05}.Select([][]float64{xs, xs}) },
		"no risk":             func() { stats.KimNelsonConstant(3, 10, 0) },
		"uneven plants":       func() { stats.Standings([][]float64{{1, 2}, {1}}, stats.Least, .95) },
		"uneven runs": func() {
			stats.BootstrapMeans([][]float64{xs, xs[:2]}, 10, rand.New(rand.NewPCG(1, 1)))
		},
	}
	for name, call := range tests {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if text, _ := recover().(string); !strings.HasPrefix(text, "stats: ") {
					t.Errorf("no panic of this package: %q", text)
				}
			}()
			call()
		})
	}
}
