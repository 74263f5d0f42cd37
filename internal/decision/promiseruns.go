package decision

import (
	"context"
	"errors"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// promiseWorks is a works of which each run may get its own, drawn from what
// its evidence leaves open.
type promiseWorks struct {
	file  *scenario.File
	plant *plant.Plant // with every value as stated
	seed  uint64
}

// newPromiseWorks builds the plant of a file; its faults are for whoever read it
// to say, so that the first is enough here.
func newPromiseWorks(f *scenario.File, seed uint64) (*promiseWorks, error) {
	ready, faults := f.Plant()
	if ready == nil {
		for _, fault := range faults {
			if !fault.Warning {
				return nil, errors.New(fault.What)
			}
		}
		return nil, errors.New("the works cannot be built")
	}
	return &promiseWorks{f, ready, seed}, nil
}

// clock is the clock of the works.
func (w *promiseWorks) clock() calendar.Clock { return w.plant.Clock() }

// unknown tells whether anything of the works rests on evidence.
func (w *promiseWorks) unknown() bool { return len(w.file.Evidence()) > 0 }

// draw is works number k, and what was drawn for it. A draw that no works can be
// had of is none.
func (w *promiseWorks) draw(k int) (*plant.Plant, []float64) {
	if !w.unknown() {
		return w.plant, nil
	}
	d, err := w.file.Redrawn(w.seed, k)
	if err != nil {
		return nil, nil
	}
	return d.Plant, d.Values
}

// promiseRun is what one run tells of the orders.
type promiseRun struct {
	refused bool                // no works could be had of the draw
	yield   float64             // good pieces of one cast, of the works drawn
	values  []float64           // of each evidence
	orders  []plant.OrderResult // all of the book
	days    []plant.DayCount    // of the ware ordered, by day from the start of the run
	own     plant.OrderResult   // the order in question; zero where the book lacks it
}

// trialSpec says how runs are made.
type trialSpec struct {
	works  *promiseWorks
	until  []string    // orders with whose end they end
	cause  plant.Cause // luck dealt anew; empty: none
	redraw bool        // the works drawn anew
}

// Numbers of the runs that deal something anew lie beyond all others.
const anew = 1 << 30

// simulate makes runs number first+1 and so on, and returns those before any
// that failed, in order.
func (s *promiseStudy) simulate(ctx context.Context, spec trialSpec, first, runs int) ([]promiseRun, error) {
	var all []promiseRun
	err := experiment.Each(ctx, s.q.Workers, runs,
		func(ctx context.Context, k int) (promiseRun, error) { return s.run(ctx, spec, first+k) },
		func(r promiseRun) bool {
			all = append(all, r)
			s.done++
			if s.q.Progress != nil {
				s.q.Progress(experiment.Progress{Replications: s.done, Fewest: s.all, Most: max(s.all, s.done)})
			}
			return false
		})
	return all, err
}

// run makes one run.
func (s *promiseStudy) run(ctx context.Context, spec trialSpec, number int) (promiseRun, error) {
	draw := number
	if spec.redraw {
		draw += anew
	}
	ready, values := spec.works.draw(draw)
	if ready == nil {
		return promiseRun{refused: true}, nil
	}
	o := plant.Options{
		Source: random.New(s.q.Seed, uint32(number)), Daily: true, Until: spec.until,
		Stopped: func() bool { return ctx.Err() != nil },
	}
	if spec.cause != "" {
		o.Redeal = &plant.Redeal{Causes: []plant.Cause{spec.cause}, Source: random.New(s.q.Seed, uint32(number+anew))}
	}
	r, err := ready.Simulate(o)
	if err != nil {
		return promiseRun{}, err
	}
	if err := lawful(r); err != nil {
		return promiseRun{}, err
	}
	run := promiseRun{yield: ready.Yield(s.order.Ware), values: values, orders: r.Orders}
	for _, day := range r.Days {
		run.days = append(run.days, day[s.ware])
	}
	if k := slices.IndexFunc(r.Orders, func(o plant.OrderResult) bool { return o.Name == s.q.Order }); k >= 0 {
		run.own = r.Orders[k]
	}
	return run, nil
}

// usable is the runs of which a works could be had.
func usable(runs []promiseRun) []promiseRun {
	return slices.DeleteFunc(slices.Clone(runs), func(r promiseRun) bool { return r.refused })
}

// from is when the order starts, in the time of its works.
func (s *promiseStudy) from() des.Time { return startOf(s.order, s.works.plant) }

// civil is the date and time of an instant.
func (s *promiseStudy) civil(t des.Time) time.Time { return s.works.clock().Civil(t) }

// never stands for the end of an order that was not done within the run: finite,
// so that it can be ranked, and later than any run can last.
const never = 1e18

// calendarDays is the days of 24 h from the start of the order to an instant.
func (s *promiseStudy) calendarDays(done des.Time) float64 {
	if done == des.Never {
		return never
	}
	return float64(done-s.from()) / float64(des.Day)
}

// daysOf is the calendar days of each run; censored at the end of the run where
// means are to be taken.
func (s *promiseStudy) daysOf(runs []promiseRun, of func(r promiseRun) des.Time, censored bool) []float64 {
	all := make([]float64, len(runs))
	for k, r := range runs {
		all[k] = s.calendarDays(of(r))
		if censored && all[k] == never {
			all[k] = s.calendarDays(s.works.file.Works.Run.Length)
		}
	}
	return all
}

func ownDone(r promiseRun) des.Time { return r.own.Done }
