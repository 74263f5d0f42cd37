package experiment

import (
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// toyWorks is a works whose weekly figures follow laws known in closed form:
// packed.total is autoregressive about 1000 pieces a week with an even start-up
// over the first weeks, wip.total a constant on top of a ramp.
type toyWorks struct {
	works plant.Works
	weeks int
	ramp  int // weeks of start-up
	creep int64
	lead  float64 // p95 of the lead time, h

	pause  func(number uint64) // called in each replication, with a figure that differs between them
	fail   map[uint64]error    // by replication
	orders func(u float64) []plant.OrderResult
	laws   []plant.Law
	notes  []string
	hand   *plant.Hand

	fixed atomic.Int64 // replications run without chance
}

// Counters of a toy week.
const (
	packed = iota
	standing
	cars
	energy
	counters
)

func toy() *toyWorks {
	return &toyWorks{works: plant.Works{Name: "Toy works"}, weeks: 52, lead: 168}
}

func (w *toyWorks) Works() *plant.Works { return &w.works }
func (w *toyWorks) Weeks() int          { return w.weeks }
func (w *toyWorks) Clock() calendar.Clock {
	return calendar.NewClock(time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC))
}
func (w *toyWorks) Measures() []*plant.Measure { return nil }
func (w *toyWorks) Resources() []plant.Resource {
	return []plant.Resource{{Name: "kiln", Kind: "kiln", States: []string{"busy", "starved"}}}
}
func (w *toyWorks) Hand() *plant.Hand { return w.hand }

var toyLuck = random.PurposeOf("toy")

// Simulate draws the weeks. Which replication it is, is told from the source,
// as a plant would not know it either.
func (w *toyWorks) Simulate(o plant.Options) (*plant.Result, error) {
	number := w.number(o.Source)
	if w.pause != nil {
		w.pause(number)
	}
	if err := w.fail[number]; err != nil {
		return nil, err
	}
	if o.Fixed {
		w.fixed.Add(1)
	}
	r := &plant.Result{Audit: w.laws, Notes: w.notes, Events: 100}
	if w.orders != nil {
		r.Orders = w.orders(o.Source.Uniform(toyLuck, 1, 0))
	}
	level := 0.0
	for week := range o.Weeks {
		if o.Stopped() {
			return nil, errStopped
		}
		shock := 20 * stats.NormalQuantile(o.Source.Uniform(toyLuck, 0, uint32(week)))
		level = 0.5*level + shock
		start := 1.0
		if week < w.ramp {
			start = float64(week) / float64(w.ramp)
		}
		row := make([]int64, counters)
		row[packed] = int64(math.Round(1000*start + level))
		row[standing] = int64(math.Round(3000*start)) + w.creep*int64(week)
		row[cars] = 150
		row[energy] = 2*row[packed] + 500
		r.Week = append(r.Week, row)
	}
	return r, nil
}

// number finds which of the first replications of any seed below 1000 this is.
func (w *toyWorks) number(source random.Source) uint64 {
	for seed := range uint64(1000) {
		for n := range uint64(100) {
			if random.New(seed, uint32(n)) == source {
				return n
			}
		}
	}
	return 0
}

type stopped struct{}

func (stopped) Error() string { return "stopped" }

var errStopped = stopped{}

// gauges are the measures of the toy, with den as named.
func (w *toyWorks) gauges() []gauge {
	perWeek := func(name string, counter int, headline bool) gauge {
		return gauge{&plant.Measure{Name: name, Unit: "pieces/wk", Headline: headline}, func(r *plant.Result, from, to int) (float64, float64) {
			return total(r, counter, from, to), float64(to - from)
		}}
	}
	return []gauge{
		perWeek("packed.total", packed, true),
		perWeek("wip.total", standing, false),
		perWeek("wip.before-kiln", standing, false),
		{&plant.Measure{Name: "lead_time.p95", Unit: "h"}, func(*plant.Result, int, int) (float64, float64) { return w.lead, 1 }},
		{&plant.Measure{Name: "energy.per_good", Unit: "MJ/piece", Headline: true}, func(r *plant.Result, from, to int) (float64, float64) {
			return total(r, energy, from, to), total(r, packed, from, to)
		}},
		perWeek("cost.wages", cars, false),
		perWeek("cost.gas", energy, false),
		{&plant.Measure{Name: "cost.per_good", Unit: "EUR/piece"}, func(r *plant.Result, from, to int) (float64, float64) {
			return total(r, cars, from, to) + total(r, energy, from, to), total(r, packed, from, to)
		}},
		{&plant.Measure{Name: "refire.good", Unit: "%", Headline: true}, func(*plant.Result, int, int) (float64, float64) { return 0, 0 }},
	}
}

func total(r *plant.Result, counter, from, to int) float64 {
	var sum int64
	for _, week := range r.Week[from:to] {
		sum += week[counter]
	}
	return float64(sum)
}

// wantWarning fails unless a warning begins as told.
func wantWarning(t *testing.T, a *Answer, begins string) {
	t.Helper()
	for _, text := range a.Warnings {
		if strings.HasPrefix(text, begins) {
			return
		}
	}
	t.Errorf("no warning begins %q; there are %q", begins, a.Warnings)
}

// day is an instant of the toy's run.
func day(n float64) des.Time { return des.Time(n * float64(des.Day)) }
