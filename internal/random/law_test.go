package random

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// must gives the law of parameters a test knows to be right.
func must(l Law, err error) Law {
	if err != nil {
		panic(err)
	}
	return l
}

// cdf is the distribution function of an independent implementation.
type cdf interface{ CDF(x float64) float64 }

// shifted is a reference law moved and stretched.
type shifted struct {
	law            cdf
	offset, factor float64
}

func (s shifted) CDF(x float64) float64 { return s.law.CDF((x - s.offset) / s.factor) }

// cut is a reference law without what lies outside its bounds.
type cut struct {
	law    cdf
	lo, hi float64
}

func (c cut) CDF(x float64) float64 {
	lo := c.law.CDF(c.lo)
	return (c.law.CDF(x) - lo) / (c.law.CDF(c.hi) - lo)
}

// families holds every family at ordinary and at awkward parameters. The
// reference, where there is one, is distuv's distribution function, never the
// quantile that the law itself uses.
var families = []struct {
	spelling  string
	law       Law
	reference cdf
}{
	{"constant(7.5)", must(Constant(7.5)), nil},
	{"uniform(min -3, max 9)", must(Uniform(-3, 9)), distuv.Uniform{Min: -3, Max: 9}},
	{"triangular(least 8, likely 10, greatest 18)", must(Triangular(8, 10, 18)), distuv.NewTriangle(8, 18, 10, nil)},
	{"triangular(least 0, likely 0, greatest 6)", must(Triangular(0, 0, 6)), distuv.NewTriangle(0, 6, 0, nil)},
	{"triangular(least 1, likely 5, greatest 5)", must(Triangular(1, 5, 5)), distuv.NewTriangle(1, 5, 5, nil)},
	{"pert(least 8, likely 10, greatest 18)", must(PERT(8, 10, 18)), shifted{distuv.Beta{Alpha: 1.8, Beta: 4.2}, 8, 10}},
	{"pert(least 0, likely 0, greatest 3)", must(PERT(0, 0, 3)), shifted{distuv.Beta{Alpha: 1, Beta: 5}, 0, 3}},
	{"exponential(mean 20)", must(Exponential(20)), distuv.Exponential{Rate: 0.05}},
	{"gamma(mean 20, sd 10)", must(Gamma(20, 10)), distuv.Gamma{Alpha: 4, Beta: 0.2}},
	{"gamma(mean 90, sd 3)", must(Gamma(90, 3)), distuv.Gamma{Alpha: 900, Beta: 10}},
	{"gamma(mean 1, sd 2)", must(Gamma(1, 2)), distuv.Gamma{Alpha: 0.25, Beta: 0.25}},
	{"gamma(mean 5, sd 0.001)", must(Gamma(5, 0.001)), distuv.Gamma{Alpha: 25e6, Beta: 5e6}},
	{"erlang(k 3, mean 12)", must(Erlang(3, 12)), distuv.Gamma{Alpha: 3, Beta: 0.25}},
	{"weibull(shape 2, scale 100)", must(Weibull(2, 100)), distuv.Weibull{K: 2, Lambda: 100}},
	{"weibull(shape 0.7, scale 5)", must(Weibull(0.7, 5)), distuv.Weibull{K: 0.7, Lambda: 5}},
	{"weibull(shape 3, scale 100)", must(WeibullMean(100*math.Gamma(4./3), 3)), distuv.Weibull{K: 3, Lambda: 100}},
	{"lognormal(mean 20, sd 10)", must(LogNormal(20, 10)), distuv.LogNormal{Mu: math.Log(20) - math.Log(1.25)/2, Sigma: math.Sqrt(math.Log(1.25))}},
	{"lognormal(mean 75, sd 8)", must(LogNormal(75, 8)), nil},
	{"normal(mean 10, sd 2)", must(TruncatedNormal(10, 2, math.Inf(-1), math.Inf(1))), distuv.Normal{Mu: 10, Sigma: 2}},
	{"normal(mean 10, sd 4, min 0)", must(TruncatedNormal(10, 4, 0, math.Inf(1))), cut{distuv.Normal{Mu: 10, Sigma: 4}, 0, 99}},
	{"normal(mean 10, sd 2, max 8)", must(TruncatedNormal(10, 2, math.Inf(-1), 8)), cut{distuv.Normal{Mu: 10, Sigma: 2}, -99, 8}},
	{"normal(mean 10, sd 2, min 13, max 13.5)", must(TruncatedNormal(10, 2, 13, 13.5)), cut{distuv.Normal{Mu: 10, Sigma: 2}, 13, 13.5}},
	{"normal(mean 0, sd 1, min 4)", must(TruncatedNormal(0, 1, 4, math.Inf(1))), nil},
	{"beta(alpha 2, beta 5, min 0, max 1)", must(Beta(2, 5, 0, 1)), distuv.Beta{Alpha: 2, Beta: 5}},
	{"beta(alpha 0.57, beta 18, min 0, max 1)", must(Beta(0.57, 18, 0, 1)), distuv.Beta{Alpha: 0.57, Beta: 18}},
	{"beta(alpha 0.5, beta 0.5, min -1, max 1)", must(Beta(0.5, 0.5, -1, 1)), shifted{distuv.Beta{Alpha: 0.5, Beta: 0.5}, -1, 2}},
	{"beta(alpha 4000, beta 3000, min 0, max 1)", must(Beta(4000, 3000, 0, 1)), distuv.Beta{Alpha: 4000, Beta: 3000}},
	{"empirical(values 4, mean 4, min 1, max 8)", must(Empirical([]float64{8, 1, 5, 2}, nil)), nil},
	{"60000 x lognormal(mean 20, sd 10)", Scaled(must(LogNormal(20, 10)), 60_000), nil},
}

