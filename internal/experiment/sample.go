package experiment

import (
	"context"
	"fmt"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// Sample gives one measure replication by replication: exactly
// s.Replications of them, so that samples of several works with the same
// settings are paired by their numbers. Their mean is the measure as Replicate
// would tell it; each value is what its replication adds to that. The warm-up
// must be a number of weeks, since one found from the data would differ from
// works to works.
//
// The error is that of ctx, a *ReplicationError, or says what is wrong with the
// settings.
func Sample(ctx context.Context, p Runner, measure string, s Settings) ([]float64, error) {
	s.Precision = 0
	s, err := s.complete(p.Weeks())
	switch {
	case err != nil:
		return nil, err
	case s.WarmUp == Auto:
		return nil, fmt.Errorf("experiment: a sample needs its warm-up in weeks")
	}
	var one []gauge
	for _, g := range gaugesOf(p.Measures()) {
		if g.Name == measure {
			one = append(one, g)
		}
	}
	if one == nil {
		return nil, fmt.Errorf("experiment: no measure %s", measure)
	}
	st := newStudy(one, s)
	if err := st.run(ctx, p); err != nil {
		return nil, err
	}
	return shares(st.num[0], st.den[0]), nil
}

// run simulates replications 1, 2, ... until there are enough.
func (st *study) run(ctx context.Context, p Runner) error {
	return dispatcher{
		workers: st.Workers, most: st.Most,
		simulate: func(ctx context.Context, number int) (*plant.Result, error) {
			return p.Simulate(plant.Options{
				Source: random.New(st.Seed, uint32(number)),
				Fixed:  st.Fixed, Weeks: st.Weeks,
				Stopped: func() bool { return ctx.Err() != nil },
			})
		},
		take: st.take,
	}.run(ctx)
}
