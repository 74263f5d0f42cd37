package stats_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"potbank/internal/stats"
)

// C23. source: Kim & Nelson, ACM TOMACS 11 (2001) 251-273, formula with c = 1
// (from memory); values computed from it.
func TestKimNelsonConstantPublished(t *testing.T) {
	tests := []struct {
		k, n0   int
		eta, h2 float64
	}{
		{2, 10, .3340503, 6.012905}, {5, 10, .6349673, 11.429411}, {10, 10, .8590834, 15.463502},
		{50, 10, 0, 26.650}, {2, 20, 0, 5.211}, {5, 20, 0, 9.015}, {10, 20, 0, 11.512}, {50, 20, 0, 17.470},
	}
	for _, tt := range tests {
		eta := stats.KimNelsonConstant(tt.k, tt.n0, .05)
		h2, tolerance := 2*eta*float64(tt.n0-1), 1e-6
		if tt.eta == 0 {
			tolerance = 1e-4 // listed to three decimals
		}
		if tt.eta != 0 && !near(eta, tt.eta, tolerance) || !near(h2, tt.h2, tolerance) {
			t.Errorf("k=%d n0=%d: eta %.7f, h² %.6f, want %.7f, %.6f", tt.k, tt.n0, eta, h2, tt.eta, tt.h2)
		}
	}
}

// C21. source: Law & Kelton ch. 10, table of h1 (from memory; the table prints
// 2.453 for n0 20, P* .95, k 2, where quadrature gives 2.452).
func TestDudewiczDalalConstantPublished(t *testing.T) {
	tests := []struct {
		n0, k   int
		p, want float64
	}{
		{20, 2, .90, 1.896}, {20, 3, .90, 2.342}, {20, 5, .90, 2.747}, {20, 10, .90, 3.182},
		{20, 2, .95, 2.452}, {20, 3, .95, 2.872}, {20, 5, .95, 3.258}, {20, 10, .95, 3.679},
		{40, 2, .95, 2.386}, {40, 10, .95, 3.539},
	}
	for _, tt := range tests {
		if got := stats.DudewiczDalalConstant(tt.k, tt.n0, tt.p); !within(got, tt.want, 1e-3) {
			t.Errorf("n0=%d k=%d P*=%g: h1 = %.4f, want %.3f", tt.n0, tt.k, tt.p, got, tt.want)
		}
	}
	// source: two Cauchy variables differ by twice a Cauchy, so h = 2·tan(pi(p-1/2))
	if got, want := stats.DudewiczDalalConstant(2, 2, .9), 2*math.Tan(.4*math.Pi); !near(got, want, 1e-8) {
		t.Errorf("one degree of freedom: h1 = %.10g, want %.10g", got, want)
	}
}

// source: with the spread known, Rinott's condition is Phi(h/sqrt2)^(k-1) = p;
// for k = 2 at 95 % that is sqrt2·1.645 = 2.326.
func TestRinottConstantLimit(t *testing.T) {
	if got := stats.RinottConstant(2, 200_000, .95); !within(got, 2.326, 5e-4) {
		t.Errorf("k=2: h = %.5f, want 2.326", got)
	}
	for _, k := range []int{2, 5, 20} {
		want := math.Sqrt2 * stats.NormalQuantile(math.Pow(.95, 1/float64(k-1)))
		if got := stats.RinottConstant(k, 200_000, .95); !near(got, want, 1e-4) {
			t.Errorf("k=%d: h = %.6f, want %.6f", k, got, want)
		}
	}
}

// For two plants Rinott's double integral and that of Dudewicz and Dalal are the
// probability of the same event, the difference of two Student variables: two
// roads to one number.
func TestTwoPlantConstantsAgree(t *testing.T) {
	for _, n0 := range []int{2, 3, 10, 40} {
		h, h1 := stats.RinottConstant(2, n0, .95), stats.DudewiczDalalConstant(2, n0, .95)
		if !near(h, h1, 1e-6) {
			t.Errorf("n0=%d: Rinott %.9g, Dudewicz-Dalal %.9g", n0, h, h1)
		}
	}
	if five, two := stats.RinottConstant(5, 10, .95), stats.DudewiczDalalConstant(5, 10, .95); five <= two*1.01 {
		t.Errorf("for five plants Rinott's bound is the cautious one: %.4f, %.4f", five, two)
	}
}

