package proof

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"potbank/internal/random"
	"potbank/internal/stats"
)

// statistics is the rows on output analysis.
var statistics = []method{
	{id: "C01", path: "stats.MeanInterval", run: func(t *trial) {
		meanInterval(t, []float64{1.20, 1.50, 1.68, 1.89, .95, 1.49, 1.58, 1.55, .50, 1.09}, "1.343 0.1675122 0.2372534")
	}},
	{id: "C02", path: "stats.MeanInterval", run: func(t *trial) {
		meanInterval(t, []float64{1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60}, "2.031 0.3090989 0.3222834")
	}},
	{id: "C03", path: "stats.PairedInterval", run: pairedInterval},
	{id: "C05", path: "stats.StudentQuantile", run: studentQuantiles},
	{id: "C06", path: "stats.ChiSquareQuantile", run: chiSquareQuantiles},
	{id: "C07", path: "stats.FQuantile", run: fQuantiles},
	{id: "C08", path: "stats.KolmogorovCritical", run: kolmogorovDistances},
	{id: "C09", path: "stats.Tally, Autocorrelation", run: referenceData},
	{id: "C10", path: "stats.Tally, Autocorrelation", run: awkwardData},
	{id: "C11", path: "random, stats.Tally", run: dependentMean},
	{id: "C12", path: "random, stats.Autocorrelation", run: batchesHangTogether},
	{id: "C13", path: "random, stats.AverageSeries", run: initialBias},
	{id: "C15", path: "stats.Welch", run: welch},
	{id: "C16", path: "stats.Wilson", run: func(t *trial) {
		proportions(t, stats.Wilson, ".2553 .3662 .0624 .1605 .0000 .1611 .0061 .1718")
	}},
	{id: "C17", path: "stats.ClopperPearson", run: func(t *trial) {
		proportions(t, stats.ClopperPearson, ".2527 .3676 .0578 .1617 0 .1684 .0009 .1776")
	}},
	{id: "C19", path: "stats.QuantileRanks", run: quantileRanks},
	{id: "C20", path: "stats.ToleranceSampleSize", run: toleranceSizes},
	{id: "C21", path: "stats.DudewiczDalalConstant", run: dudewiczDalal},
	{id: "C23", path: "stats.KimNelsonConstant", run: kimNelson},
	{id: "C24", path: "random.Exponential, stats.PairedInterval, Correlation", run: commonDraws},
	{id: "C25", path: singleQueue + ", stats", run: runLength},
}

func meanInterval(t *trial, values []float64, wants string) {
	e, want := stats.MeanInterval(values, 0.90), list(wants)
	t.exact("mean", e.Value, want[0], 1e-12)
	t.printed("S^2", e.SD*e.SD, want[1])
	t.printed("half-width", e.HalfWidth(), want[2])
}

func pairedInterval(t *trial) {
	e := stats.PairedInterval([]float64{126.97, 124.31, 126.68, 122.66, 127.23}, []float64{118.21, 120.22, 122.45, 122.68, 119.40}, 0.90)
	t.exact("mean difference", e.Value, "4.978", 1e-12)
	t.printed("S^2/n", e.SD*e.SD/5, "2.438274")
	t.printed("half-width", e.HalfWidth(), "3.33")
	t.printed("low", e.Low, "1.649")
	t.printed("high", e.High, "8.307")
}

func studentQuantiles(t *trial) {
	for _, c := range []struct {
		df, p float64
		want  string
	}{
		{1, .975, "12.7062"}, {4, .95, "2.1318"}, {4, .975, "2.7764"}, {9, .95, "1.8331"}, {9, .975, "2.2622"},
		{19, .975, "2.0930"}, {29, .975, "2.0452"}, {30, .975, "2.0423"}, {99, .975, "1.9842"}, {120, .975, "1.9799"},
	} {
		t.printed(fmt.Sprintf("t(%g, %g)", c.df, c.p), stats.StudentQuantile(c.p, c.df), c.want)
	}
}

func chiSquareQuantiles(t *trial) {
	for _, c := range []struct {
		df, p float64
		want  string
	}{{1, .95, "3.8415"}, {9, .05, "3.3251"}, {9, .95, "16.9190"}, {10, .95, "18.3070"}, {30, .05, "18.4927"}, {30, .95, "43.7730"}, {99, .95, "123.2252"}} {
		t.printed(fmt.Sprintf("chi2(%g, %g)", c.df, c.p), stats.ChiSquareQuantile(c.p, c.df), c.want)
	}
}