func TestSpelling(t *testing.T) {
	for _, f := range families {
		if got := f.law.String(); got != f.spelling {
			t.Errorf("got %q, want %q", got, f.spelling)
		}
	}
}

// TestMomentsByIntegration integrates the quantile over the normal score of u,
// where the trapezoid rule converges fast for both tails. Laws with corners or
// jumps converge slowly and get a wider tolerance.
func TestMomentsByIntegration(t *testing.T) {
	for _, f := range families {
		tolerance := 3e-7
		switch f.law.(type) {
		case triangular:
			tolerance = 2e-5
		case empirical:
			tolerance = 2e-3
		}
		mean, sd := integrate(f.law)
		scale := math.Abs(f.law.Mean()) + f.law.SD()
		if !near(mean, f.law.Mean(), tolerance*scale) {
			t.Errorf("%v: integral of the quantile %.10g, Mean %.10g", f.law, mean, f.law.Mean())
		}
		if !near(sd, f.law.SD(), 10*tolerance*scale) {
			t.Errorf("%v: integrated sd %.10g, SD %.10g", f.law, sd, f.law.SD())
		}
	}
}

// integrate returns mean and sd of a law from its quantile alone.
func integrate(l Law) (mean, sd float64) {
	const step, end = 1. / 331, 8.2
	average := func(f func(x float64) float64) float64 {
		sum, total := 0.0, 0.0
		for z := -end; z <= end; z += step {
			u := math.Erfc(-z/math.Sqrt2) / 2
			weight := math.Exp(-z * z / 2)
			sum += weight * f(l.Quantile(min(u, 1-0x1p-53)))
			total += weight
		}
		return sum / total
	}
	mean = average(func(x float64) float64 { return x })
	return mean, math.Sqrt(average(func(x float64) float64 { return (x - mean) * (x - mean) }))
}

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

func TestMomentsByDrawing(t *testing.T) {
	const n = 100_000
	source := New(11, 1)
	for _, f := range families {
		purpose := PurposeOf(f.spelling)
		var sum, squares, fourths float64
		for i := range n {
			d := f.law.Quantile(source.Uniform(purpose, uint64(i), 0)) - f.law.Mean()
			sum += d
			squares += d * d
			fourths += d * d * d * d
		}
		sd, variance := f.law.SD(), squares/n
		if !near(sum/n, 0, 4*sd/math.Sqrt(n)) {
			t.Errorf("%v: mean of draws off by %.3g standard errors", f.law, sum/n/(sd/math.Sqrt(n)))
		}
		doubt := math.Sqrt(max(0, fourths/n-variance*variance) / n)
		if !near(variance, sd*sd, 4*doubt+1e-9*sd*sd) {
			t.Errorf("%v: variance of draws %.5g, want %.5g, doubt %.2g", f.law, variance, sd*sd, doubt)
		}
	}
}

func TestQuantileRisesInsideItsBounds(t *testing.T) {
	const n = 100_000
	for _, f := range families {
		l := f.law
		last := math.Inf(-1)
		check := func(u float64) {
			x := l.Quantile(u)
			if math.IsNaN(x) || math.IsInf(x, 0) || x < l.Min() || x > l.Max() {
				t.Fatalf("%v: Quantile(%v) = %v, outside %v to %v", l, u, x, l.Min(), l.Max())
			}
			if x < last-1e-12*(math.Abs(last)+l.SD()) {
				t.Fatalf("%v: Quantile(%v) = %v falls below %v", l, u, x, last)
			}
			last = x
		}
		check(0x1p-53)
		check(1e-12)
		for i := range n {
			check((float64(i) + 0.5) / n)
		}
		check(1 - 1e-12)
		check(1 - 0x1p-53)
	}
}

