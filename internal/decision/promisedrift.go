package decision

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// Drift holds an order under way against its first forecast.
type Drift struct {
	At             time.Time
	Good           int       // packed for the order up to then
	Low, Mid, High float64   // of the first forecast at that time: its 5, 50 and 95 % points
	Chance         float64   // share of the first forecast's runs with no more good pieces by then
	Outside        bool      // the order has left the band, beyond what luck may do
	Since          time.Time // first day, of those told, from which it has been outside ever since; zero: none
	Days           []DriftDay
	First          []PromisedDate // dates of the first forecast
	Later          float64        // calendar days by which the date at the service asked for has moved
	Runs           int
}

// DriftDay is one day that was told, with the first forecast's band at its end.
type DriftDay struct {
	Date           calendar.Date
	Good           int // up to its end
	Low, Mid, High float64
}

// drift makes the first forecast again and looks where the order stands in it.
func (s *promiseStudy) drift(ctx context.Context) error {
	f := s.q.Forth
	if f == nil {
		return nil
	}
	w, err := newPromiseWorks(s.q.Works, s.q.Seed)
	if err != nil {
		return err
	}
	first := &promiseStudy{q: s.q, works: w, answer: PromiseAnswer{Service: s.answer.Service}}
	for k := range w.file.Works.Orders {
		if o := &w.file.Works.Orders[k]; o.Name == s.q.Order {
			first.order, first.ware = o, s.ware
		}
	}
	if first.order == nil {
		return fmt.Errorf("the works of the first forecast has no order %q", s.q.Order)
	}
	// The luck is that of other runs than the new forecast's: what has come since
	// then is not the luck of the first.
	runs, err := s.simulate(ctx, trialSpec{works: w, until: []string{s.q.Order}}, anew/2, s.q.Pairs)
	if err != nil {
		return err
	}
	runs = usable(runs)
	if len(runs) == 0 {
		return nil
	}
	d := &Drift{At: f.At, Good: f.Good, Runs: len(runs)}
	at := w.clock().Tick(f.At)
	sorted := first.goodBy(runs, at)
	d.Low, d.Mid, d.High = stats.SampleQuantile(sorted, fanLow), stats.SampleQuantile(sorted, 0.5), stats.SampleQuantile(sorted, fanHigh)
	d.Outside = float64(f.Good) < d.Low || float64(f.Good) > d.High
	for _, x := range sorted {
		if x <= float64(f.Good) {
			d.Chance += 1 / float64(len(sorted))
		}
	}
	first.answer.Zone = s.answer.Zone
	days, work := first.daysOf(runs, ownDone, false), workDaysOf(runs)
	for _, p := range s.answer.Dates {
		d.First = append(d.First, first.dateAt(days, work, p.P))
	}
	first.driftDays(d, runs, f)
	d.Later = math.NaN()
	before, _ := stats.QuantileInterval(days, s.answer.Service, experiment.Level)
	for _, p := range s.answer.Dates {
		if p.P == s.answer.Service && !p.At.IsZero() && before.Value < never {
			d.Later = p.At.Sub(first.dayAfter(before.Value)).Hours() / 24
		}
	}
	s.answer.Drift = d
	return nil
}

// goodBy is the good pieces counted by an instant, over the runs in order. Of the
// day that the instant is in, its share of the day is taken.
func (s *promiseStudy) goodBy(runs []promiseRun, at des.Time) []float64 {
	counts := make([]float64, len(runs))
	for k, r := range runs {
		counts[k] = float64(s.order.Packed)
		for day, n := range r.own.Days {
			share := float64(at-des.Time(day)*des.Day) / float64(des.Day)
			counts[k] += float64(float64(n) * min(1, max(0, share)))
		}
	}
	slices.Sort(counts)
	return counts
}

// driftDays holds single days against the band, and finds since when the order
// has been outside of it.
func (s *promiseStudy) driftDays(d *Drift, runs []promiseRun, f *Under) {
	good := s.order.Packed
	var dates []calendar.Date
	told := map[calendar.Date]int{}
	for text, n := range f.ByDay {
		if day, err := calendar.ParseDates(text); err == nil {
			dates = append(dates, day.First)
			told[day.First] = n
		}
	}
	slices.Sort(dates)
	inside := -1
	for k, date := range dates {
		good += told[date]
		midnight, err := time.ParseInLocation(time.DateOnly, (date + 1).String(), s.answer.Zone)
		if err != nil {
			continue
		}
		sorted := s.goodBy(runs, s.works.clock().Tick(midnight))
		day := DriftDay{date, good, stats.SampleQuantile(sorted, fanLow), stats.SampleQuantile(sorted, 0.5), stats.SampleQuantile(sorted, fanHigh)}
		if float64(good) >= day.Low && float64(good) <= day.High {
			inside = k
		}
		d.Days = append(d.Days, day)
	}
	if k := inside + 1; k < len(d.Days) && d.Outside {
		d.Since, _ = time.ParseInLocation(time.DateOnly, d.Days[k].Date.String(), s.answer.Zone)
	}
}
