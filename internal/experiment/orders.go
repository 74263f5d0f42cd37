package experiment

import (
	"math"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// Order is when an order is finished.
type Order struct {
	Name, Ware string
	Want       int     // good pieces ordered
	Good       float64 // good pieces at the end of the run, mean
	Finished   int     // replications in which it was finished
	Of         int     // replications
	Dates      []OrderDate
	Due        time.Time      // end of the day promised; zero when none was
	InTime     stats.Estimate // probability of being finished by Due; no value when none was promised
	WorkDays   float64        // mean working days of those that were finished; NaN when none was
}

// OrderDate is a date by which the order is finished with probability P. Its
// interval is of order statistics: it holds whatever the law of the date is.
type OrderDate struct {
	P             float64
	At, Low, High When
	HasInterval   bool
	Note          string // why there is no interval
}

// When is a date, or beyond the run.
type When struct {
	Beyond bool // not within the run, so no date is given
	Civil  time.Time
}

// orderChances are the probabilities for which a date is given: as likely as
// not, prudent, and a promise.
var orderChances = []float64{0.5, 0.8, 0.95}

// never stands for an order that was not finished within the run. It is finite,
// so that order statistics can rank it, and later than any run can last.
const never = 1e18

// ordersOf estimates the completion of each order from results[replication].
func ordersOf(p Runner, results [][]plant.OrderResult) []Order {
	if len(results) == 0 {
		return nil
	}
	due := map[string]string{}
	for _, o := range p.Works().Orders {
		due[o.Name] = o.Due
	}
	var orders []Order
	for i, o := range results[0] {
		column := make([]plant.OrderResult, len(results))
		for r := range results {
			column[r] = results[r][i]
		}
		orders = append(orders, orderOf(column, p.Clock(), due[o.Name]))
	}
	return orders
}

// orderOf estimates one order from its end in each replication.
func orderOf(ends []plant.OrderResult, clock calendar.Clock, due string) Order {
	o := Order{Name: ends[0].Name, Ware: ends[0].Ware, Want: ends[0].Want, Of: len(ends)}
	var good, days stats.Tally
	done := make([]float64, len(ends))
	for i, e := range ends {
		good.Add(float64(e.Good))
		done[i] = never
		if e.Done != des.Never {
			o.Finished++
			done[i] = float64(e.Done)
			days.Add(e.WorkDays)
		}
	}
	o.Good, o.WorkDays = good.Mean(), days.Mean()
	for _, p := range orderChances {
		o.Dates = append(o.Dates, dateOf(done, p, clock))
	}
	o.promise(ends, clock, due)
	return o
}

// dateOf gives the date by which a share p of the replications had finished.
func dateOf(done []float64, p float64, clock calendar.Clock) OrderDate {
	e, _ := stats.QuantileInterval(done, p, Level)
	return dateFrom(e, p, clock)
}

// dateFrom turns an estimate in simulated time into dates.
func dateFrom(e stats.Estimate, p float64, clock calendar.Clock) OrderDate {
	when := func(t float64) When {
		if t >= never {
			return When{Beyond: true}
		}
		return When{Civil: clock.Civil(des.Time(t))}
	}
	d := OrderDate{P: p, At: when(e.Value), HasInterval: e.HasInterval()}
	if d.HasInterval {
		d.Low, d.High = when(e.Low), when(e.High)
	} else if len(e.Warnings) > 0 {
		d.Note = e.Warnings[0]
	}
	return d
}

// promise judges the order against the date promised, which counts to its last
// minute.
func (o *Order) promise(ends []plant.OrderResult, clock calendar.Clock, due string) {
	o.InTime.Value = math.NaN()
	dates, err := calendar.ParseDates(due)
	if err != nil {
		return // none promised: the plant has refused any that cannot be read
	}
	in := 0
	for _, e := range ends {
		if e.Done != des.Never && clock.Date(e.Done) <= dates.Last {
			in++
		}
	}
	o.InTime = stats.Wilson(in, len(ends), Level)
	o.Due, _ = time.ParseInLocation(time.DateOnly, dates.Last.String(), clock.Civil(0).Location())
}

// shareRuns takes the runs for no more than so many independent ones, as those
// of one works share its unknowns: the interval of the chance of being in time
// is as wide as that of as many single runs.
func (o *Order) shareRuns(independent int) {
	if math.IsNaN(o.InTime.Value) {
		return
	}
	value := o.InTime.Value
	o.InTime = stats.Wilson(int(math.Round(value*float64(independent))), independent, Level)
	o.InTime.Value = value
}
