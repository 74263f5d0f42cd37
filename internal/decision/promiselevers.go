package decision

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// LeverGain is what one lever is worth. Gains are in calendar days, from pairs
// of runs on shared luck; more than 0: sooner.
type LeverGain struct {
	Name    string
	Changes []experiment.Change
	Pairs   int

	AtService stats.Estimate  // of the date at the service asked for
	Mean      stats.Estimate  // of the mean date
	WorkDays  stats.Estimate  // of the mean, in working days
	InTime    stats.Estimate  // probability of being done by Due, with the lever
	Cost      float64         // whole units, for this order
	Saved     float64         // expected cost of lateness that it takes away
	PerDay    float64         // Cost for a day won on average; +Inf where none is won
	Why       string          // why it could not be tried; empty if it was
	Sure      bool            // the mean gain is more than luck may make, and more than leastGain
	Fresh     *stats.Estimate // of the best lever: the gain at the service on runs that did not choose it
	FreshMean *stats.Estimate
}

// Slip is what taking the order in does to another one.
type Slip struct {
	Order, Ware     string
	Quantity        int
	Due             time.Time      // zero: none was promised
	AtService, Mean stats.Estimate // calendar days later with the order, from pairs
	With, Without   stats.Estimate // probability of being in time
	Pairs           int
}

// levers tries each lever on the luck of the first runs.
func (s *promiseStudy) levers(ctx context.Context) error {
	if len(s.q.Levers) == 0 {
		return nil
	}
	works := make([]*promiseWorks, len(s.q.Levers))
	for k, l := range s.q.Levers {
		g := LeverGain{Name: l.Name, Changes: l.Changes}
		w, err := newPromiseWorks(l.Works, s.q.Seed)
		if err != nil {
			g.Why = err.Error()
			s.answer.Levers = append(s.answer.Levers, g)
			continue
		}
		works[k] = w
		runs, err := s.simulate(ctx, trialSpec{works: w, until: []string{s.q.Order}}, 0, s.q.Pairs)
		if err != nil {
			return err
		}
		s.gain(&g, l, runs)
		s.answer.Levers = append(s.answer.Levers, g)
	}
	byName := map[string]*promiseWorks{}
	for k, l := range s.q.Levers {
		byName[l.Name] = works[k]
	}
	slices.SortStableFunc(s.answer.Levers, compareLevers)
	if best := &s.answer.Levers[0]; best.Sure {
		return s.certify(ctx, best, byName[best.Name])
	}
	return nil
}

// compareLevers puts first those that surely win days, the cheaper day first;
// then the rest by what they seem to win.
func compareLevers(a, b LeverGain) int {
	rank := func(g LeverGain) int {
		switch {
		case g.Why != "":
			return 2
		case !g.Sure:
			return 1
		}
		return 0
	}
	if c := cmp.Compare(rank(a), rank(b)); c != 0 {
		return c
	}
	if rank(a) == 0 && a.PerDay != b.PerDay {
		return cmp.Compare(a.PerDay, b.PerDay)
	}
	return cmp.Compare(b.Mean.Value, a.Mean.Value)
}

// gain works out what the runs with a lever tell.
func (s *promiseStudy) gain(g *LeverGain, l Lever, runs []promiseRun) {
	with, base := pairsOf(runs, s.runs)
	g.Pairs = len(with)
	if g.Pairs == 0 {
		g.Why = "no works could be had of what the evidence leaves open"
		return
	}
	g.AtService = s.shift(base, with, ownDone, s.answer.Service)
	days := s.daysOf(with, ownDone, true)
	g.Mean = stats.PairedInterval(s.daysOf(base, ownDone, true), days, experiment.Level)
	if x, y := workDaysOf(base), workDaysOf(with); slices.Max(append(slices.Clone(x), y...)) < never {
		g.WorkDays = stats.PairedInterval(x, y, experiment.Level)
	} else {
		g.WorkDays = stats.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
	}
	weeks := 0.0
	for _, d := range days {
		weeks += math.Ceil(d/7) / float64(len(days))
	}
	g.Cost = l.Once + float64(l.Weekly*weeks)
	g.InTime.Value = math.NaN()
	if !s.answer.Due.IsZero() {
		due := calendar.DateOf(s.answer.Due)
		g.InTime = s.inTime(with, due, ownDone)
		g.Saved = s.penalty(base, due) - s.penalty(with, due)
	}
	g.Sure = g.Mean.Low > 0 && g.Mean.Value >= leastGain
	// By the mean: the late date of few pairs hangs on two or three of them.
	g.PerDay = math.Inf(1)
	if g.Mean.Value > 0 {
		g.PerDay = g.Cost / g.Mean.Value
	}
}

// leastGain is the calendar days below which a lever is not worth a word, even if
// it is for nothing.
const leastGain = 0.25

// certify values the best lever on runs that were not used to choose it.
func (s *promiseStudy) certify(ctx context.Context, g *LeverGain, w *promiseWorks) error {
	n := s.q.Pairs
	own := []string{s.q.Order}
	base, err := s.simulate(ctx, trialSpec{works: s.works, until: own}, s.q.Runs, n)
	if err != nil {
		return err
	}
	with, err := s.simulate(ctx, trialSpec{works: w, until: own}, s.q.Runs, n)
	if err != nil {
		return err
	}
	with, base = pairsOf(with, base)
	if len(with) < 2 {
		return nil
	}
	shift := s.shift(base, with, ownDone, s.answer.Service)
	mean := stats.PairedInterval(s.daysOf(base, ownDone, true), s.daysOf(with, ownDone, true), experiment.Level)
	g.Fresh, g.FreshMean = &shift, &mean
	return nil
}

// slips runs the works without the order, on the luck of the first runs.
func (s *promiseStudy) slips(ctx context.Context) error {
	others := slices.DeleteFunc(slices.Clone(s.plan), func(name string) bool { return name == s.q.Order })
	if len(others) == 0 {
		return nil
	}
	w, err := newPromiseWorks(without(s.works.file, s.q.Order), s.q.Seed)
	if err != nil {
		return err
	}
	runs, err := s.simulate(ctx, trialSpec{works: w, until: others}, 0, s.q.Pairs)
	if err != nil {
		return err
	}
	alone, with := pairsOf(runs, s.runs)
	if len(alone) == 0 {
		return nil
	}
	for _, name := range others {
		s.answer.Slips = append(s.answer.Slips, s.slip(name, with, alone))
	}
	return nil
}

// slip compares the end of another order with and without the one in question.
func (s *promiseStudy) slip(name string, with, alone []promiseRun) Slip {
	of := func(r promiseRun) des.Time {
		k := slices.IndexFunc(r.orders, func(o plant.OrderResult) bool { return o.Name == name })
		return r.orders[k].Done
	}
	book := s.works.file.Works.Orders
	o := book[slices.IndexFunc(book, func(o plant.Order) bool { return o.Name == name })]
	x := Slip{Order: name, Ware: o.Ware, Quantity: o.Quantity, Pairs: len(with)}
	x.AtService = s.shift(with, alone, of, s.answer.Service)
	x.Mean = stats.PairedInterval(s.daysOf(with, of, true), s.daysOf(alone, of, true), experiment.Level)
	x.With.Value, x.Without.Value = math.NaN(), math.NaN()
	if d, err := calendar.ParseDates(o.Due); err == nil {
		x.Due, _ = time.ParseInLocation(time.DateOnly, d.Last.String(), s.answer.Zone)
		x.With, x.Without = s.inTime(with, d.Last, of), s.inTime(alone, d.Last, of)
	}
	return x
}
