package proof

import (
	"fmt"
	"math"
	"strconv"

	"potbank/internal/random"
	"potbank/internal/stats"
)

// otherGenerator is why the known answers of other generators are not run.
const otherGenerator = "potbank does not use this generator: its draws are keyed (Philox4x64-10, known answers in the tests of internal/random)"

// drawing is the rows on random numbers and laws.
var drawing = []method{
	{id: "D01", not: otherGenerator},
	{id: "D02", not: otherGenerator},
	{id: "D03", not: otherGenerator},
	{id: "D04", path: "random.Object", run: splitMix},
	{id: "D06", not: otherGenerator},
	{id: "D07", not: otherGenerator},
	{id: "D08", not: otherGenerator},
	{id: "D09", path: "random.LogNormal", run: logNormal},
	{id: "D10", path: "random.Triangular", run: triangular},
	{id: "D11", path: "random.PERT", run: pert},
	{id: "D12", path: "random.Gamma", run: gamma},
	{id: "D13", path: "random.Weibull", run: weibull},
	{id: "D14", path: "random.Beta, Erlang", run: discreteLaws},
	{id: "D15", path: "random.Exponential", run: inversion},
}

// splitMix: a key of one part is the first output of SplitMix64 from it; the
// next outputs are those from states one golden step on each.
func splitMix(t *trial) {
	const golden = 0x9E3779B97F4A7C15
	for k, want := range list("6457827717110365317 3203168211198807973 9817491932198370423 4593380528125082431 16408922859458223821") {
		t.same(fmt.Sprintf("seed 1234567, output %d", k+1), random.Object(1234567+uint64(k)*golden), want)
	}
	state := uint64(0)
	for k, want := range list("e220a8397b1dcdaf 6e789e6aa1b965f4 06c45d188009454f") {
		t.same(fmt.Sprintf("seed 0, output %d", k+1), fmt.Sprintf("%016x", random.Object(state)), want)
		state += golden
	}
}

func logNormal(t *trial) {
	l := law(random.LogNormal(20, 10))
	median, high := l.Quantile(.5), l.Quantile(.95)
	t.exact("mu", math.Log(median), "2.884160497897", 1e-9)
	t.exact("sigma", math.Log(high/median)/stats.NormalQuantile(.95), "0.472380727077", 1e-9)
	t.exact("median", median, "17.888543820", 1e-9)
	t.exact("p95", high, "38.906356760", 1e-9)
	t.leave("a law of potbank has no skewness")
}

func triangular(t *trial) {
	l := law(random.Triangular(8, 10, 18))
	t.exact("mean", l.Mean(), "12", 1e-9)
	t.printed("variance", l.SD()*l.SD(), "4.6666667")
	quantiles(t, l, []float64{.1, .5, .9}, "9.4142135624 11.6754446797 15.1715728754")
}

// quantiles holds quantiles to 1e-9 of their value.
func quantiles(t *trial, l random.Law, at []float64, wants string) {
	for i, want := range list(wants) {
		t.exact("q"+strconv.FormatFloat(at[i], 'g', -1, 64), l.Quantile(at[i]), want, 1e-9)
	}
}

// tabulated is the accuracy of the laws that are inverted by table, as a share
// of the standard deviation.
const tabulated = 1e-7

// pert: the exponents follow from mean and spread, which is all a law tells.
func pert(t *trial) {
	l := law(random.PERT(8, 10, 18))
	m, v := (l.Mean()-8)/10, l.SD()*l.SD()/100
	both := m*(1-m)/v - 1
	t.exact("alpha", m*both, "1.8", 1e-9)
	t.exact("beta", (1-m)*both, "4.2", 1e-9)
	t.exact("mean", l.Mean(), "11", 1e-9)
	t.exact("variance", l.SD()*l.SD(), "3.0", 1e-9)
}

func gamma(t *trial) {
	l := law(random.Gamma(20, 10))
	t.within("q0.05", l.Quantile(.05), "6.831591984", tabulated*l.SD())
	t.within("q0.95", l.Quantile(.95), "38.768282640", tabulated*l.SD())
	t.exact("variance", l.SD()*l.SD(), "100", 1e-9)
	t.leave("quantiles are held to 1e-7 of the standard deviation, to which the law is tabulated")
}

func weibull(t *trial) {
	l := law(random.Weibull(2, 100))
	t.exact("mean", l.Mean(), "88.62269255", 1e-9)
	quantiles(t, l, []float64{.1, .5, .9}, "32.45928460 83.25546111 151.7427129")
	t.exact("SCV", l.SD()*l.SD()/(l.Mean()*l.Mean()), ".2732395447", 1e-9)
}

// discreteLaws: potbank has no binomial or Poisson law, but the beta and the
// gamma law by which their sums are known: of 10 trials at .3 at most 3 succeed
// as often as the fourth smallest of 10 uniforms is above .3, and 4 of a Poisson
// law of mean 4 are not passed as often as five stages take longer than 4.
func discreteLaws(t *trial) {
	t.within("binomial(10, .3), 3", 1-below(law(random.Beta(4, 7, 0, 1)), .3), "0.6496107184", tabulated)
	t.within("Poisson(4), 4", 1-below(law(random.Erlang(5, 5)), 4), "0.6288369352", tabulated)
	t.within("Beta(2,5), median", law(random.Beta(2, 5, 0, 1)).Quantile(.5), "0.2644499833", tabulated)
	t.leave("held to 1e-7, to which the laws are tabulated")
}

// below is the probability that a law lies below x, found by halving, since a
// law tells its quantiles only.
func below(l random.Law, x float64) float64 {
	low, high := 0.0, 1.0
	for range 50 {
		if middle := (low + high) / 2; l.Quantile(middle) < x {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// inversion: a draw is the quantile at U, not at 1 - U.
func inversion(t *trial) {
	l := law(random.Exponential(20))
	for i, want := range list("2.716649265 7.669989536 7.397693782") {
		u := []float64{0.12701112204657714, 0.3185275653967945, 0.3091860155832701}[i]
		t.exact(fmt.Sprintf("at U%d", i+1), l.Quantile(u), want, 1e-9)
	}
}