func fQuantiles(t *trial) {
	for _, c := range []struct {
		d1, d2, p float64
		want      string
	}{{1, 1, .95, "161.4476"}, {4, 5, .95, "5.1922"}, {5, 10, .95, "3.3258"}, {10, 20, .95, "2.3479"}, {9, 9, .975, "4.0260"}} {
		t.printed(fmt.Sprintf("F(%g, %g, %g)", c.d1, c.d2, c.p), stats.FQuantile(c.p, c.d1, c.d2), c.want)
	}
}

func kolmogorovDistances(t *trial) {
	for _, c := range []struct {
		n    int
		want string
	}{{5, "0.56328"}, {10, "0.40925"}, {20, "0.29408"}, {50, "0.18841"}} {
		t.printed(fmt.Sprintf("D, n %d", c.n), stats.KolmogorovCritical(c.n, .05), c.want)
	}
}

// referenceData: certified digits. Thirteen are asked for; twelve of the spread
// of Mavro, whose values lie close together, and of correlations, which are sums
// of small terms of either sign.
func referenceData(t *trial) {
	for _, c := range []struct {
		name, mean, sd, lag string
	}{
		{"PiDigits", "4.53480000000000", "2.86733906028871", "-0.00355099287237972"},
		{"Lottery", "518.958715596330", "291.699727470969", "-0.120948622967393"},
		{"Lew", "-177.435000000000", "277.332168044316", "-0.307304800605679"},
		{"Mavro", "2.00185600000000", "0.000429123454003053", "0.937989183438248"},
		{"Michelso", "299.852400000000", "0.0790105478190518", "0.535199668621283"},
	} {
		values := readData("nist_" + c.name + ".txt")
		tally := tallied(values)
		spread := 1e-13
		if c.name == "Mavro" {
			spread = 1e-12
		}
		t.precise(c.name+": mean", tally.Mean(), c.mean, 1e-13)
		t.precise("sd", tally.SD(), c.sd, spread)
		t.precise("lag 1", stats.Autocorrelation(values, 1), c.lag, 1e-11)
	}
}

// awkwardData: means that are huge beside the spread, on which a sum of squares
// loses every digit.
func awkwardData(t *trial) {
	three := []float64{10000001, 10000003, 10000002}
	tally := tallied(three)
	t.exact("NumAcc1: mean", tally.Mean(), "10000002", 1e-15)
	t.exact("sd", tally.SD(), "1", 1e-15)
	t.exact("lag 1", stats.Autocorrelation(three, 1), "-.5", 1e-15)
	for i, share := range []float64{1e-10, 1e-9, 1e-7} {
		base := []float64{1, 1e6, 1e7}[i]
		values := []float64{base + 0.2}
		for range 500 {
			values = append(values, base+0.1, base+0.3)
		}
		tally := tallied(values)
		t.exact(fmt.Sprintf("NumAcc%d: mean - B", i+2), tally.Mean()-base, ".2", 1e-15*base/.2)
		t.precise("sd", tally.SD(), ".1", share)
		t.precise("lag 1", stats.Autocorrelation(values, 1), "-.999", share)
	}
}

// precise is exact with every digit shown.
func (t *trial) precise(name string, got float64, want string, share float64) {
	w := number(want)
	t.report(Figure{Name: name, Want: want, Got: digits(got, 16), Held: math.Abs(got-w) <= share*math.Abs(w)})
}

// readData reads one number a line after the comment lines.
func readData(name string) []float64 {
	var values []float64
	for line := range strings.Lines(dataFile(name)) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		x, err := strconv.ParseFloat(line, 64)
		if err != nil {
			panic(err)
		}
		values = append(values, x)
	}
	return values
}

// tallied adds values to a new tally.
func tallied(values []float64) *stats.Tally {
	var t stats.Tally
	for _, x := range values {
		t.Add(x)
	}
	return &t
}

// A drift is a series of which each value remembers the one before:
// X = phi X + e, e standard normal.
type drift struct {
	phi, x float64
	d      *stream
}

var bell = law(random.TruncatedNormal(0, 1, math.Inf(-1), math.Inf(1)))

// newDrift starts a series that is settled.
func newDrift(s random.Source, phi float64) *drift {
	d := newStream(s, "noise")
	return &drift{phi, bell.Quantile(d.uniform()) / math.Sqrt(1-phi*phi), d}
}

// next gives the next value, and the noise that was added to the one after.
func (a *drift) next() (x, noise float64) {
	x, noise = a.x, bell.Quantile(a.d.uniform())
	a.x = float64(a.phi*x) + noise
	return x, noise
}

