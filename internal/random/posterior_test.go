package random_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"potbank/internal/random"
)

// luck gives uniforms by ordinal, of one of many independent kinds.
func luck(replication uint32, object uint64) func(uint32) float64 {
	source, purpose := random.New(1759, replication), random.PurposeOf("posterior test")
	return func(ordinal uint32) float64 { return source.Uniform(purpose, object, ordinal) }
}

// moments returns mean and standard deviation.
func moments(xs []float64) (mean, sd float64) {
	for _, x := range xs {
		mean += x / float64(len(xs))
	}
	for _, x := range xs {
		sd += (x - mean) * (x - mean) / float64(len(xs)-1)
	}
	return mean, math.Sqrt(sd)
}

// One hit in one trial leaves Beta(3/2, 1/2), of which P(share <= x) is
// (2/pi)(asin(sqrt x) - sqrt(x(1-x))), by integration.
func TestProportionOfOneTrial(t *testing.T) {
	for _, u := range []float64{0.001, 0.025, 0.5, 0.9, 0.975} {
		x := random.Proportion(u, 1, 1)
		if back := 2 / math.Pi * (math.Asin(math.Sqrt(x)) - math.Sqrt(x*(1-x))); math.Abs(back-u) > 1e-9 {
			t.Errorf("at %v the share is %v, below which lies %v", u, x, back)
		}
	}
}

// Mean and variance of Beta(a, b) are a/(a+b) and ab/((a+b)^2 (a+b+1)).
func TestProportionMoments(t *testing.T) {
	const draws = 1500
	for _, tt := range []struct{ hits, trials int }{{460, 500}, {0, 50}, {3, 4}, {900_000, 1_000_000}} {
		var xs []float64
		for i := range draws {
			x := random.Proportion(luck(0, uint64(tt.trials))(uint32(i)), tt.hits, tt.trials)
			if x <= 0 || x >= 1 {
				t.Fatalf("%d of %d: a share of %v", tt.hits, tt.trials, x)
			}
			xs = append(xs, x)
		}
		a, b := float64(tt.hits)+0.5, float64(tt.trials-tt.hits)+0.5
		mean, sd := moments(xs)
		wantMean, wantSD := a/(a+b), math.Sqrt(a*b/(a+b+1))/(a+b)
		if math.Abs(mean-wantMean) > 4*wantSD/math.Sqrt(draws) || math.Abs(sd/wantSD-1) > 0.1 {
			t.Errorf("%d of %d: %v +- %v, want %v +- %v", tt.hits, tt.trials, mean, sd, wantMean, wantSD)
		}
	}
}

// Each share of a Dirichlet law is a beta law, and what one outcome gains
// others lose. The share that was never seen has a long tail, so that its
// spread is known to 20 % only.
func TestMixture(t *testing.T) {
	const draws = 1500
	seen := []int{400, 65, 35, 0}
	shares := make([][]float64, len(seen))
	for i := range draws {
		u := luck(1, uint64(i))
		got := random.Mixture([]float64{u(0), u(1), u(2), u(3)}, seen)
		sum := 0.0
		for k, x := range got {
			shares[k] = append(shares[k], x)
			sum += x
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("%v add up to %v", got, sum)
		}
	}
	const total = 502 // 500 seen and a half for each outcome
	for k, n := range seen {
		a := float64(n) + 0.5
		mean, sd := moments(shares[k])
		wantMean, wantSD := a/total, math.Sqrt(a*(total-a)/(total+1))/total
		if math.Abs(mean-wantMean) > 4*wantSD/math.Sqrt(draws) || math.Abs(sd/wantSD-1) > 0.2 {
			t.Errorf("outcome %d: %v +- %v, want %v +- %v", k, mean, sd, wantMean, wantSD)
		}
	}
}

// fit is the law of records whose logarithms, or values, have this mean and sd.
var fits = map[string]func(records []float64) (random.Law, error){
	"normal": func(records []float64) (random.Law, error) {
		mean, sd := moments(records)
		return random.TruncatedNormal(mean, sd, math.Inf(-1), math.Inf(1))
	},
	"lognormal": func(records []float64) (random.Law, error) {
		mu, sigma := moments(logs(records))
		mean := math.Exp(mu + sigma*sigma/2)
		return random.LogNormal(mean, mean*math.Sqrt(math.Expm1(sigma*sigma)))
	},
	"exponential": func(records []float64) (random.Law, error) {
		mean, _ := moments(records)
		return random.Exponential(mean)
	},
	"weibull": func(records []float64) (random.Law, error) {
		mu, sigma := moments(logs(records))
		shape := math.Pi / math.Sqrt(6) / sigma
		return random.Weibull(shape, math.Exp(mu+0.5772156649/shape))
	},
}

func logs(xs []float64) []float64 {
	ys := slices.Clone(xs)
	for i, x := range xs {
		ys[i] = math.Log(x)
	}
	return ys
}

