package experiment

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// Evidence is an input of the works that is known from counts or records only.
type Evidence struct {
	Path  string // keys of the value, e.g. ware.pan.yields.white
	Rests string // what it rests on, e.g. "460 of 500"
	Of    int    // pieces counted, or records
}

// Inputs are the works that the evidence of a scenario would allow as well.
type Inputs struct {
	Evidence []Evidence
	// Draw returns works number k, from 1, and the value it has for each
	// Evidence. An error says that the values drawn do not go together. It
	// must be safe for several goroutines at once, and depend on k alone.
	Draw func(k int) (Runner, []float64, error)
}

// Doubt splits the width of an answer into luck, which differs from run to run
// of one works, and what nobody knows of the works, which differs from works to
// works that its evidence allows.
type Doubt struct {
	Evidence []Evidence
	Draws    int    // works drawn and run
	Runs     int    // runs of each
	Refused  int    // works drawn that could not run
	Why      string // what the first of them lacked
	Measures []Spread
	Orders   []OrderSpread
	Next     []Contribution // what to measure next, by measure
}

// Spread is the width of one measure, for a run of the weeks measured. The
// halves are of ranges at Level and in the measure's unit.
type Spread struct {
	Name, Unit string
	Luck       float64        // half-width of the range of runs of one works
	Inputs     float64        // half-width of the range of works, luck taken away
	Range      stats.Estimate // range of one run of one such works; Value is the mean
	Share      stats.Estimate // share of the variance that is of the inputs
}

// OrderSpread is the width of the time to the end of an order.
type OrderSpread struct {
	Spread           // in days of 24 h from the start of the run; no values where a run did not finish the order
	Low, High   When // range of the end of the order at Level, whatever the law of the date
	HasInterval bool
	Note        string // why there is no range of dates
}

// DefaultDraws is how many works are drawn where nobody says otherwise: the
// spread of 25 is known to about 30 %, and to halve that would take 100.
const DefaultDraws = 25

// LeastDraws is the least number of works whose spread can be told at all.
const LeastDraws = 2

// runsPerDraw is how often each works is run. Two are the fewest that tell luck
// from inputs; of a fixed number of runs all others are better spent on more
// works, as long as the inputs matter (Searle, Casella and McCulloch, Variance
// Components, section 3.5).
const runsPerDraw = 2

// doubtRuns is the number of the first replication used on drawn works, beyond
// any of the study: their luck is independent of it, and of one another.
const doubtRuns = 1 << 31

// AddDoubt runs s.Draws works of the inputs, so many as the evidence leaves open,
// and adds to an answer of the same settings how wide it is for luck and for
// what is not known. The dates of orders become those of the predictive law:
// both in one.
//
// When ctx is cancelled or a run fails, the error says so, as that of Replicate
// does, and the doubt rests on the works before it; a warning says that too.
// With fewer than two works the answer has none.
func AddDoubt(ctx context.Context, a *Answer, in Inputs, s Settings) error {
	return addDoubt(ctx, a, in, s, func(p Runner) []gauge { return gaugesOf(p.Measures()) })
}

// addDoubt is AddDoubt with the measures apart, so that a test can bring its
// own.
func addDoubt(ctx context.Context, a *Answer, in Inputs, s Settings, gauges func(Runner) []gauge) error {
	if s.Draws < LeastDraws || s.Draws > doubtRuns/runsPerDraw {
		return fmt.Errorf("experiment: %d works drawn; at least %d are needed", s.Draws, LeastDraws)
	}
	d := &drawing{answer: a, inputs: in, settings: s, gauges: gauges, doubt: Doubt{Evidence: in.Evidence, Runs: runsPerDraw}}
	for _, f := range a.Measures {
		if f.Headline {
			d.headline = append(d.headline, f)
		}
	}
	cut := inOrder[*drawn]{workers: max(1, s.Workers), most: s.Draws, simulate: d.simulate, take: d.take}.run(ctx)
	d.conclude(cut)
	return cut
}

// A drawing gathers the runs of drawn works.
type drawing struct {
	answer   *Answer
	inputs   Inputs
	settings Settings
	gauges   func(Runner) []gauge
	headline []Figure

	done  int
	works []*drawn
	doubt Doubt
}

// drawn is one works and what its runs gave.
type drawn struct {
	runner  Runner
	values  []float64   // of each evidence
	figures [][]float64 // [headline measure][run]
	orders  [][]plant.OrderResult
	refused error // why it could not run
}

// simulate draws works k and runs it. That values do not go together is no
// failure: it is said once, at the end.
func (d *drawing) simulate(ctx context.Context, k int) (*drawn, error) {
	runner, values, err := d.inputs.Draw(k)
	if err != nil {
		return &drawn{refused: err}, nil
	}
	one := &drawn{runner: runner, values: values, figures: make([][]float64, len(d.headline))}
	gauges := d.gauges(runner)
	for run := range runsPerDraw {
		r, err := runner.Simulate(plant.Options{
			Source:  random.New(d.settings.Seed, uint32(doubtRuns+(k-1)*runsPerDraw+run)),
			Weeks:   d.answer.Weeks,
			Stopped: func() bool { return ctx.Err() != nil },
		})
		if err != nil {
			return nil, fmt.Errorf("works drawn from the evidence: %w", err)
		}
		for i, f := range d.headline {
			value := math.NaN()
			if g, ok := find(gauges, f.Name); ok {
				if num, den := g.of(r, d.answer.WarmUp.Weeks, d.answer.Weeks); den != 0 {
					value = num / den
				}
			}
			one.figures[i] = append(one.figures[i], value)
		}
		one.orders = append(one.orders, r.Orders)
	}
	return one, nil
}

