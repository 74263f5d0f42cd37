package decision

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// A PromisePlan asks when an order will be done, and what would bring it
// forward. Its works must hold the order, see [Book].
type PromisePlan struct {
	Title   string
	Order   string         // its name
	Works   *scenario.File // as it is
	Levers  []Lever
	Late    float64 // what a calendar day of delay costs, whole units
	Service float64 // probability with which a date is promised
	Forth   *Under  // how far it has come; nil: it has not begun
	Runs    int     // behind the date
	Pairs   int     // of runs behind each lever, each cause, each other order
	Seed    uint64
	Workers int
	// Progress, if not nil, is told how many runs of how many are done.
	Progress func(experiment.Progress)
}

// A Lever is something that might bring the date forward.
type Lever struct {
	Name    string
	Works   *scenario.File
	Changes []experiment.Change // from the works as it is, for the reader
	Once    float64             // what it costs, whole units
	Weekly  float64             // and for each week begun until the order is done
}

// Under is an order under way. The date is forecast from the works as counted,
// and held against the first forecast: that of the plan's works.
type Under struct {
	Works *scenario.File // as counted, the order in it less what is packed
	At    time.Time
	Good  int            // packed for the order up to then
	ByDay map[string]int // good pieces of single days, by date
}

// A PromiseAnswer is when the order will be done, and why.
type PromiseAnswer struct {
	Title, Currency            string
	Order, Ware                string
	Quantity, Packed, Priority int
	Stock                      bool
	Start, Due                 time.Time // Due is zero where no date was asked for
	Zone                       *time.Location

	Seed             uint64
	Runs, Unfinished int
	Refused          int    // works drawn from the evidence that could not run
	Partial          string // why it stopped short, if it did

	Dates   []PromisedDate // as likely as not, prudent, and to promise
	Service float64
	InTime  stats.Estimate // probability of being done by Due; no value without one
	Promise calendar.Date  // least date by whose end it is done with Service; -1: not within the run
	Chance  stats.Estimate // of being done by the end of Promise
	Penalty float64        // expected cost of lateness against Due
	Lots    []PromisedLot
	ByHand  PromiseByHand
	Casts   PromiseCasts
	Weeks   []PromiseWeek
	Days    []PromiseDay
	Spread  float64 // standard deviation of the working days
	Causes  []PromiseCause
	Unknown []PromiseInput // what is not known, by what hangs on it
	Binding string         // what limits the works, by hand
	Fullest []plant.Department
	Slips   []Slip
	Levers  []LeverGain
	Drift   *Drift

	Recommendation string
	Flips          []string
	Assumptions    []string
	Warnings       []string
}

// promiseStudy answers one question.
type promiseStudy struct {
	q      *PromisePlan
	works  *promiseWorks // from which the date is forecast
	order  *plant.Order
	ware   int
	runs   []promiseRun // the main ones
	plan   []string     // names of all orders
	done   int          // runs of any kind
	all    int          // runs expected
	answer PromiseAnswer
}

// LeastPromiseRuns is the least number of runs from which a date is given when a
// study is cut short: fewer leave the prudent date without an interval.
const LeastPromiseRuns = 14

// Promise answers the question: the date, what makes it wide, which other orders
// slip and what each lever is worth. The best lever is valued anew on runs that
// did not choose it.
//
// If ctx is cancelled it returns what it has, marked partial, with ctx's error;
// before there are LeastPromiseRuns runs, no answer.
func Promise(ctx context.Context, q PromisePlan) (*PromiseAnswer, error) {
	s := &promiseStudy{q: &q}
	if err := s.open(); err != nil {
		return nil, err
	}
	var err error
	s.runs, err = s.simulate(ctx, trialSpec{works: s.works, until: s.plan}, 0, q.Runs)
	if err != nil && (ctx.Err() == nil || len(s.runs) < min(LeastPromiseRuns, q.Runs)) {
		return nil, err
	}
	s.dates()
	s.casts()
	s.progressOf()
	for _, part := range []func(context.Context) error{s.topUp, s.drift, s.slips, s.levers, s.causes} {
		if err == nil {
			err = part(ctx)
		}
	}
	if err != nil && ctx.Err() == nil {
		return nil, err
	}
	if err != nil {
		s.answer.Partial = fmt.Sprintf("The study was stopped after %d of %d runs: what was not yet simulated is left out.", s.done, s.all)
	}
	s.say()
	return &s.answer, err
}

// open reads the order and counts the runs that the question takes.
func (s *promiseStudy) open() error {
	q, a := s.q, &s.answer
	file := q.Works
	if q.Forth != nil {
		file = q.Forth.Works
	}
	var err error
	if s.works, err = newPromiseWorks(file, q.Seed); err != nil {
		return err
	}
	w := file.Works
	for k := range w.Orders {
		s.plan = append(s.plan, w.Orders[k].Name)
		if w.Orders[k].Name == q.Order {
			s.order = &w.Orders[k]
		}
	}
	switch {
	case s.order == nil:
		return fmt.Errorf("there is no order %q", q.Order)
	case q.Runs < 2 || q.Pairs < 2:
		return errors.New("a date has no spread from fewer than 2 runs")
	}
	s.ware = slices.IndexFunc(w.Ware, func(x plant.Ware) bool { return x.Name == s.order.Ware })
	*a = PromiseAnswer{
		Title: q.Title, Currency: w.Currency, Order: q.Order, Ware: s.order.Ware, Service: q.Service,
		Quantity: s.order.Quantity, Packed: s.order.Packed, Priority: s.order.Priority, Stock: s.order.Stock,
		Seed: q.Seed, Start: s.civil(s.from()), Zone: s.works.clock().Civil(0).Location(),
	}
	if d, err := calendar.ParseDates(s.order.Due); err == nil {
		a.Due, _ = time.ParseInLocation(time.DateOnly, d.Last.String(), a.Zone)
	}
	hand := s.works.plant.Hand()
	a.Binding = hand.Binding
	a.Fullest = fullest(hand.Departments)
	s.byHand()
	s.all = q.AllRuns()
	return nil
}

// fullest is the departments with the highest loads by hand.
func fullest(all []plant.Department) []plant.Department {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b plant.Department) int {
		switch {
		case a.Load > b.Load:
			return -1
		case a.Load < b.Load:
			return 1
		}
		return 0
	})
	return all[:min(len(all), shownDepartments)]
}

// shownDepartments is how many departments are named.
const shownDepartments = 3
