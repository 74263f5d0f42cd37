package des_test

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"potbank/internal/des"
)

// The textbook tests run models with a known answer. Each names the case by the id it
// has in the project's list of checks, and the source of the answer.
//
// A random model is run in independent replications. It passes if a 99.9 % confidence
// interval over the replications covers the exact value and is narrow: at most 1 % to
// either side unless stated, 2 % where the load is 0.9 or more. To show that this has
// power, the same interval must not cover 1.05 times the exact value. Seeds are fixed,
// so a build that passes keeps passing.

// unit is the unit of time of models without one: long enough that rounding to the
// millisecond is nothing beside the tolerance.
const unit = 1000 * sec

// quantity is a figure with a known value.
type quantity struct {
	name  string
	want  float64
	width float64 // greatest half-width, as a fraction of want; 0 means 1 %
}

// sample is what one replication yields.
type sample struct {
	values   []float64 // in the order of the quantities
	controls []float64 // deviations of the inputs from what was expected, if any; of mean 0
}

// replications is how often a random model is run.
const replications = 40

// check runs the model in replications and judges the quantities.
func check(t *testing.T, id, source string, quantities []quantity, model func(seed uint64) sample) {
	t.Helper()
	samples := make([]sample, replications)
	seed := fnv.New64a() // every case has seeds of its own
	seed.Write([]byte(id + quantities[0].name))
	for i := range samples {
		samples[i] = model(seed.Sum64() + uint64(i))
	}
	for i, q := range quantities {
		mean, half := estimate(samples, i)
		width := q.width
		if width == 0 {
			width = 0.01
		}
		off := math.Abs(mean - q.want)
		allowed := half + 1e-9*q.want // rounding, where there is no chance in the figure
		if shorter > 1 {
			allowed += 0.01 * q.want // so short a run may miss what is rare
		}
		if off > allowed {
			t.Errorf("%s (%s): %s = %.6g +- %.2g, want %.6g", id, source, q.name, mean, half, q.want)
		}
		if shorter == 1 && half > width*q.want {
			t.Errorf("%s: %s = %.6g +- %.2g, an interval wider than %v of the value", id, q.name, mean, half, width)
		}
		if shorter == 1 && math.Abs(mean-1.05*q.want) <= half {
			t.Errorf("%s: %s = %.6g +- %.2g cannot be told from 1.05 x %.6g", id, q.name, mean, half, q.want)
		}
		t.Logf("%s: %s = %.6g +- %.2f %%, exact %.6g", id, q.name, mean, 100*half/q.want, q.want)
	}
}

// estimate gives the mean of the i-th value and the half-width of its 99.9 % interval.
//
// The values are regressed on the controls: where customers happened to come faster
// than on average, the queue was longer for that reason, and this part of the chance is
// taken out. Lavenberg and Welch, Management Science 27 (1981) 322-335, from memory.
func estimate(samples []sample, i int) (mean, half float64) {
	n, q := len(samples), len(samples[0].controls)
	x, y := mat.NewDense(n, 1+q, nil), mat.NewVecDense(n, nil)
	for row, s := range samples {
		x.SetRow(row, append([]float64{1}, s.controls...))
		y.SetVec(row, s.values[i])
	}
	var square mat.Dense
	var inverse mat.Dense
	square.Mul(x.T(), x)
	if err := inverse.Inverse(&square); err != nil {
		panic(err)
	}
	var slopes, right mat.VecDense
	right.MulVec(x.T(), y)
	slopes.MulVec(&inverse, &right)
	var fit mat.VecDense
	fit.MulVec(x, &slopes)
	residuals := 0.0
	for row := range n {
		residuals += math.Pow(y.AtVec(row)-fit.AtVec(row), 2)
	}
	df := float64(n - 1 - q)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(0.9995)
	return slopes.AtVec(0), t * math.Sqrt(residuals/df*inverse.At(0, 0))
}

// Without controls the estimate is the ordinary t interval; with them it finds what
// the controls explain.
func TestEstimate(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 0))
	var plain, controlled []sample
	var values []float64
	for range replications {
		control, noise := rng.NormFloat64(), rng.NormFloat64()/100
		values = append(values, 7+3*control+noise)
		plain = append(plain, sample{values: []float64{7 + 3*control + noise}})
		controlled = append(controlled, sample{values: []float64{7 + 3*control + noise}, controls: []float64{control}})
	}
	mean, sd := stat.MeanStdDev(values, nil)
	// Source: t quantile, 39 degrees of freedom, 99.95 %: 3.558 (tables, from memory).
	half := 3.558 * sd / math.Sqrt(replications)
	if m, h := estimate(plain, 0); math.Abs(m-mean) > 1e-9 || math.Abs(h-half) > 1e-3*half {
		t.Errorf("estimate %v +- %v, want %v +- %v", m, h, mean, half)
	}
	if m, h := estimate(controlled, 0); math.Abs(m-7) > h || h > 0.01 {
		t.Errorf("estimate with control %v +- %v, want 7 +- less than 0.01", m, h)
	}
}

// dice draws random spans for one purpose of one replication.
type dice struct{ pcg *rand.PCG }

func newDice(seed, purpose uint64) dice { return dice{rand.NewPCG(seed, purpose)} }

// uniform draws from [0, 1).
func (d dice) uniform() float64 { return float64(d.pcg.Uint64()>>11) / (1 << 53) }

// exp draws an exponential span by inversion.
func (d dice) exp(mean des.Time) des.Time {
	return des.Time(math.Round(-float64(mean) * math.Log(1-d.uniform())))
}

// level is a number that changes in time, such as that of customers in a system, with
// the time it spent at each value.
type level struct {
	s     *des.Sim
	value int
	since des.Time
	from  des.Time // when counting began
	spent [64]des.Time
	area  float64 // value times time
}

// add changes the number.
func (l *level) add(d int) {
	l.settle()
	l.value += d
}

// settle counts the time up to now.
func (l *level) settle() {
	span := l.s.Now() - l.since
	l.since = l.s.Now()
	l.spent[min(l.value, len(l.spent)-1)] += span
	l.area += float64(l.value) * float64(span)
}

// restart forgets what was counted, at the end of the warm-up.
func (l *level) restart() {
	l.settle()
	l.from, l.spent, l.area = l.s.Now(), [64]des.Time{}, 0
}

// mean gives the time average.
func (l *level) mean() float64 {
	l.settle()
	return l.area / float64(l.s.Now()-l.from)
}

// share gives the share of time spent at a value below the last.
func (l *level) share(value int) float64 {
	l.settle()
	return float64(l.spent[value]) / float64(l.s.Now()-l.from)
}

// units turns a sum of times into units.
func units(total float64) float64 { return total / float64(unit) }
