package stats_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potbank/internal/stats"
)

// startUp is a level that climbs from empty to 1000 as 1-exp(-t/scale), with
// AR(1) noise of standard deviation sd between neighbouring weeks.
func startUp(rng *rand.Rand, weeks int, scale, sd float64) []float64 {
	noise := stationarySeries(rng, weeks, 0.3)
	for i := range noise {
		noise[i] = 1000*(1-math.Exp(-float64(i)/scale)) + sd*noise[i]
	}
	return noise
}

// averagedRuns draws several runs and averages them week by week.
func averagedRuns(runs int, draw func() []float64) []float64 {
	all := make([][]float64, runs)
	for i := range all {
		all[i] = draw()
	}
	return stats.AverageSeries(all)
}

// C13. source: geometric sum. AR(1), phi .9, started at 10 instead of 0: the
// mean of the first 50 is 1.98969245 too high, after deleting 20 still .38807626.
func TestInitialBiasPublished(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 30))
	var whole, cut stats.Tally
	for range 20_000 {
		series := make([]float64, 50)
		for i, x := 0, 10.0; i < 50; i++ {
			series[i] = x
			x = 0.9*x + rng.NormFloat64()
		}
		whole.Add(gather(series).Mean())
		cut.Add(gather(series[20:]).Mean())
	}
	for _, c := range []struct {
		name string
		e    stats.Estimate
		want float64
	}{
		{"whole", whole.Interval(.999), 1.98969245},
		{"after 20", cut.Interval(.999), 0.38807626},
	} {
		if !c.e.Contains(c.want) || c.e.Contains(c.want+0.05*1.98969245) {
			t.Errorf("%s: %.4f..%.4f, want %.5f and nothing 5 %% off", c.name, c.e.Low, c.e.High, c.want)
		}
	}
}

// MSER by its definition, for every cut anew.
func definitionOfMSER(means []float64) (statistic []float64) {
	for d := range means {
		kept := means[d:]
		mean, sum := gather(kept).Mean(), 0.0
		for _, x := range kept {
			sum += (x - mean) * (x - mean)
		}
		statistic = append(statistic, sum/float64(len(kept)*len(kept)))
	}
	return statistic
}

func TestMSERFollowsItsDefinition(t *testing.T) {
	series := startUp(rand.New(rand.NewPCG(honestyStreams, 31)), 104, 4, 60)
	_, _, got := stats.MSER(series, 1)
	for d, want := range definitionOfMSER(series) {
		if !within(got[d], want, 1e-9*(1+want)) {
			t.Errorf("cut %d: %g, want %g", d, got[d], want)
		}
	}
}

func TestMSERKnownCuts(t *testing.T) {
	settled := func(n int) (s []float64) {
		for i := range n {
			s = append(s, 100+float64(i%2))
		}
		return s
	}
	ramp := func(n int) []float64 { return steps(0, n) }
	tests := []struct {
		name   string
		series []float64
		batch  int
		cut    int
		ok     bool
	}{
		{"constant", slices.Repeat([]float64{3}, 60), 1, 0, true},
		{"settled from the start", settled(60), 1, 0, true},
		{"ten empty weeks", append(make([]float64, 10), settled(50)...), 1, 10, true},
		{"ten empty weeks in batches", append(make([]float64, 10), settled(50)...), 5, 10, true},
		{"eight empty weeks fill two batches", append(make([]float64, 8), settled(52)...), 5, 10, true},
		{"mostly start-up", append(ramp(50), settled(10)...), 1, 50, false},
		{"too short", settled(9), 1, 0, false},
		{"empty", nil, 5, 0, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			cut, ok, _ := stats.MSER(tt.series, tt.batch)
			if cut != tt.cut || ok != tt.ok {
				t.Errorf("cut %d, ok %v, want %d, %v", cut, ok, tt.cut, tt.ok)
			}
		})
	}
}

func TestWeekCut(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 32))
	growing := func(weeks int) []float64 {
		s := startUp(rng, weeks, 2, 20)
		for i := range s {
			s[i] += 12 * float64(i)
		}
		return s
	}
	tests := []struct {
		name     string
		weeks    []float64
		low, top int // the cut must lie in this range
		words    []string
	}{
		{"two years", averagedRuns(10, func() []float64 { return startUp(rng, 104, 3, 30) }), 10, 30, nil},
		{"half a year", averagedRuns(10, func() []float64 { return startUp(rng, 26, 1.5, 30) }), 3, 12, []string{"Only 26 weeks"}},
		{"eight weeks", averagedRuns(10, func() []float64 { return startUp(rng, 8, 1, 30) }), 0, 4, []string{"Only 8 weeks", "too short"}},
		{"slower than the run", averagedRuns(10, func() []float64 { return startUp(rng, 60, 60, 30) }), 25, 30, []string{"too short", "still growing"}},
		{"kiln does not keep up", growing(80), 0, 40, []string{"still growing"}},
		{"a long ramp, then level", append(steps(0, 25), slices.Repeat([]float64{25}, 35)...), 25, 25, nil},
		{"no weeks", nil, 0, 0, []string{"Only 0 weeks", "too short"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			cut, warnings := stats.WeekCut(tt.weeks)
			if cut < tt.low || cut > tt.top {
				t.Errorf("cut %d, want %d to %d", cut, tt.low, tt.top)
			}
			all := strings.Join(warnings, "\n")
			for _, words := range tt.words {
				if !strings.Contains(all, words) {
					t.Errorf("warnings %q do not say %q", all, words)
				}
			}
			if tt.words == nil && len(warnings) > 0 {
				t.Errorf("warnings %q, want none", warnings)
			}
		})
	}
}