// The variance of n records of a normal law is its own times a chi-square of n-1
// degrees over n-1, and its mean is off by that law's sd over sqrt(n). Five
// records: 4 degrees. Source: NIST/SEMATECH e-Handbook, tables 1.3.6.7.4 and
// 1.3.6.7.1 (from memory).
func TestRefitOfNormalByTables(t *testing.T) {
	fit, err := random.TruncatedNormal(100, 20, math.Inf(-1), math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ u, chiSquare, v, normal float64 }{
		{0.95, 9.488, 0.5, 0}, {0.05, 0.711, 0.975, 1.960}, {0.975, 11.143, 0.025, -1.960},
	} {
		law, err := random.Refit(fit, 5, func(ordinal uint32) float64 { return []float64{tt.u, tt.v}[ordinal] })
		if err != nil {
			t.Fatal(err)
		}
		sd := 20 * math.Sqrt(4/tt.chiSquare)
		mean := 100 + tt.normal*sd/math.Sqrt(5)
		if math.Abs(law.SD()/sd-1) > 1e-3 || math.Abs(law.Mean()/mean-1) > 1e-3 {
			t.Errorf("at %v and %v: %v +- %v, want %v +- %v", tt.u, tt.v, law.Mean(), law.SD(), mean, sd)
		}
	}
}

// From ten records the next is to be foretold: it lies between the least and
// the greatest of 39 values, one of each of 39 refitted laws, in 38 of 40
// cases. A law taken for known from its ten records misses twice as often. The
// share may be off by 3.3 standard deviations, once in a thousand times.
func TestRefitForetellsTheNextRecord(t *testing.T) {
	const records, laws = 10, 39
	cases := 250
	if testing.Short() {
		cases = 40
	}
	off := 3.3 * math.Sqrt(0.95*0.05/float64(cases))
	truths := map[string]random.Law{}
	truths["normal"], _ = random.TruncatedNormal(100, 20, math.Inf(-1), math.Inf(1))
	truths["lognormal"], _ = random.LogNormal(75, 60)
	truths["exponential"], _ = random.Exponential(30)
	truths["weibull"], _ = random.Weibull(1.7, 80)
	for name, truth := range truths {
		covered := 0
		for i := range uint32(cases) {
			u, seen := luck(2+i, 0), make([]float64, records)
			for k := range seen {
				seen[k] = truth.Quantile(u(uint32(k)))
			}
			fit, err := fits[name](seen)
			if err != nil {
				t.Fatal(err)
			}
			low, high := math.Inf(1), math.Inf(-1)
			for k := range uint64(laws) {
				law, err := random.Refit(fit, records, luck(2+i, 1+k))
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				x := law.Quantile(luck(2+i, 1000)(uint32(k)))
				low, high = min(low, x), max(high, x)
			}
			if next := truth.Quantile(u(records)); low <= next && next <= high {
				covered++
			}
		}
		if share := float64(covered) / float64(cases); math.Abs(share-0.95) > off {
			t.Errorf("%s: the next record is covered in %.3f of the cases, want 0.95", name, share)
		}
	}
}

// The mean of n records of a gamma law of shape k has a coefficient of
// variation of 1/sqrt(nk); an Erlang law keeps its stages, whatever is drawn.
func TestRefitOfStages(t *testing.T) {
	const records = 40
	draws := 120
	if testing.Short() {
		draws = 60
	}
	gamma, _ := random.Gamma(60, 20) // shape 9
	erlang, _ := random.Erlang(9, 60)
	for i, law := range []random.Law{gamma, erlang} {
		var means []float64
		same := true
		for k := range uint64(draws) {
			l, err := random.Refit(law, records, luck(7, k))
			if err != nil {
				t.Fatal(err)
			}
			means = append(means, math.Log(l.Mean()/60))
			same = same && math.Abs(l.SD()/l.Mean()-1.0/3) < 1e-9
		}
		mean, sd := moments(means)
		if want := 1 / math.Sqrt(9*records); math.Abs(mean) > 4*want/math.Sqrt(float64(draws)) || math.Abs(sd/want-1) > 4/math.Sqrt(2*float64(draws)) {
			t.Errorf("%s: ln(mean) is off by %v +- %v, want 0 +- %v", law, mean, sd, want)
		}
		if same != (i == 1) {
			t.Errorf("%s: shape kept %v", law, same)
		}
	}
}

func TestResampleDealsWhatWasRecorded(t *testing.T) {
	recorded := []float64{8.5, 9, 11.25, 9, 40}
	means := map[float64]bool{}
	for i := range uint64(50) {
		l, err := random.Resample(recorded, luck(9, i))
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range []float64{0.01, 0.5, 0.99} {
			if x := l.Quantile(u); !slices.Contains(recorded, x) {
				t.Errorf("a value of %v, which nobody recorded", x)
			}
		}
		means[l.Mean()] = true
	}
	if len(means) < 25 {
		t.Errorf("only %d different means of 50 samples", len(means))
	}
	same, _ := random.Resample(recorded, luck(9, 3))
	again, _ := random.Resample(recorded, luck(9, 3))
	if same.Mean() != again.Mean() {
		t.Error("the same luck gives another sample")
	}
}

func TestRefitRefuses(t *testing.T) {
	uniform, _ := random.Uniform(9, 15)
	constant, _ := random.Constant(9)
	known, _ := random.Exponential(30)
	for _, l := range []random.Law{uniform, constant, random.Scaled(uniform, 60)} {
		if got, err := random.Refit(l, 40, luck(0, 0)); !errors.Is(err, random.ErrGuess) {
			t.Errorf("%s is refitted as %v, %v", l, got, err)
		}
	}
	if _, err := random.Refit(known, random.LeastRecords-1, luck(0, 0)); err == nil {
		t.Error("a law is fitted to four records")
	}
}
