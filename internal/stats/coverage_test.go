package stats_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"potbank/internal/stats"
)

// Seeds are fixed, so that a pass stays a pass.
const (
	honestyStreams = 0x706f7462
	honestyLevel   = 0.95
	wrongBy        = 1.05 // a truth 5 % off must be found out
)

// experiment returns one estimate from fresh random draws.
type experiment func(rng *rand.Rand) stats.Estimate

// covered counts the experiments whose interval contains the truth.
func covered(truth float64, seed uint64, once experiment) int {
	rng := rand.New(rand.NewPCG(honestyStreams, seed))
	count := 0
	for range experiments {
		if once(rng).Contains(truth) {
			count++
		}
	}
	return count
}

// normals draws n normal values.
func normals(rng *rand.Rand, n int, mean, sd float64) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = mean + sd*rng.NormFloat64()
	}
	return values
}

// TestIntervalsAreHonest checks that each kind of interval covers a known truth
// as often as it says, and, run against a truth 5 % off, that the check would
// have noticed.
func TestIntervalsAreHonest(t *testing.T) {
	tests := []struct {
		name  string
		truth float64
		once  experiment
	}{
		{"mean of normal values", 100, func(rng *rand.Rand) stats.Estimate {
			return stats.MeanInterval(normals(rng, 12, 100, 5), honestyLevel)
		}},
		{"mean of exponential values, enough of them", 1, func(rng *rand.Rand) stats.Estimate {
			values := make([]float64, 2000)
			for i := range values {
				values[i] = rng.ExpFloat64()
			}
			return stats.MeanInterval(values, honestyLevel)
		}},
		{"ratio, cost rising with output", 4.2, func(rng *rand.Rand) stats.Estimate {
			cost, pieces := make([]float64, 20), make([]float64, 20)
			for i := range cost {
				pieces[i] = 1000 + 150*rng.NormFloat64()
				cost[i] = 1200 + 3*pieces[i] + 60*rng.NormFloat64() // 4200 per 1000
			}
			return stats.RatioInterval(cost, pieces, honestyLevel)
		}},
		{"paired difference under common draws", 10, func(rng *rand.Rand) stats.Estimate {
			a, b := make([]float64, 15), make([]float64, 15)
			for i := range a {
				luck := 40 * rng.NormFloat64()
				a[i] = 210 + luck + rng.NormFloat64()/4
				b[i] = 200 + luck + rng.NormFloat64()/4
			}
			return stats.PairedInterval(a, b, honestyLevel)
		}},
		{"proportion by Wilson", 0.3, func(rng *rand.Rand) stats.Estimate {
			return stats.Wilson(successes(rng, 4000, 0.3), 4000, honestyLevel)
		}},
		{"proportion by Clopper-Pearson", 0.3, func(rng *rand.Rand) stats.Estimate {
			return stats.ClopperPearson(successes(rng, 4000, 0.3), 4000, honestyLevel)
		}},
		{"variance of normal values", 25, func(rng *rand.Rand) stats.Estimate {
			return stats.VarianceInterval(normals(rng, 5000, 0, 5), honestyLevel)
		}},
		{"median of skew values", math.Ln2, func(rng *rand.Rand) stats.Estimate {
			values := make([]float64, 1200)
			for i := range values {
				values[i] = rng.ExpFloat64()
			}
			e, _ := stats.QuantileInterval(values, 0.5, honestyLevel)
			return e
		}},
		{"late date, 95 % point of uniform values", 0.95, func(rng *rand.Rand) stats.Estimate {
			values := make([]float64, 400)
			for i := range values {
				values[i] = rng.Float64()
			}
			e, _ := stats.QuantileInterval(values, 0.95, honestyLevel)
			return e
		}},
	}
	for seed, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := covered(tt.truth, uint64(seed), tt.once)
			t.Logf("%d of %d covered", got, experiments)
			if got < leastCovered || got > mostCovered {
				t.Errorf("%d of %d intervals cover the truth, want %d to %d", got, experiments, leastCovered, mostCovered)
			}
			if off := covered(tt.truth*wrongBy, uint64(seed), tt.once); off >= leastCovered {
				t.Errorf("a truth 5 %% off is covered %d times: the check has no power", off)
			}
		})
	}
}

// successes counts how often a trial with probability p succeeds.
func successes(rng *rand.Rand, n int, p float64) int {
	count := 0
	for range n {
		if rng.Float64() < p {
			count++
		}
	}
	return count
}

// A single case must fall into PredictionRange as often as stated, whether its
// ends come from ranks or from the bell curve; the interval of the mean must
// not, or the two would be the same thing.
func TestPredictionRangeCoversTheNextCase(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 20))
	for _, n := range []int{12, 39, 200} {
		hits, meanHits := 0, 0
		for range experiments {
			values := normals(rng, n, 100, 10)
			next := 100 + 10*rng.NormFloat64()
			if stats.PredictionRange(values, honestyLevel).Contains(next) {
				hits++
			}
			if stats.MeanInterval(values, honestyLevel).Contains(next) {
				meanHits++
			}
		}
		if hits < leastCovered || hits > mostCovered {
			t.Errorf("n=%d: %d of %d next cases are in range", n, hits, experiments)
		}
		if meanHits >= experiments*7/10 {
			t.Errorf("n=%d: the interval of the mean holds %d single cases", n, meanHits)
		}
	}
}

// stationarySeries draws n values of X_t = phi·X_(t-1) + e_t, e standard normal,
// around 0, started in its steady state.
func stationarySeries(rng *rand.Rand, n int, phi float64) []float64 {
	values := make([]float64, n)
	x := rng.NormFloat64() / math.Sqrt(1-phi*phi)
	for i := range values {
		values[i] = x
		x = phi*x + rng.NormFloat64()
	}
	return values
}