// TestQuantileInvertsTheDistribution allows an error in the value, twice that
// allowed at the middle of a table's cell, and one in the reference's own
// probability. Where a density has a pole, no bound on the probability alone
// would be fair.
func TestQuantileInvertsTheDistribution(t *testing.T) {
	const n = 4000
	for _, f := range families {
		if f.reference == nil {
			continue
		}
		slip := 1e-9 * f.law.SD()
		switch f.law.(type) {
		case gamma, beta:
			slip = 2 * inverseError * f.law.SD()
		}
		check := func(u float64) {
			x := f.law.Quantile(u)
			doubt := 1e-8 * min(u, 1-u)
			if f.reference.CDF(x-slip)-doubt > u || f.reference.CDF(x+slip)+doubt < u {
				t.Errorf("%v: CDF(Quantile(%v)) = %.12g", f.law, u, f.reference.CDF(x))
			}
		}
		for i := range n {
			check((float64(i) + 0.5) / n)
		}
		for _, tail := range []float64{1e-4, 1e-6, 1e-8} {
			check(tail)
		}
	}
}

func TestPublishedAndClosedFormValues(t *testing.T) {
	quantile := func(u float64) func(Law) float64 {
		return func(l Law) float64 { return l.Quantile(u) }
	}
	variance := func(l Law) float64 { return l.SD() * l.SD() }
	scv := func(l Law) float64 { return l.SD() * l.SD() / (l.Mean() * l.Mean()) }
	tests := []struct {
		source string
		law    Law
		of     func(Law) float64
		want   float64
	}{
		{"moment formulas, median = exp(mu)", must(LogNormal(20, 10)), quantile(0.5), 17.888543820},
		{"moment formulas, exp(mu + 1.6448536 sigma)", must(LogNormal(20, 10)), quantile(0.95), 38.906356760},
		{"closed form, (8+10+18)/3", must(Triangular(8, 10, 18)), Law.Mean, 12},
		{"closed form, 14/3", must(Triangular(8, 10, 18)), variance, 4.6666666667},
		{"closed form", must(Triangular(8, 10, 18)), quantile(0.1), 9.4142135624},
		{"closed form", must(Triangular(8, 10, 18)), quantile(0.5), 11.6754446797},
		{"closed form", must(Triangular(8, 10, 18)), quantile(0.9), 15.1715728754},
		{"Malcolm et al. 1959, Vose: (8+40+18)/6", must(PERT(8, 10, 18)), Law.Mean, 11},
		{"Malcolm et al. 1959, Vose: 100 ab/((a+b)^2 (a+b+1))", must(PERT(8, 10, 18)), variance, 3},
		{"closed form, shape 4", must(Gamma(20, 10)), quantile(0.05), 6.831591984},
		{"closed form, shape 4", must(Gamma(20, 10)), quantile(0.95), 38.768282640},
		{"closed form", must(Erlang(4, 20)), variance, 100},
		{"closed form", must(Weibull(2, 100)), Law.Mean, 88.62269255},
		{"closed form", must(Weibull(2, 100)), quantile(0.1), 32.45928460},
		{"closed form", must(Weibull(2, 100)), quantile(0.5), 83.25546111},
		{"closed form", must(Weibull(2, 100)), quantile(0.9), 151.7427129},
		{"closed form, 4/pi - 1", must(Weibull(2, 100)), scv, 0.2732395447},
		{"gamma-function formulas", must(Weibull(0.5, 1)), Law.Mean, 2},
		{"gamma-function formulas", must(Weibull(0.5, 1)), scv, 5},
		{"gamma-function formulas", must(Weibull(0.5, 1)), quantile(0.5), 0.4804530139},
		{"gamma-function formulas", must(Weibull(1, 1)), Law.Mean, 1},
		{"gamma-function formulas", must(Weibull(1, 1)), scv, 1},
		{"gamma-function formulas", must(Weibull(1, 1)), quantile(0.5), 0.6931471806},
		{"gamma-function formulas", must(Weibull(2, 1)), Law.Mean, 0.8862269255},
		{"gamma-function formulas", must(Weibull(2, 1)), quantile(0.5), 0.8325546112},
		{"gamma-function formulas", must(Weibull(3.5, 1)), Law.Mean, 0.8997471765},
		{"gamma-function formulas", must(Weibull(3.5, 1)), scv, 0.1001460738},
		{"gamma-function formulas", must(Weibull(3.5, 1)), quantile(0.5), 0.9005784703},
		{"standard tables, median", must(Beta(2, 5, 0, 1)), quantile(0.5), 0.2644499833},
		// The three uniforms open the MRG32k3a sequence from seeds 12345
		// (L'Ecuyer, Oper. Res. 47, 1999); the draws are -20 ln(1-u).
		{"definition", must(Exponential(20)), quantile(0.12701112204657714), 2.716649265},
		{"definition", must(Exponential(20)), quantile(0.3185275653967945), 7.669989536},
		{"definition", must(Exponential(20)), quantile(0.3091860155832701), 7.397693782},
		// The mean beyond a bound is the inverse Mills ratio, density over
		// survival, both taken at 4.
		{"closed form", must(TruncatedNormal(0, 1, 4, math.Inf(1))), Law.Mean, 4.225607144},
		// Half-normal: mean sqrt(2/pi), variance 1 - 2/pi.
		{"closed form", must(TruncatedNormal(0, 1, 0, math.Inf(1))), Law.Mean, 0.7978845608},
		{"closed form", must(TruncatedNormal(0, 1, 0, math.Inf(1))), variance, 0.3633802276},
	}
	for _, test := range tests {
		if got := test.of(test.law); !near(got, test.want, 1e-9*math.Max(1, math.Abs(test.want))) {
			t.Errorf("%v: got %.10f, want %.10f (source: %s)", test.law, got, test.want, test.source)
		}
	}
}

