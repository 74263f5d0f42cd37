package decision

import (
	"math"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// promiseChances are the probabilities for which a date is given, besides that of
// the promise itself.
var promiseChances = []float64{0.5, 0.8, 0.95}

// PromisedDate is when the order is done with probability P. The interval is the
// simulation's own error: it runs between two of the sorted runs, by their ranks,
// whatever the law of the date (David and Nagaraja, Order Statistics, section
// 7.1). A date beyond the run is zero.
type PromisedDate struct {
	P                  float64
	At, Low, High      time.Time
	LowRank, HighRank  int // of Runs sorted ones; 0: too few runs for an interval
	Runs               int
	Coverage           float64        // of the interval, at least 95 %
	WorkDays, Calendar stats.Estimate // days of 24 h from the start of the order, over working time and over all hours
}

// PromisedLot is a part delivery.
type PromisedLot struct {
	Name   string
	Want   int // good pieces, those of the lots before it included
	Due    time.Time
	Median time.Time // zero: not within the run
	Safe   time.Time // at the service asked for
	InTime stats.Estimate
}

// dates estimates when the order and its lots are done.
func (s *promiseStudy) dates() {
	a := &s.answer
	runs := usable(s.runs)
	a.Runs, a.Refused = len(runs), len(s.runs)-len(runs)
	if len(runs) == 0 {
		return
	}
	chances := slices.Clone(promiseChances)
	if !slices.Contains(chances, a.Service) {
		chances = append(chances, a.Service)
		slices.Sort(chances)
	}
	calendarDays, workDays := s.daysOf(runs, ownDone, false), workDaysOf(runs)
	for _, d := range calendarDays {
		if d == never {
			a.Unfinished++
		}
	}
	for _, p := range chances {
		a.Dates = append(a.Dates, s.dateAt(calendarDays, workDays, p))
	}
	a.Spread = spreadOf(workDays)
	a.Promise, a.Chance = s.promised(runs, a.Service)
	a.InTime.Value = math.NaN()
	if !a.Due.IsZero() {
		due := calendar.DateOf(a.Due)
		a.InTime = s.inTime(runs, due, ownDone)
		a.Penalty = s.penalty(runs, due)
	}
	for k, l := range runs[0].own.Lots {
		a.Lots = append(a.Lots, s.lot(runs, k, l))
	}
}

// workDaysOf is the working days of each run; those not done rank last.
func workDaysOf(runs []promiseRun) []float64 {
	all := make([]float64, len(runs))
	for k, r := range runs {
		if all[k] = r.own.WorkDays; r.own.Done == des.Never {
			all[k] = never
		}
	}
	return all
}

// spreadOf is the standard deviation of the runs that are done.
func spreadOf(days []float64) float64 {
	var t stats.Tally
	for _, d := range days {
		if d < never {
			t.Add(d)
		}
	}
	return t.SD()
}

// dateAt is the date of one probability.
func (s *promiseStudy) dateAt(calendarDays, workDays []float64, p float64) PromisedDate {
	d := PromisedDate{P: p, Runs: len(calendarDays)}
	d.Calendar, d.Coverage = stats.QuantileInterval(calendarDays, p, experiment.Level)
	d.WorkDays, _ = stats.QuantileInterval(workDays, p, experiment.Level)
	d.At = s.dayAfter(d.Calendar.Value)
	if low, high, _, ok := stats.QuantileRanks(d.Runs, p, experiment.Level); ok {
		d.LowRank, d.HighRank = low, high
		d.Low, d.High = s.dayAfter(d.Calendar.Low), s.dayAfter(d.Calendar.High)
	}
	return d
}

// dayAfter is the instant so many calendar days after the start of the order;
// zero when that is beyond the run.
func (s *promiseStudy) dayAfter(days float64) time.Time {
	if !(days < never) {
		return time.Time{}
	}
	return s.civil(s.from() + des.Time(days*float64(des.Day)))
}

// promised is the least date by whose end the order is done with a probability of
// at least service, and that probability.
func (s *promiseStudy) promised(runs []promiseRun, service float64) (calendar.Date, stats.Estimate) {
	dates := make([]calendar.Date, 0, len(runs))
	for _, r := range runs {
		if r.own.Done != des.Never {
			dates = append(dates, s.works.clock().Date(r.own.Done))
		}
	}
	slices.Sort(dates)
	k := stats.QuantileRank(len(runs), service) - 1
	if k >= len(dates) {
		return -1, stats.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
	}
	return dates[k], s.inTime(runs, dates[k], ownDone)
}

// inTime is the probability of being done by the end of a date.
func (s *promiseStudy) inTime(runs []promiseRun, due calendar.Date, of func(r promiseRun) des.Time) stats.Estimate {
	in := 0
	for _, r := range runs {
		if done := of(r); done != des.Never && s.works.clock().Date(done) <= due {
			in++
		}
	}
	return stats.Wilson(in, len(runs), experiment.Level)
}

// penalty is the expected cost of the days after a date.
func (s *promiseStudy) penalty(runs []promiseRun, due calendar.Date) float64 {
	sum := 0.0
	for _, r := range runs {
		done := r.own.Done
		if done == des.Never {
			done = s.works.file.Works.Run.Length
		}
		sum += max(0, float64(s.works.clock().Date(done)-due))
	}
	return s.q.Late * sum / float64(len(runs))
}

// lot estimates one part delivery.
func (s *promiseStudy) lot(runs []promiseRun, k int, l plant.LotResult) PromisedLot {
	of := func(r promiseRun) des.Time { return r.own.Lots[k].Done }
	days := s.daysOf(runs, of, false)
	lot := PromisedLot{Name: l.Name, Want: l.Want}
	median, _ := stats.QuantileInterval(days, 0.5, experiment.Level)
	safe, _ := stats.QuantileInterval(days, s.answer.Service, experiment.Level)
	lot.Median, lot.Safe = s.dayAfter(median.Value), s.dayAfter(safe.Value)
	for _, in := range s.order.Lots {
		if d, err := calendar.ParseDates(in.Due); err == nil && in.Name == l.Name {
			lot.Due, _ = time.ParseInLocation(time.DateOnly, d.Last.String(), s.answer.Zone)
			lot.InTime = s.inTime(runs, d.Last, of)
		}
	}
	return lot
}
