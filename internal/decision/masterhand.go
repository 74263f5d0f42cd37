package decision

import "math"

// The closed forms of a fault in the tooling that is found late. They are what a
// plant engineer can check with a pocket calculator; the simulation is held
// against them, and they stand beside its answer.

// SteadyFault is a fault that all moulds have from the start: bad casts are made
// at a constant rate until the alarm has been acted on.
type SteadyFault struct {
	PerDay float64 // bad casts a day
	Lag    float64 // days from a cast to the gate, and from the alarm to the stop
	Faults int     // faults that make the alarm, at least 1
	Raise  float64 // chance that a bad cast raises a fault at the gate, above 0
}

// pipeline is the casts made while the telling one was on its way: no sampling
// can lessen them.
func (s SteadyFault) pipeline() float64 { return math.Floor(s.PerDay * s.Lag) }

// Mean is the casts made until the stop, on average: the casts that it takes to
// raise the faults (negative binomial) and those in the pipeline.
func (s SteadyFault) Mean() float64 { return float64(s.Faults)/s.Raise + s.pipeline() }

// Quantile is the casts that are not exceeded with a probability in (0, 1).
func (s SteadyFault) Quantile(p float64) float64 {
	// chance[j] is that of j faults so far; the last one absorbs.
	chance := make([]float64, s.Faults+1)
	chance[0] = 1
	n := 0
	for ; chance[s.Faults] < p; n++ {
		for j := s.Faults; j > 0; j-- {
			up := float64(chance[j-1] * s.Raise)
			chance[j] += up
			chance[j-1] -= up
		}
	}
	return float64(n) + s.pipeline()
}

// NoAlarm is the chance that n bad pieces pass a gate that inspects a fraction
// of them, finds a share of the faults it sees, and that a share of the bad
// pieces shows the fault at all.
func NoAlarm(fraction, finds, shows float64, n int) float64 {
	return math.Pow(1-float64(fraction*finds*shows), float64(n))
}

// PiecesToSee is the bad pieces that must pass a gate so that the fault is seen
// with a probability.
func PiecesToSee(raise, probability float64) float64 {
	return math.Log(1-probability) / math.Log(1-raise)
}

// SpreadingFault is a fault in a case: it spreads as its moulds replace worn
// ones, and the bad casts grow with the square of time until all places have one.
type SpreadingFault struct {
	Places  float64 // mould places that the case feeds
	CastDay float64 // casts of a mould a day
	Life    float64 // casts of a mould
	Raise   float64 // chance that a bad cast raises a fault at the gate
	Faults  int     // faults that make the alarm; 0 and 1: the first
	Gate    float64 // days from a cast to the gate
	React   float64 // days from the alarm to the stop
}

// Replaced is the moulds replaced a day.
func (f SpreadingFault) Replaced() float64 { return f.Places * f.CastDay / f.Life }

// Casts is the bad casts made up to a time in days after the first mould.
func (f SpreadingFault) Casts(days float64) float64 {
	if full := f.Life / f.CastDay; days > full {
		return f.Places * f.CastDay * (days - float64(full/2))
	}
	return f.CastDay * f.Replaced() * days * days / 2
}

// pace is the rate at which the hazard of the first fault grows: the wait is
// Rayleigh while the fault still spreads, and that for the k-th fault the root
// of a gamma variable.
func (f SpreadingFault) pace() float64 { return f.Raise * f.CastDay * f.Replaced() }

// faults is how many make the alarm.
func (f SpreadingFault) faults() float64 { return float64(max(1, f.Faults)) }

// wait is the mean days from the first mould to the cast that makes the alarm.
func (f SpreadingFault) wait() float64 {
	k := f.faults()
	rise, _ := math.Lgamma(k + .5)
	from, _ := math.Lgamma(k)
	return math.Sqrt(2/f.pace()) * math.Exp(rise-from)
}

// Alarm is the days from the first mould to the alarm, on average.
func (f SpreadingFault) Alarm() float64 { return f.Gate + f.wait() }

// Mean is the bad casts made until the stop, on average.
func (f SpreadingFault) Mean() float64 {
	lag := f.Gate + f.React
	return f.CastDay * f.Replaced() / 2 * (float64(lag*lag) + float64(2*lag*f.wait()) + 2*f.faults()/f.pace())
}

// Quantile is the bad casts that are not exceeded with a probability, when the
// first fault makes the alarm.
func (f SpreadingFault) Quantile(p float64) float64 {
	stop := f.Gate + f.React + math.Sqrt(-2*math.Log(1-p)/f.pace())
	return f.CastDay * f.Replaced() / 2 * stop * stop
}

// DailySample is a sample of so many pieces a day of a flow of which a constant
// share would be found bad.
type DailySample struct {
	Bad     float64 // share of bad pieces
	Finds   float64 // share of them that the test finds
	Pieces  int     // tested a day
	Flow    float64 // pieces made a day
	Process float64 // days from cast to test
}

// Chance is that of finding at least one on a day.
func (d DailySample) Chance() float64 {
	return 1 - math.Pow(1-float64(d.Bad*d.Finds), float64(d.Pieces))
}

// Days is the mean days from the first bad cast to the find (geometric law).
func (d DailySample) Days() float64 { return d.Process + 1/d.Chance() }

// Made is the mean pieces made in that time.
func (d DailySample) Made() float64 { return d.Flow * d.Days() }

// Missed is the chance that nothing is found in so many days of tests.
func (d DailySample) Missed(days int) float64 { return math.Pow(1-d.Chance(), float64(days)) }

// Information is the mean evidence of one piece for a fault rate p1 against p0
// when p1 is true: the divergence of Kullback and Leibler of two coins, in nats.
func Information(p1, p0 float64) float64 {
	term := func(a, b float64) float64 {
		if a == 0 {
			return 0
		}
		return a * math.Log(a/b)
	}
	return term(p1, p0) + term(1-p1, 1-p0)
}

// TracedDelay is the pieces of all the flow that pass until a cumulative sum
// with a threshold crosses it, when the sum is kept for each parent and the bad
// one has a share of the flow (Lorden 1971: threshold / information).
func TracedDelay(p0, p1, share, threshold float64) float64 {
	return threshold / Information(p1, p0) / share
}

// PooledDelay is the same when one sum is kept over all the flow: the few bad
// pieces must be seen against the faults of all others.
func PooledDelay(p0, p1, share, threshold float64) float64 {
	return threshold / Information(p0+float64(share*(p1-p0)), p0)
}

// MissingMouldDays is the mould-days lost when so many moulds are broken and
// new ones come so many days later at so many a day.
func MissingMouldDays(moulds, lead, perDay float64) float64 {
	days := float64(moulds * lead)
	if math.IsInf(perDay, 1) {
		return days
	}
	return days + moulds*(moulds+1)/(2*perDay)
}
