package decision

import (
	"context"
	"fmt"
	"math"
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// A Yardstick is the figure that a decision hangs on.
type Yardstick struct {
	Name, Unit string
	// Works are those that the figure is of: one as a rule, two where they are held
	// against each other. An input is moved in all of them.
	Works []*scenario.File
	// Settle makes what is run of a works with its inputs moved, such as the same
	// with an order in its book; nil: nothing is to be done.
	Settle func(*scenario.File) (*scenario.File, error)
	// Of gives the figure of the works, replication by replication, so many as are
	// asked for. Replication n draws from the same luck wherever inputs lie.
	Of   Figures
	Turn Turn
	// Asking gives the same figure where values of the question itself lie elsewhere;
	// nil: it has none that move. The error says why it cannot be asked so.
	Asking func(inputs []scenario.Input, sides []scenario.Side) (Figures, error)
}

// Figures gives a figure of some works, by replication.
type Figures func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error)

// A Turn is the value of a figure at which the answer becomes another one.
type Turn struct {
	At           float64 // NaN: no answer hangs on the figure
	Above, Below string  // what is true on either side, as "push-21 is the cheaper"
}

// noTurn is the turn of a figure that is no decision.
func noTurn() Turn { return Turn{At: math.NaN()} }

// ready builds the works with inputs moved and gives the figure to be taken of it,
// or says why none can be had.
func (y *Yardstick) ready(inputs []scenario.Input, sides []scenario.Side) (works []*plant.Plant, of Figures, impossible string) {
	var own, others []scenario.Input
	var ownSides, otherSides []scenario.Side
	for i, in := range inputs {
		if y.Asking != nil && in.OfQuestion() {
			own, ownSides = append(own, in), append(ownSides, sides[i])
		} else {
			others, otherSides = append(others, in), append(otherSides, sides[i])
		}
	}
	of = y.Of
	if own != nil {
		var err error
		if of, err = y.Asking(own, ownSides); err != nil {
			return nil, nil, err.Error()
		}
	}
	works, impossible = y.built(others, otherSides)
	return works, of, impossible
}

// built is the works with inputs moved.
func (y *Yardstick) built(inputs []scenario.Input, sides []scenario.Side) (works []*plant.Plant, impossible string) {
	for _, file := range y.Works {
		moved, faults := file.Leaning(inputs, sides)
		if moved != nil && y.Settle != nil {
			var err error
			if moved, err = y.Settle(moved); err != nil {
				return nil, err.Error()
			}
		}
		var one *plant.Plant
		if moved != nil {
			one, faults = moved.Plant()
		}
		if one == nil {
			for _, f := range faults {
				if !f.Warning {
					return nil, f.What
				}
			}
			return nil, "it cannot be built"
		}
		works = append(works, one)
	}
	return works, ""
}

// Measured is the yardstick of one measure of a works, at the settings of a
// study; its warm-up must be a number of weeks.
func Measured(file *scenario.File, m *plant.Measure, s experiment.Settings) Yardstick {
	return Yardstick{Name: m.Name, Unit: m.Unit, Works: []*scenario.File{file}, Turn: noTurn(),
		Of: func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
			s.Replications = replications
			return DecidingOf(ctx, works[0], m.Name, s)
		}}
}

// DaysOfOrder is the yardstick of an order's date: the calendar days from its
// start to its end. An order that is not done within the run counts with the
// run's length. p is the works as the file states it; the answer turns at the end
// of the date that the order is asked for by, if there is one.
func DaysOfOrder(file *scenario.File, p *plant.Plant, order string, seed uint64, workers int) Yardstick {
	y := Yardstick{Name: "days to the end of " + order, Unit: "d", Works: []*scenario.File{file}, Turn: dueTurn(p, order)}
	y.Of = func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
		k := orderNo(works[0], order)
		if k < 0 {
			return nil, fmt.Errorf("decision: there is no order %q", order)
		}
		from := startOf(&works[0].Works().Orders[k], works[0])
		var days []float64
		err := experiment.Each(ctx, workers, replications,
			func(ctx context.Context, number int) (des.Time, error) {
				r, err := works[0].Simulate(plant.Options{
					Source: random.New(seed, uint32(number)), Until: []string{order},
					Stopped: func() bool { return ctx.Err() != nil },
				})
				if err != nil {
					return 0, err
				}
				return min(r.Orders[k].Done, works[0].Works().Run.Length), nil
			},
			func(done des.Time) bool {
				days = append(days, float64(done-from)/float64(des.Day))
				return false
			})
		return days, err
	}
	return y
}

// orderNo is the place of an order in the book; -1: it is not there.
func orderNo(p *plant.Plant, name string) int {
	return slices.IndexFunc(p.Works().Orders, func(o plant.Order) bool { return o.Name == name })
}

