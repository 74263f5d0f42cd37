package decision

import (
	"fmt"
	"math"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// Limits of the weeks that are simulated for one order.
const (
	sparePromiseWeeks = 6   // beyond one and a half times what the order takes by hand
	mostPromiseWeeks  = 156 // an order of years is no order
)

// Book returns the works with an order in its book and its run laid out for it.
// Where the file has an opening state, the run begins with it; where it has
// none, so many weeks before the order does, in which the works fills up. Orders
// that give no start begin with this one. The file is left as it was.
func Book(f *scenario.File, o plant.Order, runIn des.Time) (*scenario.File, error) {
	start := o.Start
	if start == "" {
		start = f.Works.Start
	}
	at, err := calendar.ParseStart(start, f.Works.Zone)
	if err != nil {
		return nil, err
	}
	o.Start = start
	booked := f.Altered(fmt.Sprintf("order %+v booked, run in for %v", o, runIn), func(w *plant.Works) {
		w.Orders = slices.Clone(w.Orders)
		k := slices.IndexFunc(w.Orders, func(x plant.Order) bool { return x.Name == o.Name })
		if k < 0 {
			w.Orders = append(w.Orders, o)
		} else {
			w.Orders[k] = o
		}
		for k := range w.Orders {
			if w.Orders[k].Start == "" {
				w.Orders[k].Start = start
			}
		}
		if w.Opening.Empty() {
			w.Start = at.Add(-time.Duration(runIn) * time.Millisecond).Format(startLayout)
		}
	})
	begins, err := calendar.ParseStart(booked.Works.Start, f.Works.Zone)
	if err != nil {
		return nil, err
	}
	before := max(0, int(math.Ceil(at.Sub(begins).Hours()/168)))
	booked.Works.Run.Length = des.Time(before+weeksFor(booked, &o)) * des.Week
	return booked, nil
}

// startLayout is how a scenario writes the start of its run.
const startLayout = "2006-01-02 15:04"

// weeksFor is the weeks after which an order is given up: half as many again as
// it takes by hand, and some.
func weeksFor(f *scenario.File, o *plant.Order) int {
	weeks := mostPromiseWeeks
	if ready, _ := plant.New(f.Works); ready != nil {
		if rate, ok := ready.Hand().Value("packed." + o.Ware); ok && rate > 0 {
			weeks = int(math.Ceil(1.5*float64(o.Quantity)/rate)) + sparePromiseWeeks
		}
	}
	return min(weeks, mostPromiseWeeks)
}

// without is the works without one order. Pieces that are there for it are anybody's.
func without(f *scenario.File, order string) *scenario.File {
	return f.Altered("without order "+order, func(w *plant.Works) {
		w.Orders = slices.DeleteFunc(slices.Clone(w.Orders), func(o plant.Order) bool { return o.Name == order })
		w.Opening.Listed = slices.Clone(w.Opening.Listed)
		for k := range w.Opening.Listed {
			if l := &w.Opening.Listed[k]; l.Order == order {
				l.Order = ""
			}
		}
	})
}

// toOrder is the works that casts a ware only as far as orders lack it.
func toOrder(f *scenario.File, ware int) *scenario.File {
	return f.Altered(fmt.Sprintf("ware %d made to order", ware), func(w *plant.Works) {
		w.Ware = slices.Clone(w.Ware)
		w.Ware[ware].Make = "order"
	})
}
