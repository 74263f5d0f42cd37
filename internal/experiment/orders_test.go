package experiment

import (
	"math"
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// An order that is done after 60 + 40 u days, u uniform: its 50, 80 and 95 %
// points are 80, 92 and 98 days, and it is in time by day 90 with probability
// 0.75.
func uniformOrder(u float64) []plant.OrderResult {
	return []plant.OrderResult{{Name: "spring", Ware: "pan", Want: 500, Good: 500, Done: day(60 + 40*u), WorkDays: 30}}
}

func TestOrderDates(t *testing.T) {
	w := toy()
	w.weeks = 8
	w.orders = uniformOrder
	w.works.Orders = []plant.Order{{Name: "spring", Ware: "pan", Quantity: 500, Due: "2027-04-03"}} // day 89, to its end
	a := ask(t, w, Settings{Replications: 99, Seed: 11, WarmUp: 1})
	o := a.Orders[0]
	if o.Finished != 99 || o.Of != 99 || o.WorkDays != 30 || o.Good != 500 {
		t.Errorf("order %+v", o)
	}
	for i, want := range []float64{80, 92, 98} {
		d := o.Dates[i]
		truth := w.Clock().Civil(day(want))
		if !d.HasInterval || d.Low.Civil.After(truth) || d.High.Civil.Before(truth) {
			t.Errorf("%g %% point %v (%v to %v) misses the truth %v", 100*d.P, d.At.Civil, d.Low.Civil, d.High.Civil, truth)
		}
		if d.At.Civil.Before(d.Low.Civil) || d.At.Civil.After(d.High.Civil) {
			t.Errorf("%g %% point lies outside its own interval", 100*d.P)
		}
	}
	// Day 89 ends 18 h before day 90 of the run, which began at 06:00.
	if truth := (89.75 - 60) / 40; !o.InTime.Contains(truth) {
		t.Errorf("in time %g (%g to %g), want %g", o.InTime.Value, o.InTime.Low, o.InTime.High, truth)
	}
	if want := time.Date(2027, 4, 3, 0, 0, 0, 0, time.UTC); !o.Due.Equal(want) {
		t.Errorf("due %v, want %v", o.Due, want)
	}
}

func TestOrderBeyondTheRunHasNoDate(t *testing.T) {
	w := toy()
	w.orders = func(u float64) []plant.OrderResult {
		o := uniformOrder(u)
		if u > 0.6 { // more often than not it is finished, but not in 80 of 100 cases
			o[0].Done, o[0].Good, o[0].WorkDays = des.Never, 420, -1
		}
		return o
	}
	w.works.Orders = []plant.Order{{Name: "spring"}}
	a := ask(t, w, Settings{Replications: 99, Seed: 4, WarmUp: 1})
	o := a.Orders[0]
	if o.Dates[0].At.Beyond || !o.Dates[1].At.Beyond || !o.Dates[2].At.Beyond {
		t.Errorf("dates %+v", o.Dates)
	}
	if o.Finished == 0 || o.Finished == 99 || o.WorkDays != 30 {
		t.Errorf("order %+v", o)
	}
	if !math.IsNaN(o.InTime.Value) || !o.Due.IsZero() {
		t.Errorf("a promise was judged that nobody made: %+v", o.InTime)
	}
	wantWarning(t, a, "Order spring was not finished within the run of 52 weeks in ")
}

func TestFewReplicationsGiveNoRangeForALateDate(t *testing.T) {
	w := toy()
	w.orders = uniformOrder
	w.works.Orders = []plant.Order{{Name: "spring"}}
	a := ask(t, w, Settings{Replications: 10, WarmUp: 1})
	d := a.Orders[0].Dates[2]
	// 59 is the least sample whose largest value bounds the 95 % point (Wilks, 1941).
	if d.HasInterval || !strings.Contains(d.Note, "need >= 59 values") {
		t.Errorf("95 %% point %+v", d)
	}
}