// dueTurn is the turn of an order's days: the end of the date asked for.
func dueTurn(p *plant.Plant, order string) Turn {
	k := orderNo(p, order)
	if k < 0 {
		return noTurn()
	}
	o := &p.Works().Orders[k]
	d, err := calendar.ParseDates(o.Due)
	if err != nil {
		return noTurn()
	}
	end, err := calendar.ParseStart((d.Last + 1).String(), p.Works().Zone)
	if err != nil {
		return noTurn()
	}
	due := sayDate(d.Last)
	return Turn{
		At:    float64(p.Clock().Tick(end)-startOf(o, p)) / float64(des.Day),
		Above: due + " is missed on average", Below: due + " is met on average",
	}
}

// startOf is the start of an order in the time of its works; 0 where it has none.
func startOf(o *plant.Order, p *plant.Plant) des.Time {
	at, err := calendar.ParseStart(o.Start, p.Works().Zone)
	if err != nil {
		return 0 // the plant has refused any that cannot be read
	}
	return p.Clock().Tick(at)
}

// LeadOf finds out, in a short study of the main future, which option of a
// comparison is best and which next, and returns by how much it is ahead of that,
// in the measure that decides. works gives those of an option in a
// future.
func LeadOf(ctx context.Context, q CompareQuestion, s experiment.Settings, works func(option, future int) *scenario.File) (Yardstick, error) {
	z, err := newWeighing(q)
	if err != nil {
		return Yardstick{}, err
	}
	main := z.main()
	q.Futures, q.Plant = []experiment.Prospect{{Name: q.Futures[main].Name, Weight: 1}}, inFuture(q.Plant, main)
	if z, err = newWeighing(q); err != nil {
		return Yardstick{}, err
	}
	if z.grid, err = experiment.RunGrid(ctx, z.plan(nil), s); err != nil {
		return Yardstick{}, err
	}
	best, _, than := z.choose()
	than = heldAgainst(best, than)
	s.Weeks, s.WarmUp = z.grid.Weeks, z.grid.WarmUp.Weeks
	y := leadYardstick(q.Options[best].Name, q.Options[than].Name, "better", works(best, main), works(than, main))
	y.Unit = measureNamed(q.Plant(0, 0), q.By).Unit
	q.Options = []CompareOption{q.Options[best], q.Options[than]}
	y.Of = func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
		q.Plant = func(o, _ int) *plant.Plant { return works[o] }
		pair, err := newWeighing(q)
		if err != nil {
			return nil, err
		}
		s.Replications = replications
		g, err := experiment.RunGrid(ctx, pair.plan(nil), s)
		if err != nil {
			return nil, err
		}
		lead := pair.expected(g, 0, q.By, false)
		for r, v := range pair.expected(g, 1, q.By, false) {
			lead[r] = pair.Way.Gain(lead[r] - v)
		}
		return lead, nil
	}
	return y, nil
}

// SavingOf is LeadOf for a question about a kiln: by how much a year the option to
// build is cheaper than the next cheapest that meets demand.
func SavingOf(ctx context.Context, q SizeQuestion, s experiment.Settings, works func(option, future int) *scenario.File) (Yardstick, error) {
	if err := q.check(); err != nil {
		return Yardstick{}, err
	}
	main := newSizing(q).main()
	future := q.Futures[main]
	future.Weight = 1
	q.Futures, q.Plant = []SizeFuture{future}, inFuture(q.Plant, main)
	z := newSizing(q)
	g, err := experiment.RunGrid(ctx, z.plan(nil), s)
	if err != nil {
		return Yardstick{}, err
	}
	z.read(g)
	best, _, than := z.choose()
	than = heldAgainst(best, than)
	s.Weeks, s.WarmUp = g.Weeks, g.WarmUp.Weeks
	y := leadYardstick(q.Options[best].Name, q.Options[than].Name, "cheaper", works(best, main), works(than, main))
	y.Unit = q.Currency + "/yr"
	q.Options = []SizeOption{q.Options[best], q.Options[than]}
	y.Of = func(ctx context.Context, works []*plant.Plant, replications int) ([]float64, error) {
		q.Plant = func(o, _ int) *plant.Plant { return works[o] }
		pair := newSizing(q)
		s.Replications = replications
		g, err := experiment.RunGrid(ctx, pair.plan(nil), s)
		if err != nil {
			return nil, err
		}
		pair.read(g)
		saving := pair.yearly(1)
		for r, v := range pair.yearly(0) {
			saving[r] -= v
		}
		return saving, nil
	}
	return y, nil
}

// inFuture is the works of the options in one future.
func inFuture(of func(option, future int) *plant.Plant, future int) func(option, _ int) *plant.Plant {
	return func(option, _ int) *plant.Plant { return of(option, future) }
}

// heldAgainst is the rival of the best option, or without one the works as it is,
// or the first option where that is the best.
func heldAgainst(best, rival int) int {
	switch {
	case rival >= 0:
		return rival
	case best == 0:
		return 1
	}
	return 0
}

// leadYardstick names the lead of one option over another.
func leadYardstick(best, than, word string, works ...*scenario.File) Yardstick {
	return Yardstick{
		Name: fmt.Sprintf("lead of %s over %s", best, than), Works: works,
		Turn: Turn{At: 0, Above: fmt.Sprintf("%s is the %s", best, word), Below: fmt.Sprintf("%s is the %s", than, word)},
	}
}