// At h the probability of the condition, drawn instead of integrated, must be
// p; at h 5 % smaller it must not.
func TestRinottConstantByDrawing(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 60))
	for _, c := range []struct{ k, n0 int }{{2, 2}, {2, 10}, {5, 10}, {10, 20}} {
		t.Run(fmt.Sprintf("k=%d n0=%d", c.k, c.n0), func(t *testing.T) {
			h, df := stats.RinottConstant(c.k, c.n0, .95), float64(c.n0-1)
			law := distuv.ChiSquared{K: df, Src: rng}
			var right, smaller stats.Tally
			for range 60_000 {
				y, atH, below := law.Rand(), 1.0, 1.0
				for range c.k - 1 {
					z := h / math.Sqrt(df*(1/law.Rand()+1/y))
					atH *= distuv.UnitNormal.CDF(z)
					below *= distuv.UnitNormal.CDF(.95 * z)
				}
				right.Add(atH)
				smaller.Add(below)
			}
			if e := right.Interval(.999); !e.Contains(.95) {
				t.Errorf("h = %.4f is right with %.5f..%.5f, want .95", h, e.Low, e.High)
			}
			if e := smaller.Interval(.999); e.Contains(.95) {
				t.Errorf("h 5 %% smaller passes too: %.5f..%.5f", e.Low, e.High)
			}
		})
	}
}

// plantRuns draws runs of plants with the given means: luck common to all, and
// some of each plant's own.
func plantRuns(rng *rand.Rand, means []float64, runs int, common, own float64) [][]float64 {
	samples := make([][]float64, len(means))
	for i := range samples {
		samples[i] = make([]float64, runs)
	}
	for j := range runs {
		luck := common * rng.NormFloat64()
		for i, mean := range means {
			samples[i][j] = mean + luck + own*rng.NormFloat64()
		}
	}
	return samples
}

// In the hardest case, the best leading all others by just Delta, the choice
// must be right in at least 95 % of studies; 927 of 1,000 is the 99.9 % band's
// lower end. The best mean of the first stage alone must fail that.
func TestKimNelsonChoosesRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 61))
	rule := stats.KimNelson{Alpha: .05, Delta: 1, Goal: stats.Least}
	right, firstRight, runs := 0, 0, 0
	for range experiments {
		samples := plantRuns(rng, []float64{51, 51, 50, 51, 51}, 400, 10, 2)
		s := rule.Select(samples)
		if s.Best == 2 {
			right++
		}
		if bestOfFirst(samples, 10) == 2 {
			firstRight++
		}
		for _, n := range s.N {
			runs += n
		}
	}
	t.Logf("right %d of %d, %.1f runs a plant; first stage alone %d", right, experiments, float64(runs)/experiments/5, firstRight)
	if right < leastCovered {
		t.Errorf("right in %d of %d studies, want at least %d", right, experiments, leastCovered)
	}
	if firstRight >= leastCovered {
		t.Errorf("the first stage alone is right %d times: the test is too easy", firstRight)
	}
}

// bestOfFirst is the plant with the least mean over the first n runs.
func bestOfFirst(samples [][]float64, n int) int {
	best, least := -1, math.Inf(1)
	for i, sample := range samples {
		if mean := gather(sample[:n]).Mean(); mean < least {
			best, least = i, mean
		}
	}
	return best
}

