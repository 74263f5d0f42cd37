package experiment

import (
	"context"
	"errors"
	"fmt"
	"math"

	"potbank/internal/stats"
)

// Replicate runs the plant on independent luck until its headline measures are
// known as precisely as the settings ask, or as often as they say.
//
// A measure is a ratio of sums over the weeks after the warm-up; across
// replications it is the ratio of the mean sums with Fieller's interval. A
// quantile of lead times is the mean of the replications' quantiles with
// Student's interval, which the same formula gives as its divisor is 1.
//
// When ctx is cancelled or a replication fails, the error says so and the
// Answer holds the replications before it, 1..k without a gap, labelled partial;
// it is nil when there is none. The error is that of ctx, a *ReplicationError,
// or says what is wrong with the settings.
func Replicate(ctx context.Context, p Runner, s Settings) (*Answer, error) {
	return replicate(ctx, p, gaugesOf(p.Measures()), s)
}

// replicate is Replicate with the measures apart, so that a test can bring its
// own.
func replicate(ctx context.Context, p Runner, gauges []gauge, s Settings) (*Answer, error) {
	s, err := s.complete(p.Weeks())
	if err != nil {
		return nil, err
	}
	st := newStudy(gauges, s)
	err = st.run(ctx, p)
	st.close()
	if st.kept == 0 {
		return nil, err
	}
	return st.answer(p, err), err
}

// answer puts together what the study found; cut is why it ended early, if it
// did.
func (st *study) answer(p Runner, cut error) *Answer {
	a := &Answer{
		Scenario: Scenario{Name: p.Works().Name},
		Seed:     st.Seed, Replications: st.kept, Asked: st.Most, Weeks: st.Weeks, Fixed: st.Fixed,
		Partial: partial(st.kept, cut), WarmUp: st.warmUp, Events: st.events,
		OneWeek:   stats.PredictionRange(st.packed, Level),
		Resources: p.Resources(), Audit: st.laws, CostLines: st.costLines(),
	}
	a.WarmUp.Series = st.averages()
	a.LongRun = st.longRun()
	for i, g := range st.gauges {
		a.Measures = append(a.Measures, Figure{
			Name: g.Name, Unit: g.Unit, Definition: g.Definition, Formula: g.Formula, Headline: g.Headline,
			Estimate: st.estimate(st.num[i], st.den[i]),
		})
	}
	a.Precision = Precision{Wanted: st.Precision, Reached: st.precision.Done && st.Precision > 0}
	a.Precision.Driver, a.Precision.At = st.driver(st.precision)
	if hand := p.Hand(); hand != nil {
		a.Hand, a.Loads, a.HandSays = compareByHand(a, hand), hand.Departments, hand.Binding
	}
	a.Pile = findPile(a)
	a.Binding = findBinding(a)
	a.Orders = ordersOf(p, st.orders)
	a.Warnings = st.warnings(a)
	a.Pictures = st.pictures(p, a)
	return a
}

// ratio estimates a measure from its sums by replication. Of two replications
// or more that agree entirely, the interval is a point.
func ratio(num, den []float64) stats.Estimate {
	e := stats.RatioInterval(num, den, Level)
	if math.IsNaN(e.Value) {
		e.Low, e.High, e.SD = math.NaN(), math.NaN(), math.NaN()
	}
	return e
}

// averages gives the week series of the study, averaged over replications.
func (st *study) averages() []Series {
	var all []Series
	for _, s := range st.series {
		weeks := make([]float64, len(s.sum))
		for w, sum := range s.sum {
			weeks[w] = sum / float64(st.kept)
		}
		all = append(all, Series{Name: s.Name, Unit: s.Unit, Weeks: weeks})
	}
	return all
}

// partial says why a study ended before its time.
func partial(kept int, cut error) string {
	switch {
	case cut == nil:
		return ""
	case errors.Is(cut, context.Canceled), errors.Is(cut, context.DeadlineExceeded):
		return fmt.Sprintf("The study was stopped after %d replications: the intervals are wider than asked for.", kept)
	}
	return fmt.Sprintf("The study ended after %d replications, since the next one failed: the intervals are wider than asked for, and what failed is not in them.", kept)
}
