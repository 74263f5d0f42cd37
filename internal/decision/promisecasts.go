package decision

import (
	"context"
	"math"
	"slices"
	"time"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// PromiseByHand is the order with a pencil, stops and holidays apart.
type PromiseByHand struct {
	OrderByHand
	PerDay float64 // good pieces a working day, by the static estimate
	Known  bool    // the works has an estimate for the ware
}

// byHand works the order out by hand. The pipeline is left to the simulation.
func (s *promiseStudy) byHand() {
	p := s.works.plant
	w := &p.Works().Ware[s.ware]
	h := PromiseByHand{}
	h.Quantity, h.Yield, h.Casts = s.order.Quantity-s.order.Packed, p.Yield(w.Name), float64(w.Plan)
	if week, ok := p.Hand().Value("packed." + w.Name); ok && week > 0 && h.Yield > 0 {
		h.Known, h.PerDay = true, week/workingDays
		h.Casts = h.PerDay / h.Yield
	}
	s.answer.ByHand = h
}

// workingDays is the days of a week by which a daily rate is told.
const workingDays = 5

// PromiseCasts is how many casts the order takes, and the moulds for them.
type PromiseCasts struct {
	Mean      float64        // that give the quantity on average
	Batch     int            // that give it with the service asked for, all cast at once
	Inflation float64        // of the variance by cars that fail together
	Car       int            // pieces on a car; 0: none
	Yield     stats.Estimate // good pieces of one cast: over the works that the evidence allows, a range
	TopUp     *TopUp         // nil: not simulated
	Life      float64        // casts of a working mould on average; 0: not known
	Moulds    float64        // worn out by Batch casts
	Lead      time.Duration  // from pouring a mould until it is dry
}

// TopUp is the policy to cast only what the order still lacks, allowing for the
// expected yield, and to top up what scrap takes away.
type TopUp struct {
	Casts  stats.Estimate // 95 % point of the casts until the order is done, with the simulation's own error
	Mean   float64
	Spare  stats.Estimate // good pieces and pieces under way beyond the order when it is done, mean
	Later  stats.Estimate // days by which the date at the service asked for comes later than as planned, from pairs
	P      float64
	Pairs  int
	Misses int  // runs that were not done within the run
	Others bool // other orders of the ware are cast for too
}

// casts works out the batch from what the works drawn would yield.
func (s *promiseStudy) casts() {
	runs := usable(s.runs)
	c := &s.answer.Casts
	if len(runs) == 0 {
		return
	}
	b := Batch{Quantity: s.order.Quantity - s.order.Packed}
	if s.works.unknown() {
		for _, r := range runs {
			b.Yields = append(b.Yields, r.yield)
		}
	} else {
		b.Yields = []float64{s.works.plant.Yield(s.order.Ware)}
	}
	c.Yield = stats.PredictionRange(b.Yields, experiment.Level)
	w := s.works.plant.Works()
	ware := &w.Ware[s.ware]
	for i := range w.Kilns {
		if n, ok := w.Kilns[i].Load.For(ware.Name); ok && w.Kilns[i].Fires != "refire" {
			c.Car = n
			break
		}
	}
	if rho := float64(ware.Yields.CarLuck); rho > 0 && c.Car > 0 {
		// Pieces of one car fail together; only fired scrap does, a part of all
		// that is lost, so that this errs on the side of more casts.
		c.Inflation = Clustered(c.Car, rho)
		b.Inflation = c.Inflation
	}
	c.Mean, c.Batch = b.Mean(), b.Casts(s.answer.Service)
	for k := range w.Benches {
		if w.Benches[k].Ware == ware.Name && w.Benches[k].Life != nil && c.Life == 0 {
			c.Life = w.Benches[k].Life.Mean()
			c.Moulds = float64(c.Batch) / c.Life
		}
	}
	if m := w.MouldShop; m != nil {
		c.Lead = time.Duration(m.Pour+m.Dry) * time.Millisecond
	}
}

// castBy is the casts of the ware from the start of the order until it is done.
func (s *promiseStudy) castBy(r promiseRun) (casts float64, done bool) {
	last := len(r.days)
	if done = r.own.Done != des.Never; done {
		last = min(last, int(r.own.Done/des.Day)+1)
	}
	for day := int(s.from() / des.Day); day >= 0 && day < last; day++ {
		casts += float64(r.days[day].Cast)
	}
	return casts, done
}

// topUp simulates the policy of topping up, beside the works as it is.
func (s *promiseStudy) topUp(ctx context.Context) error {
	w, err := newPromiseWorks(toOrder(s.works.file, s.ware), s.q.Seed)
	if err != nil {
		return nil // a works that cannot cast to order has no such policy
	}
	runs, err := s.simulate(ctx, trialSpec{works: w, until: []string{s.q.Order}}, 0, s.q.Pairs)
	if err != nil {
		return err
	}
	with, base := pairsOf(runs, s.runs)
	var casts, spare []float64
	t := &TopUp{P: s.answer.Service, Pairs: len(with)}
	for _, r := range with {
		n, done := s.castBy(r)
		if !done {
			t.Misses++
			continue
		}
		casts = append(casts, n)
		spare = append(spare, float64(n*r.yield)-float64(s.order.Quantity-s.order.Packed))
	}
	if len(casts) < 2 {
		return nil
	}
	for _, o := range s.works.file.Works.Orders {
		t.Others = t.Others || o.Ware == s.order.Ware && o.Name != s.q.Order
	}
	t.Casts, _ = stats.QuantileInterval(casts, s.answer.Service, experiment.Level)
	t.Mean = stats.MeanInterval(casts, experiment.Level).Value
	t.Spare = stats.MeanInterval(spare, experiment.Level)
	t.Later = s.shift(with, base, ownDone, s.answer.Service)
	s.answer.Casts.TopUp = t
	return nil
}

// pairsOf keeps the runs of which both sides could be had, side by side.
func pairsOf(a, b []promiseRun) (as, bs []promiseRun) {
	for k := range min(len(a), len(b)) {
		if !a[k].refused && !b[k].refused {
			as, bs = append(as, a[k]), append(bs, b[k])
		}
	}
	return as, bs
}

// shift is by how many calendar days a quantile of one set of runs is later than
// that of another, from pairs on shared luck. The interval is of a bootstrap of
// the pairs, since the error of a difference of quantiles has no plain form
// (Efron and Tibshirani, An Introduction to the Bootstrap, chapter 13).
func (s *promiseStudy) shift(a, b []promiseRun, of func(promiseRun) des.Time, p float64) stats.Estimate {
	x, y := s.daysOf(a, of, true), s.daysOf(b, of, true)
	return quantileShift(x, y, p, s.q.Seed)
}

// resamples is how often the pairs are drawn anew.
const resamples = 400

// quantileShift is the difference of two p-quantiles from pairs, with its
// bootstrap interval.
func quantileShift(x, y []float64, p float64, seed uint64) stats.Estimate {
	n := len(x)
	e := stats.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN(), SD: math.NaN(), N: n, Level: experiment.Level}
	if n == 0 {
		return e
	}
	quantile := func(xs []float64) float64 {
		slices.Sort(xs)
		return stats.SampleQuantile(xs, p)
	}
	e.Value = quantile(slices.Clone(x)) - quantile(slices.Clone(y))
	if n < 2 {
		return e
	}
	draws := make([]float64, resamples)
	a, b := make([]float64, n), make([]float64, n)
	for k := range draws {
		for i := range n {
			j := resampled(seed, k, i, n)
			a[i], b[i] = x[j], y[j]
		}
		draws[k] = quantile(a) - quantile(b)
	}
	var t stats.Tally
	for _, d := range draws {
		t.Add(d)
	}
	slices.Sort(draws)
	tail := int((1 - experiment.Level) / 2 * resamples)
	e.Low, e.High, e.SD = draws[tail], draws[resamples-1-tail], t.SD()*math.Sqrt(float64(n))
	return e
}