// For two plants the race ends at the first run r from n0 on at which the sum
// of differences reaches max(0, delta/2·(h²S²/delta² - r)).
func TestKimNelsonFollowsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 68))
	const n0, delta = 10, 1.0
	h2 := 2 * stats.KimNelsonConstant(2, n0, .05) * (n0 - 1)
	longest := 0
	for range 50 {
		samples := plantRuns(rng, []float64{50, 50.3}, 500, 10, 2)
		differences := make([]float64, 500)
		for j := range differences {
			differences[j] = samples[0][j] - samples[1][j]
		}
		sd, want := gather(differences[:n0]).SD(), 0
		for r := n0; want == 0; r++ {
			sum := gather(differences[:r]).Mean() * float64(r)
			if math.Abs(sum) >= max(0, delta/2*(h2*sd*sd/(delta*delta)-float64(r))) {
				want = r
			}
		}
		got := stats.KimNelson{Alpha: .05, Delta: delta, First: n0}.Select(samples)
		if got.N[0] != want || got.N[1] != want {
			t.Errorf("decided after %v runs, want %d", got.N, want)
		}
		longest = max(longest, want)
	}
	if longest < 2*n0 {
		t.Errorf("no race lasted beyond %d runs: the test sees nothing", longest)
	}
}

func TestKimNelsonStates(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 62))
	samples := plantRuns(rng, []float64{100, 110, 100.5, 110.6}, 300, 5, 2)
	rule := stats.KimNelson{Alpha: .05, Delta: .5, Goal: stats.Most}
	final := rule.Select(samples)
	if final.Best != 3 || !slices.Equal(final.Survivors, []int{3}) {
		t.Fatalf("most: %+v", final)
	}
	if final.N[3] < 30 || final.N[0] > 20 {
		t.Fatalf("two close plants must race longer than the others: %+v", final)
	}
	for n := 0; n <= 300; n += 7 {
		got := rule.Select(first(samples, n))
		if decided := n >= final.N[3]; decided != (got.Best == 3) || decided && !slices.Equal(got.N, final.N) {
			t.Errorf("%d runs: %+v, want the decision of %+v from %d on", n, got, final, final.N[3])
		}
	}
	rule.Goal = stats.Least
	least := rule.Select(samples)
	short := slices.Clone(samples) // a dropped plant needs no further runs
	short[3] = short[3][:least.N[3]]
	if got := rule.Select(short); got.Best != least.Best || !slices.Equal(got.N, least.N) {
		t.Errorf("without the runs of a dropped plant: %+v, want %+v", got, least)
	}
	if same := [][]float64{make([]float64, 12), make([]float64, 12)}; rule.Select(same).Best != 0 {
		t.Errorf("of equals without spread the first is taken: %+v", rule.Select(same))
	}
	if one := rule.Select(samples[:1]); one.Best != 0 {
		t.Errorf("a single plant: %+v", one)
	}
	if early := rule.Select(first(samples, 9)); early.Best != -1 || len(early.Survivors) != 4 {
		t.Errorf("before the first stage is complete: %+v", early)
	}
}

// Both two-stage procedures must choose right in the hardest case too.
func TestTwoStageSelectionChoosesRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 63))
	const k, n0, delta = 4, 10, 1.0
	h, h1 := stats.RinottConstant(k, n0, .95), stats.DudewiczDalalConstant(k, n0, .95)
	rinott, dalal := 0, 0
	for range experiments {
		bestR, bestD, topR, topD := -1, -1, math.Inf(-1), math.Inf(-1)
		for i := range k {
			mean, sd := 50.0, 1+float64(i)
			if i == 1 {
				mean += delta
			}
			sample := normals(rng, n0, mean, sd)
			found := gather(sample).SD()
			more := max(stats.RinottRuns(h, found, delta, n0), stats.DudewiczDalalRuns(h1, found, delta, n0)) - n0
			sample = append(sample, normals(rng, more, mean, sd)...)
			if m := gather(sample[:stats.RinottRuns(h, found, delta, n0)]).Mean(); m > topR {
				bestR, topR = i, m
			}
			if m := stats.DudewiczDalalMean(sample[:stats.DudewiczDalalRuns(h1, found, delta, n0)], n0, h1, delta); m > topD {
				bestD, topD = i, m
			}
		}
		if bestR == 1 {
			rinott++
		}
		if bestD == 1 {
			dalal++
		}
	}
	t.Logf("right of %d: Rinott %d, Dudewicz-Dalal %d", experiments, rinott, dalal)
	if rinott < leastCovered || dalal < leastCovered {
		t.Errorf("right of %d: Rinott %d, Dudewicz-Dalal %d, want at least %d", experiments, rinott, dalal, leastCovered)
	}
}