// dependentMean: how well the mean of 1,000 dependent values is known, and how
// far one is out who takes them as independent.
func dependentMean(t *trial) {
	const n, series = 1000, 60
	t.chance(func(s random.Source) sample {
		a := newDrift(s, 0.9)
		var square, ofMean, claimed float64
		controls := make([]float64, 3)
		for range series {
			var one stats.Tally
			noises := 0.0
			for range n {
				x, noise := a.next()
				one.Add(x)
				square += float64(x * x)
				noises += noise
				controls[0] += float64(noise*noise) - 1
				controls[1] += float64(x * noise)
			}
			controls[2] += float64(noises*noises)/n - 1
			ofMean += float64(n * one.Mean() * one.Mean())
			claimed += one.Variance() / n
		}
		return sample{[]float64{square / (n * series), ofMean / series, claimed / series / (number("99.05263158") / n)}, controls}
	}, wanted{name: "Var X", want: "5.263157895"}, wanted{name: "n Var(mean)", want: "99.05263158", width: 0.02},
		wanted{name: "E[S^2/n] / Var(mean)", want: "0.0521871"})
	t.leave("the asymptotic value 100 is a limit and not run")
}

// batchesHangTogether: the correlation of neighbouring batch means. What a batch
// hands on is the value it ends with; the noise that comes after has nothing to
// do with the batch, which makes it a control.
func batchesHangTogether(t *trial) {
	for _, c := range []struct {
		phi           float64
		size, batches int
		want          string
	}{{.5, 10, 12_000, ".0767614"}, {.9, 10, 3_000, ".5247206"}, {.9, 50, 4_000, ".1155422"}, {.9, 100, 5_000, ".0523227"}} {
		n := float64(c.size)
		handed := (1 - math.Pow(c.phi, n)) / (1 - c.phi) / n // what one unit at the start adds to the mean
		t.chance(func(s random.Source) sample {
			a := newDrift(s, c.phi)
			means, controls := make([]float64, c.batches), make([]float64, 3)
			for i := range means {
				start := a.x
				for range c.size {
					x, _ := a.next()
					means[i] += x / n
				}
				if i > 0 {
					controls[0] += means[i-1] * (means[i] - handed*start)
				}
				controls[1] += start*start - 1/(1-c.phi*c.phi)
				controls[2] += means[i] - handed*start
			}
			return sample{[]float64{stats.Autocorrelation(means, 1)}, controls}
		}, wanted{name: fmt.Sprintf("phi %g, batches of %d", c.phi, c.size), want: c.want, width: 0.04})
	}
	t.leave("batches of 50 and 100 at phi .5 are left out: to tell .0137 and .0068 from 5 % off takes 10^8 values")
}

// initialBias: a series that starts at 10 instead of 0. It is run twice, the
// second time with the noise reversed, so that the noise cancels in the average.
func initialBias(t *trial) {
	s := newStream(t.source("noise", 0), "noise")
	run, mirror := make([]float64, 50), make([]float64, 50)
	for i, x, y := 0, 10.0, 10.0; i < 50; i++ {
		run[i], mirror[i] = x, y
		noise := bell.Quantile(s.uniform())
		x, y = float64(0.9*x)+noise, float64(0.9*y)-noise
	}
	average := stats.AverageSeries([][]float64{run, mirror})
	t.printed("mean of X0..X49", tallied(average).Mean(), "1.98969245")
	t.printed("after deleting 20", tallied(average[20:]).Mean(), "0.38807626")
}

func welch(t *trial) {
	got := stats.Welch([]float64{1, 4, 9, 16, 25, 36, 49}, 2)
	for i, want := range []string{"1", "4.6666667", "11", "18", "27"} {
		t.printed(fmt.Sprintf("smoothed %d", i+1), got[i], want)
	}
	t.same("values", len(got), "5")
}

func proportions(t *trial, interval func(x, n int, level float64) stats.Estimate, limits string) {
	want := list(limits)
	for i, c := range [][2]int{{81, 263}, {15, 148}, {0, 20}, {1, 29}} {
		e := interval(c[0], c[1], 0.95)
		t.within(fmt.Sprintf("%d/%d low", c[0], c[1]), e.Low, want[2*i], 5.001e-5)
		t.within("high", e.High, want[2*i+1], 5.001e-5)
	}
}

func quantileRanks(t *trial) {
	for _, c := range []struct {
		n               int
		p               float64
		ranks, coverage string
	}{{10, .5, "(2,9)", ".978516"}, {20, .5, "(6,15)", ".958611"}, {50, .5, "(18,32)", ".951126"}, {100, .9, "(84,96)", ".955690"}} {
		low, high, coverage, _ := stats.QuantileRanks(c.n, c.p, 0.95)
		t.same(fmt.Sprintf("n %d, p %g: ranks", c.n, c.p), fmt.Sprintf("(%d,%d)", low, high), c.ranks)
		t.printed("coverage", coverage, c.coverage)
	}
	low, high, coverage, _ := stats.QuantileRanks(100, .95, 0.95)
	t.same("n 100, p 0.95: width", high-low, strconv.Itoa(100-91))
	t.same("covers 95 %", coverage >= .95, "true")
	t.leave(fmt.Sprintf("for n 100 and p .95, ranks (%d,%d) are as narrow as (91,100); of pairs as narrow potbank takes the lowest", low, high))
}