// A settled series must hardly ever be called too short, and one that has not
// settled nearly always: MSER-5 alone refuses one settled year in six.
func TestWeekCutErrorRates(t *testing.T) {
	for seed, tt := range []struct {
		name      string
		draw      func(rng *rand.Rand) []float64
		low, high float64
	}{
		{"settled within weeks", func(rng *rand.Rand) []float64 { return startUp(rng, 60, 1, 10) }, 0, 0.02},
		{"settled, two years", func(rng *rand.Rand) []float64 { return startUp(rng, 104, 2, 10) }, 0, 0.02},
		{"start-up as long as the run", func(rng *rand.Rand) []float64 { return startUp(rng, 60, 60, 10) }, 0.99, 1},
		{"running down as long as the run", func(rng *rand.Rand) []float64 {
			s := startUp(rng, 60, 60, 10)
			for i := range s {
				s[i] = 2000 - s[i]
			}
			return s
		}, 0.99, 1},
	} {
		rng := rand.New(rand.NewPCG(honestyStreams, uint64(60+seed)))
		refused := 0
		for range experiments {
			if _, warnings := stats.WeekCut(tt.draw(rng)); strings.Contains(strings.Join(warnings, " "), "too short to tell") {
				refused++
			}
		}
		share := float64(refused) / experiments
		t.Logf("%s: %.3f", tt.name, share)
		if share < tt.low || share > tt.high {
			t.Errorf("%s: called too short in %.3f of the series, want %g to %g", tt.name, share, tt.low, tt.high)
		}
	}
}

// growingShare returns how often Growing says yes in 1,000 series.
func growingShare(seed uint64, draw func(rng *rand.Rand) []float64) float64 {
	rng := rand.New(rand.NewPCG(honestyStreams, seed))
	yes := 0
	for range experiments {
		if growing, _, _ := stats.Growing(draw(rng)); growing {
			yes++
		}
	}
	return float64(yes) / experiments
}

// Growing must cry wolf rarely and see a real rise nearly always.
func TestGrowingErrorRates(t *testing.T) {
	level := func(phi float64, weeks int, slope float64) func(*rand.Rand) []float64 {
		return func(rng *rand.Rand) []float64 {
			s := stationarySeries(rng, weeks, phi)
			for i := range s {
				s[i] = 100 + 10*s[i] + slope*float64(i)
			}
			return s
		}
	}
	tests := []struct {
		name      string
		draw      func(*rand.Rand) []float64
		low, high float64
	}{
		{"settled, independent weeks", level(0, 52, 0), 0, 0.015},
		{"settled, neighbours alike", level(.5, 52, 0), 0, 0.03},
		{"settled, two years", level(.5, 104, 0), 0, 0.025},
		{"rising by a spread every five weeks", level(.3, 52, 2), 0.99, 1},
		{"overloaded: random steps with drift", func(rng *rand.Rand) []float64 {
			s, x := make([]float64, 52), 50.0
			for i := range s {
				x += 10 + 10*rng.NormFloat64()
				s[i] = x
			}
			return s
		}, 0.98, 1},
		{"falling", level(.3, 52, -1), 0, 0},
		{"a creep of half a percent", func(rng *rand.Rand) []float64 {
			s := steps(0, 52)
			for i := range s {
				s[i] = 1000 + s[i]/10
			}
			return s
		}, 0, 0},
		{"four weeks", level(0, 4, 100), 0, 0},
	}
	for seed, tt := range tests {
		share := growingShare(uint64(40+seed), tt.draw)
		t.Logf("%s: %.3f", tt.name, share)
		if share < tt.low || share > tt.high {
			t.Errorf("%s: called growing in %.3f of the series, want %g to %g", tt.name, share, tt.low, tt.high)
		}
	}
}

// source: Kendall, Rank Correlation Methods, Appendix Table 1 (from memory).
// S >= s has probability: n 5: s 8 .042, s 10 .0083; n 8: s 0 .548, s 18 .016,
// s 20 .0071, s 22 .0028.
func TestGrowingExactLaw(t *testing.T) {
	tests := []struct {
		series []float64
		want   float64
	}{
		{[]float64{1, 2, 3, 4, 5}, 0.00833},
		{[]float64{2, 1, 3, 4, 5}, 0.0417},
		{[]float64{5, 4, 3, 2, 1}, 1},
		{[]float64{1, 2, 3, 4, 5, 8, 7, 6}, 0.0028},
		{[]float64{2, 1, 3, 4, 5, 8, 7, 6}, 0.0071},
		{[]float64{2, 1, 4, 3, 5, 8, 7, 6}, 0.016},
		{slices.Repeat([]float64{1}, 8), 0.548},
	}
	for _, tt := range tests {
		if _, _, p := stats.Growing(tt.series); !within(p, tt.want, 6e-4) {
			t.Errorf("%v: p = %.5f, want %.5f", tt.series, p, tt.want)
		}
	}
	if _, slope, _ := stats.Growing(steps(3, 47)); slope != 1 {
		t.Errorf("slope of 3, 4, 5 ... = %g", slope)
	}
}
