package proof

import (
	"math"

	"potbank/internal/des"
	"potbank/internal/random"
)

// unit is the unit of time of models without one. It is long enough that
// rounding a draw to the millisecond is nothing beside the tolerance.
const unit = 1000 * des.Second

// units turns a time, or a sum of times in ms, into units.
func units(ms float64) float64 { return ms / float64(unit) }

// A stream deals the draws of one purpose of one replication one after another.
// Models of queues have nothing by which a draw could be known but its number.
type stream struct {
	source  random.Source
	purpose random.Purpose
	next    uint32
}

// newStream makes the stream of a purpose.
func newStream(s random.Source, purpose string) *stream {
	return &stream{source: s, purpose: random.PurposeOf(purpose)}
}

// uniform draws from inside (0, 1).
func (d *stream) uniform() float64 {
	d.next++
	return d.source.Uniform(d.purpose, 0, d.next)
}

// span draws a time from a law in ms.
func (d *stream) span(l random.Law) des.Time { return des.Time(random.Time(l, d.uniform())) }

// yes draws a yes with probability p.
func (d *stream) yes(p float64) bool { return random.Trial(d.uniform(), p) }

// law returns a law whose parameters are known to be right.
func law(l random.Law, err error) random.Law {
	if err != nil {
		panic(err)
	}
	return l
}

// exponential is the exponential law of a mean in units of time.
func exponential(mean float64) random.Law { return law(random.Exponential(mean * float64(unit))) }

// fixed is the law of one time in units.
func fixed(span float64) random.Law { return law(random.Constant(math.Round(span * float64(unit)))) }

// A spread is a law with its moments, which are asked for at every draw.
type spread struct {
	law          random.Law
	mean, square float64 // of the value, and of its square
}

// spreadOf works out the moments of a law.
func spreadOf(l random.Law) spread {
	return spread{l, l.Mean(), float64(l.Mean()*l.Mean()) + float64(l.SD()*l.SD())}
}

// excess is by how much the square of a time is above its mean.
func (s *spread) excess(t des.Time) float64 { return float64(t)*float64(t) - s.square }