func TestLogNormalParametersOfTheLogarithm(t *testing.T) {
	// source: moment formulas, mean 20 and coefficient of variation 0.5.
	l := must(LogNormal(20, 10)).(logNormal)
	if !near(l.mu, 2.884160497897, 1e-9) || !near(l.sigma, 0.472380727077, 1e-9) {
		t.Errorf("mu %.12f, sigma %.12f, want 2.884160497897, 0.472380727077", l.mu, l.sigma)
	}
	// Skewness (w+2) sqrt(w-1) with w = exp(sigma^2).
	w := math.Exp(l.sigma * l.sigma)
	if skewness := (w + 2) * math.Sqrt(w-1); !near(skewness, 1.625, 1e-9) {
		t.Errorf("skewness %.10f, want 1.625", skewness)
	}
}

func TestPERTExponents(t *testing.T) {
	// source: Vose's parameterisation with weight 4, guess 8, 10, 18.
	if a, b := pertExponents(8, 10, 18); !near(a, 1.8, 1e-12) || !near(b, 4.2, 1e-12) {
		t.Errorf("exponents %v, %v, want 1.8, 4.2", a, b)
	}
}

func TestDegenerateLawsAreConstants(t *testing.T) {
	tests := []struct {
		law  Law
		want float64
	}{
		{must(Uniform(3, 3)), 3},
		{must(Triangular(4, 4, 4)), 4},
		{must(PERT(5, 5, 5)), 5},
		{must(LogNormal(6, 0)), 6},
		{must(Gamma(7, 0)), 7},
		{must(TruncatedNormal(8, 0, 0, 9)), 8},
		{Scaled(must(Constant(9)), 2), 18},
	}
	for _, test := range tests {
		if c, ok := test.law.(constant); !ok || c.value != test.want {
			t.Errorf("got %v, want constant(%v)", test.law, test.want)
		}
	}
}

func TestScaledConvertsEverything(t *testing.T) {
	minutes := must(Triangular(8, 10, 18))
	ms := Scaled(Scaled(minutes, 60), 1000)
	for _, of := range []func(Law) float64{
		Law.Mean, Law.SD, Law.Min, Law.Max, func(l Law) float64 { return l.Quantile(0.3) },
	} {
		if got, want := of(ms), 60_000*of(minutes); !near(got, want, 1e-9*want) {
			t.Errorf("got %v, want %v", got, want)
		}
	}
	if Scaled(minutes, 1) != minutes {
		t.Error("a factor of 1 wraps the law")
	}
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if !panics(func() { Scaled(minutes, factor) }) {
			t.Errorf("factor %v was accepted", factor)
		}
	}
}

func panics(f func()) (did bool) {
	defer func() { did = recover() != nil }()
	f()
	return false
}