// source: the defining formulas: N = max(n0, ..) for Rinott, max(n0+1, ..) for
// Dudewicz and Dalal, who need a second stage to weight.
func TestTwoStageRuns(t *testing.T) {
	if got := stats.RinottRuns(2.5, 4, 1, 20); got != 100 {
		t.Errorf("Rinott: %d runs, want 100", got)
	}
	if got := stats.DudewiczDalalRuns(2.5, 4, 1, 20); got != 100 {
		t.Errorf("Dudewicz-Dalal: %d runs, want 100", got)
	}
	calmR, calmD := stats.RinottRuns(2.5, .1, 1, 20), stats.DudewiczDalalRuns(2.5, .1, 1, 20)
	if calmR != 20 || calmD != 21 {
		t.Errorf("calm plant: %d and %d runs, want 20 and 21", calmR, calmD)
	}
}

// The weighted mean has spread delta/h1 whatever the plant's own spread.
func TestDudewiczDalalMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 64))
	sample := normals(rng, 40, 10, 3)
	const n0, h1 = 20, 2.747
	sd := gather(sample[:n0]).SD()
	n := float64(len(sample))
	delta := h1 * sd / math.Sqrt(n) // the delta for which 40 runs are just enough
	got := stats.DudewiczDalalMean(sample, n0, h1, delta)
	if want := gather(sample).Mean(); !near(got, want, 1e-6) {
		t.Errorf("with just enough runs the weights are equal: %.9f, want %.9f", got, want)
	}
	// One run more than the first stage is the least that the rule asks for.
	few := []float64{9, 11, 13}
	delta = h1 * 2 / math.Sqrt(3) // 9 and 11 have sd sqrt(2): (delta/h1/sd)^2 is 2/3
	weight := 2. / 3 * (1 + math.Sqrt(1-1.5*(1-2./3)))
	if got, want := stats.DudewiczDalalMean(few, 2, h1, delta), weight*10+(1-weight)*13; !near(got, want, 1e-12) {
		t.Errorf("of 3 runs, the first 2 weighing %v: %v, want %v", weight, got, want)
	}
	if got := stats.DudewiczDalalMean(few, 3, h1, 1); got != 11 {
		t.Errorf("of a first stage alone: %v, want its mean 11", got)
	}
	if got := stats.DudewiczDalalMean(make([]float64, 21), n0, h1, 1); got != 0 {
		t.Errorf("no spread: %g", got)
	}
}

func TestOCBAAllocate(t *testing.T) {
	tests := []struct {
		name       string
		rule       stats.OCBA
		means, sds []float64
		total      int
		want       []int
	}{
		// source: formula of Chen et al. 2000 by hand: distances 1 and 2 give 4 : 1,
		// the best gets sqrt(16+1) = 4.1231
		{"by hand", stats.OCBA{}, []float64{1, 2, 3}, []float64{1, 1, 1}, 91231, []int{41231, 40000, 10000}},
		{"largest", stats.OCBA{Goal: stats.Most}, []float64{3, 2, 1}, []float64{1, 1, 1}, 91231, []int{41231, 40000, 10000}},
		{"two alike", stats.OCBA{}, []float64{1, 2}, []float64{5, 5}, 101, []int{51, 50}},
		{"more spread, more runs", stats.OCBA{}, []float64{0, 1}, []float64{1, 3}, 40, []int{10, 30}},
		{"a tie within the indifference", stats.OCBA{Indifference: 1}, []float64{0, 0, 2}, []float64{1, 1, 1}, 91231, []int{41231, 40000, 10000}},
		{"one without spread", stats.OCBA{}, []float64{0, 1, 2}, []float64{1, 0, 1}, 10, []int{5, 0, 5}},
		{"all without spread", stats.OCBA{}, []float64{0, 1, 2}, []float64{0, 0, 0}, 10, []int{4, 3, 3}},
		{"all equal", stats.OCBA{}, []float64{7, 7}, []float64{1, 1}, 10, []int{5, 5}},
		{"one plant", stats.OCBA{}, []float64{7}, []float64{1}, 10, []int{10}},
		{"none", stats.OCBA{}, nil, nil, 10, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.rule.Allocate(tt.means, tt.sds, tt.total); !slices.Equal(got, tt.want) {
				t.Errorf("%v, want %v", got, tt.want)
			}
		})
	}
}