// take adds the next works.
func (d *drawing) take(one *drawn) (enough bool) {
	d.done++
	if one.refused == nil {
		d.works = append(d.works, one)
	} else {
		d.doubt.Why = cmp.Or(d.doubt.Why, one.refused.Error())
		d.doubt.Refused++
	}
	if d.settings.Progress != nil {
		d.settings.Progress(Progress{Replications: d.done, Fewest: d.settings.Draws, Most: d.settings.Draws, Doing: Drawing})
	}
	return false
}

// conclude puts what was found into the answer.
func (d *drawing) conclude(cut error) {
	a := d.answer
	d.doubt.Draws = len(d.works)
	a.Warnings = append(a.Warnings, d.warnings(cut)...)
	if d.doubt.Draws < LeastDraws {
		return
	}
	for i, f := range d.headline {
		groups := make([][]float64, len(d.works))
		for k, w := range d.works {
			groups[k] = w.figures[i]
		}
		if s, ok := spreadOf(f.Name, f.Unit, groups); ok {
			d.doubt.Measures = append(d.doubt.Measures, s)
			d.doubt.Next = append(d.doubt.Next, d.contributions(s, groups)...)
		}
	}
	d.predictOrders()
	a.Doubt = &d.doubt
}

// spreadOf splits the spread of one measure; there is none where a run had
// nothing to measure.
func spreadOf(name, unit string, groups [][]float64) (Spread, bool) {
	for _, g := range groups {
		for _, x := range g {
			if x != x {
				return Spread{}, false
			}
		}
	}
	c := stats.OneWay(groups, Level)
	return Spread{Name: name, Unit: unit, Luck: c.HalfWithin(Level), Inputs: c.HalfBetween(Level), Range: c.Range(Level), Share: c.Share}, true
}

// predictOrders replaces the dates of orders by those over all works drawn, and
// splits their spread.
func (d *drawing) predictOrders() {
	first := d.works[0]
	due := map[string]string{}
	for _, o := range first.runner.Works().Orders {
		due[o.Name] = o.Due
	}
	for i, name := range first.orders[0] {
		var ends []plant.OrderResult
		groups := make([][]float64, len(d.works))
		for k, w := range d.works {
			for _, run := range w.orders {
				ends = append(ends, run[i])
				groups[k] = append(groups[k], endOf(run[i]))
			}
		}
		clock := first.runner.Clock()
		o := orderOf(ends, clock, due[name.Name])
		for j, p := range orderChances {
			o.Dates[j] = dateFrom(stats.GroupedQuantile(groups, p, Level), p, clock)
		}
		o.shareRuns(len(d.works))
		d.answer.replaceOrder(o)

		r := dateFrom(stats.GroupedRange(groups, Level), 0.5, clock)
		s := OrderSpread{Low: r.Low, High: r.High, HasInterval: r.HasInterval, Note: r.Note}
		if o.Finished == o.Of {
			s.Spread, _ = spreadOf(o.Name, "d", inDays(groups))
			d.doubt.Next = append(d.doubt.Next, d.contributions(s.Spread, inDays(groups))...)
		} else {
			s.Spread = Spread{Name: o.Name, Unit: "d"}.unknown()
			d.answer.Warnings = append(d.answer.Warnings, fmt.Sprintf(
				"Order %s was not finished within the run of %s in %d of %d runs of drawn works.", o.Name, weeksOf(d.answer.Weeks), o.Of-o.Finished, o.Of))
		}
		d.doubt.Orders = append(d.doubt.Orders, s)
	}
}

// endOf is the end of an order as a number that can be ranked.
func endOf(o plant.OrderResult) float64 {
	if o.Done == des.Never {
		return never
	}
	return float64(o.Done)
}

// inDays turns ends of orders into days from the start of the run.
func inDays(groups [][]float64) [][]float64 {
	days := make([][]float64, len(groups))
	for k, g := range groups {
		for _, t := range g {
			days[k] = append(days[k], t/float64(des.Day))
		}
	}
	return days
}

// replaceOrder puts an order in the place of that of its name.
func (a *Answer) replaceOrder(o Order) {
	for i := range a.Orders {
		if a.Orders[i].Name == o.Name {
			a.Orders[i] = o
			return
		}
	}
	a.Orders = append(a.Orders, o)
}

// cutShort says why fewer works were drawn than asked for; empty when not.
func (d *drawing) cutShort(cut error) string {
	var failed *ReplicationError
	switch {
	case cut == nil:
		return ""
	case errors.As(cut, &failed):
		return fmt.Sprintf("The doubt rests on %d works drawn from the evidence, since a run of the next one failed: what failed is not in it.", d.doubt.Draws)
	}
	return fmt.Sprintf("The doubt was stopped after %d of %d works drawn from the evidence.", d.doubt.Draws, d.settings.Draws)
}

// unknown is a spread without values.
func (s Spread) unknown() Spread {
	nan := math.NaN()
	s.Luck, s.Inputs = nan, nan
	s.Range = stats.Estimate{Value: nan, Low: nan, High: nan, SD: nan, Level: Level}
	s.Share = s.Range
	return s
}
