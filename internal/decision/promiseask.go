package decision

import (
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// AskedPromise is the question of a file. The file must have a promise section.
func AskedPromise(a *scenario.Asked) (PromisePlan, error) {
	s := a.Promise
	base := a.Works(0, 0)
	q := PromisePlan{
		Title: a.Title, Order: s.Order, Late: currency(s.Late), Service: float64(s.Service),
		Runs: s.Runs, Pairs: s.Pairs, Seed: uint64(base.Works.Run.Seed),
	}
	o := orderOfSection(s, base.Works)
	file, now := base, base
	if s.Today != nil {
		now = a.Now
	}
	var err error
	if q.Works, err = Book(file, o, s.RunIn); err != nil {
		return q, err
	}
	book := func(f *scenario.File) (*scenario.File, error) { return Book(f, o, s.RunIn) }
	if s.Today != nil {
		if q.Forth, err = under(now, o, s); err != nil {
			return q, err
		}
		book = func(f *scenario.File) (*scenario.File, error) { return today(f, now, o, s) }
	}
	for k, option := range a.Options[1:] {
		l := Lever{Name: option.Name, Once: currency(option.Capital), Weekly: currency(s.Weekly[option.Name])}
		if l.Works, err = book(a.Works(k+1, 0)); err != nil {
			return q, err
		}
		for _, d := range scenario.Differences(base, a.Works(k+1, 0)) {
			l.Changes = append(l.Changes, experiment.Change(d))
		}
		q.Levers = append(q.Levers, l)
	}
	return q, nil
}

// orderOfSection is the order that the section describes, or that of the base
// that it names.
func orderOfSection(s *scenario.PromiseSection, w *plant.Works) plant.Order {
	if s.Ware == "" {
		return w.Orders[slices.IndexFunc(w.Orders, func(o plant.Order) bool { return o.Name == s.Order })]
	}
	return plant.Order{
		Name: s.Order, Ware: s.Ware, Quantity: s.Quantity, Start: s.Start, Due: s.Due,
		Priority: s.Priority, Stock: s.Stock, Lots: s.Lots,
	}
}

// under is the order as it stands today, in the works as counted today.
func under(now *scenario.File, o plant.Order, s *scenario.PromiseSection) (*Under, error) {
	at, err := calendar.ParseStart(s.Today.At, now.Works.Zone)
	if err != nil {
		return nil, err
	}
	f, err := today(now, now, o, s)
	if err != nil {
		return nil, err
	}
	return &Under{Works: f, At: at, Good: s.Today.Good, ByDay: s.Today.ByDay}, nil
}

// today is a works that begins with what is counted today, the order in it less
// what is packed. Ware counted for the order is in the opening state, so that
// this counts; without one the works is run in, and only ware cast from today on
// can count.
func today(f, now *scenario.File, o plant.Order, s *scenario.PromiseSection) (*scenario.File, error) {
	o.Start, o.Packed = s.Today.At, s.Today.Good
	o.Stock = true
	begun := altered(f, func(w *plant.Works) {
		w.Opening = now.Works.Opening
		if !w.Opening.Empty() {
			w.Start = s.Today.At
		}
		w.Orders = slices.Clone(w.Orders)
		for k := range w.Orders {
			if w.Orders[k].Start == "" {
				w.Orders[k].Start = s.Today.At
			}
		}
	})
	return Book(begun, o, s.RunIn)
}