// C12. source: an independent simulation of 20,000 runs, phi .9, 20 batches of
// 100, nominal 90 %: 88.4 % cover (s.e. 0.2). The tolerance is 3.3 standard errors.
// C11. source: time-series theory; ignoring the dependence leaves S²/n at .0522
// of the variance of the mean, so the half-width at .228 of the right one.
func TestBatchMeansUnderDependence(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 21))
	const runs, nominal = 2 * experiments, 0.90
	batch, naive, halves := 0, 0, 0.0
	for range runs {
		series := stationarySeries(rng, 2000, 0.9)
		good, bad := stats.BatchMeans(series, 20, nominal), stats.MeanInterval(series, nominal)
		halves += bad.HalfWidth() / good.HalfWidth() / runs
		if good.Contains(0) {
			batch++
		}
		if bad.Contains(0) {
			naive++
		}
	}
	tolerance := 3.3 * math.Sqrt(.884*.116/runs)
	if share := float64(batch) / runs; !within(share, 0.884, tolerance) {
		t.Errorf("batch means cover %.3f, want .884 within %.3f", share, tolerance)
	}
	if share := float64(naive) / runs; share > 0.40 {
		t.Errorf("ignoring the dependence covers %.3f: the check has no power", share)
	}
	if !within(halves, 0.24, 0.03) {
		t.Errorf("naive half-width is %.3f of the right one, want about .23 to .24", halves)
	}
}

// C11. source: time-series theory; Law & Kelton sec. 4.4. phi .9, n 1000:
// variance 5.263157895, n·Var(mean) 99.05263158, E[S²/n]/Var(mean) .0521871.
func TestVarianceUnderDependence(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 22))
	const runs, n = 4000, 1000
	var means, estimated stats.Tally
	for range runs {
		one := gather(stationarySeries(rng, n, 0.9))
		means.Add(one.Mean())
		estimated.Add(one.Variance() / n)
	}
	// The s.e. of a variance from 4,000 runs is 2.2 %: allow three of them.
	check := func(name string, got, want, tolerance float64) {
		if !near(got, want, tolerance) {
			t.Errorf("%s = %.6g, want %.6g within %g %%", name, got, want, 100*tolerance)
		}
	}
	check("n Var(mean)", n*means.Variance(), 99.05263158, 0.067)
	check("E[S²/n]/Var(mean)", estimated.Mean()/means.Variance(), 0.0521871, 0.067)
	if near(n*means.Variance(), 5.263157895, 0.5) {
		t.Error("the variance of the mean looks like that of independent values")
	}
}

// C12. source: closed form. The lag-1 correlation of batch means of 10, 50, 100.
func TestBatchMeansCorrelation(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 23))
	tests := []struct {
		phi  float64
		size int
		want float64
	}{
		{.5, 10, .0767614}, {.5, 50, .0136986}, {.5, 100, .0067568},
		{.9, 10, .5247206}, {.9, 50, .1155422}, {.9, 100, .0523227},
	}
	const batches = 20000
	for _, tt := range tests {
		series := stationarySeries(rng, batches*tt.size, tt.phi)
		means := make([]float64, 0, batches)
		for part := range slices.Chunk(series, tt.size) {
			means = append(means, gather(part).Mean())
		}
		// s.e. 1/sqrt(20000) = .007; the table spans .007 to .52
		if got := stats.Autocorrelation(means, 1); !within(got, tt.want, 0.021) {
			t.Errorf("phi %g, batches of %d: correlation %.4f, want %.4f", tt.phi, tt.size, got, tt.want)
		}
	}
	short := stats.BatchMeans(stationarySeries(rng, 2000, .9), 200, .95)
	if !hasWarning(short, "resemble") {
		t.Errorf("batches of 10 at phi .9 give no warning: %v", short.Warnings)
	}
}

// C24. source: exponential by inversion (Fishman; Law ch. 11). X = -ln U and
// Y = -.9 ln U share U: Var(X-Y) .01, against 1.81 when independent.
// X' = -ln(1-U): correlation 1-pi²/6, Var((X+X')/2) .177532967.
func TestCommonDrawsPublished(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 24))
	const n = 200_000
	x, y, other, mirror := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	var averaged stats.Tally
	for i := range n {
		u := (float64(rng.Uint64()>>11) + 0.5) / (1 << 53) // never 0, never 1
		x[i], y[i], mirror[i] = -math.Log(u), -.9*math.Log(u), -math.Log1p(-u)
		other[i] = .9 * rng.ExpFloat64()
		averaged.Add((x[i] + mirror[i]) / 2)
	}
	paired, apart := stats.PairedInterval(x, y, .95), stats.PairedInterval(x, other, .95)
	check := func(name string, got, want, tolerance float64) {
		if !near(got, want, tolerance) {
			t.Errorf("%s = %.6g, want %.6g", name, got, want)
		}
	}
	check("Var(X-Y) paired", paired.SD*paired.SD, 0.01, 0.02)
	check("Var(X-Y) apart", apart.SD*apart.SD, 1.81, 0.02)
	check("correlation X, Y", stats.Correlation(x, y), 1, 1e-12)
	check("correlation X, X'", stats.Correlation(x, mirror), 1-math.Pi*math.Pi/6, 0.01)
	check("Var((X+X')/2)", averaged.Variance(), 0.177532967, 0.02)
	if against := stats.PairedInterval(x, mirror, .95); !hasWarning(against, "against each other") {
		t.Errorf("draws that work against each other give no warning: %v", against.Warnings)
	}
}
