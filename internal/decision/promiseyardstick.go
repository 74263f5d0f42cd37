package decision

import (
	"context"
	"fmt"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// DaysOfOrder is the yardstick of an order's date: the calendar days from the
// start of the run to its end, replication by replication. An order that is not
// done within the run counts with its length.
func DaysOfOrder(order string, seed uint64, workers int) Yardstick {
	return Yardstick{Name: "order." + order, Unit: "d", Of: func(ctx context.Context, p *plant.Plant, replications int) ([]float64, error) {
		if !slices.ContainsFunc(p.Works().Orders, func(o plant.Order) bool { return o.Name == order }) {
			return nil, fmt.Errorf("decision: there is no order %q", order)
		}
		var days []float64
		err := experiment.Each(ctx, workers, replications,
			func(ctx context.Context, number int) (des.Time, error) {
				r, err := p.Simulate(plant.Options{
					Source: random.New(seed, uint32(number)), Until: []string{order},
					Stopped: func() bool { return ctx.Err() != nil },
				})
				if err != nil {
					return 0, err
				}
				k := slices.IndexFunc(r.Orders, func(o plant.OrderResult) bool { return o.Name == order })
				return min(r.Orders[k].Done, p.Works().Run.Length), nil
			},
			func(done des.Time) bool {
				days = append(days, float64(done)/float64(des.Day))
				return false
			})
		return days, err
	}}
}