// OCBA must choose right more often than equal shares of the same budget.
func TestOCBABeatsEqualShares(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 65))
	means := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	sds := slices.Repeat([]float64{6}, 10)
	const total = 500
	equal := slices.Repeat([]int{total / 10}, 10)
	right := func(runs []int) (count int) {
		for range experiments {
			best, least := -1, math.Inf(1)
			for i := range means {
				if m := means[i] + sds[i]/math.Sqrt(float64(runs[i]))*rng.NormFloat64(); m < least {
					best, least = i, m
				}
			}
			if best == 0 {
				count++
			}
		}
		return count
	}
	shared, allotted := right(equal), right(stats.OCBA{}.Allocate(means, sds, total))
	t.Logf("right of %d: equal %d, allotted %d", experiments, shared, allotted)
	if allotted < shared+experiments/20 {
		t.Errorf("right of %d: equal shares %d, OCBA %d", experiments, shared, allotted)
	}
}

// source: closed form for two normal plants whose difference is normal(d, s):
// P(first best) = Phi(d/s), loss of the first s(phi(z) - z·Phi(-z)), of the
// second that plus d (Chick & Inoue, Operations Research 49, 2001; from memory).
func TestStandingsClosedForm(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 66))
	const d, s = 3.0, 5.0
	draws := make([][]float64, 40_000)
	for i := range draws {
		common := 100 * rng.NormFloat64()
		draws[i] = []float64{common, common + d + s*rng.NormFloat64()}
	}
	z := d / s
	best := distuv.UnitNormal.CDF(z)
	loss := s * (distuv.UnitNormal.Prob(z) - z*distuv.UnitNormal.CDF(-z))
	standings := stats.Standings(draws, stats.Least, .999)
	tests := []struct {
		name string
		e    stats.Estimate
		want float64
	}{
		{"first best", standings[0].Best, best}, {"second best", standings[1].Best, 1 - best},
		{"first loss", standings[0].Loss, loss}, {"second loss", standings[1].Loss, loss + d},
	}
	for _, tt := range tests {
		if !tt.e.Contains(tt.want) || tt.e.Contains(tt.want*wrongBy) {
			t.Errorf("%s: %.4f..%.4f, want %.4f and nothing 5 %% off", tt.name, tt.e.Low, tt.e.High, tt.want)
		}
	}
	if none := stats.Standings(nil, stats.Least, .95); len(none) != 0 {
		t.Errorf("no draws: %v", none)
	}
}

// The spread of bootstrapped means is SD/sqrt(n), and common luck stays common.
func TestBootstrapMeans(t *testing.T) {
	rng := rand.New(rand.NewPCG(honestyStreams, 67))
	samples := plantRuns(rng, []float64{50, 51}, 40, 10, 1)
	var mean, difference stats.Tally
	for _, draw := range stats.BootstrapMeans(samples, 4000, rng) {
		mean.Add(draw[0])
		difference.Add(draw[1] - draw[0])
	}
	n := math.Sqrt(40)
	e, p := stats.MeanInterval(samples[0], .95), stats.PairedInterval(samples[1], samples[0], .95)
	// The bootstrap's variance has divisor n, not n-1: 1.3 % less spread.
	if !near(mean.SD(), e.SD/n, 0.05) || !near(difference.SD(), p.SD/n, 0.05) {
		t.Errorf("spread of mean %.4f, of difference %.4f, want %.4f, %.4f", mean.SD(), difference.SD(), e.SD/n, p.SD/n)
	}
	if !within(mean.Mean(), e.Value, 4*e.SD/n/math.Sqrt(4000)) {
		t.Errorf("mean %.4f, want %.4f", mean.Mean(), e.Value)
	}
}