func toleranceSizes(t *trial) {
	t.same("95/95 one-sided", stats.ToleranceSampleSize(.95, .95, false), "59")
	t.same("90/95 one-sided", stats.ToleranceSampleSize(.90, .95, false), "29")
	t.same("95/95 two-sided", stats.ToleranceSampleSize(.95, .95, true), "93")
}

func dudewiczDalal(t *trial) {
	for _, c := range []struct {
		n0, k int
		p     float64
		want  string
	}{
		{20, 2, .90, "1.896"}, {20, 3, .90, "2.342"}, {20, 5, .90, "2.747"}, {20, 10, .90, "3.182"},
		{20, 2, .95, "2.452"}, {20, 3, .95, "2.872"}, {20, 5, .95, "3.258"}, {20, 10, .95, "3.679"},
		{40, 2, .95, "2.386"}, {40, 10, .95, "3.539"},
	} {
		t.within(fmt.Sprintf("h1, n0 %d, P* %g, k %d", c.n0, c.p, c.k), stats.DudewiczDalalConstant(c.k, c.n0, c.p), c.want, 1e-3)
	}
}

func kimNelson(t *trial) {
	for _, c := range []struct {
		k         int
		eta, both string
	}{{2, ".3340503", "6.012905"}, {5, ".6349673", "11.429411"}, {10, ".8590834", "15.463502"}} {
		eta := stats.KimNelsonConstant(c.k, 10, .05)
		t.within(fmt.Sprintf("eta, k %d", c.k), eta, c.eta, 1e-6)
		t.within("h^2", 2*eta*9, c.both, 1e-5)
	}
}

// commonDraws: what it does to a difference when both sides share their luck,
// and to a mean when two draws are opposite.
func commonDraws(t *trial) {
	const n = 30_000
	whole, less := law(random.Exponential(1)), law(random.Exponential(0.9))
	t.chance(func(s random.Source) sample {
		d, other := newStream(s, "draw"), newStream(s, "other draw")
		x, y, apart, mirror, half := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		controls := make([]float64, 5)
		for i := range n {
			u := d.uniform()
			x[i], y[i], mirror[i], apart[i] = whole.Quantile(u), less.Quantile(u), whole.Quantile(1-u), less.Quantile(other.uniform())
			half[i] = (x[i] + mirror[i]) / 2
			for k, v := range [...]float64{x[i], apart[i] / 0.9} {
				controls[2*k] += v - 1
				controls[2*k+1] += v*v - 2
			}
			controls[4] += (x[i] - 1) * (apart[i] - 0.9)
		}
		shared, single := stats.PairedInterval(x, y, .95), stats.PairedInterval(x, apart, .95)
		return sample{[]float64{
			shared.SD * shared.SD, single.SD * single.SD, shared.SD * shared.SD / (single.SD * single.SD),
			stats.Correlation(x, mirror), tallied(half).Variance(),
		}, controls}
	}, wanted{name: "Var(X-Y), same U", want: "0.01"}, wanted{name: "Var(X-Y), independent", want: "1.81"},
		wanted{name: "ratio", want: ".00552486"}, wanted{name: "corr(X, X')", want: "-0.644934067"},
		wanted{name: "Var((X+X')/2)", want: "0.177532967"})
}

// runLength: the variance of a time average, which says how long to run. It is
// that of a chance figure itself and so known to some 15 % only.
func runLength(t *trial) {
	for _, c := range []struct {
		load, length float64
		want         string
	}{{.5, 800, "24"}, {.8, 3_500, "1800"}} {
		squares := t.pool(digits(c.load, 2), func(s random.Source) []float64 {
			var all []float64
			for k := range 45 {
				q := newQueue(s, exponential(1/c.load), exponential(1))
				q.arrivals, q.services = newStream(s, fmt.Sprint("arrival ", k)), newStream(s, fmt.Sprint("service ", k))
				q.run(1, 300, c.length)
				off := q.present.mean() - c.load/(1-c.load)
				all = append(all, c.length*off*off)
			}
			return all
		})
		t.judge(wanted{name: fmt.Sprintf("T Var(L), load %g", c.load), want: c.want, width: 0.2}, stats.MeanInterval(squares, sureness))
	}
	t.leave("load .9 is left out: it takes 4 x 10^7 customers to be known within 20 %")
}

// list is shorthand for published numbers in a row.
func list(texts string) []string { return slices.Collect(strings.FieldsSeq(texts)) }
