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
	var err error
	if q.Works, err = Book(base, o, s.RunIn); err != nil {
		return q, err
	}
	// A lever may change the order itself, such as its priority.
	book := func(option int) (*scenario.File, error) {
		f := a.Works(option, 0)
		return Book(f, orderOfSection(s, f.Works), s.RunIn)
	}
	if s.Today != nil {
		book = func(option int) (*scenario.File, error) { return today(a.Now(option), s) }
		q.Forth = &Under{Good: s.Today.Good, ByDay: s.Today.ByDay}
		if q.Forth.At, err = calendar.ParseStart(s.Today.At, base.Works.Zone); err != nil {
			return q, err
		}
		if q.Forth.Works, err = book(0); err != nil {
			return q, err
		}
	}
	for k, option := range a.Options[1:] {
		l := Lever{Name: option.Name, Once: currency(option.Capital), Weekly: currency(s.Weekly[option.Name])}
		if l.Works, err = book(k + 1); err != nil {
			return q, err
		}
		for _, d := range scenario.Differences(base, a.Works(k+1, 0)) {
			l.Changes = append(l.Changes, experiment.Change(d))
		}
		q.Levers = append(q.Levers, l)
	}
	return q, nil
}

// OrderWorks is the works from which a question forecasts its date, as counted
// today if it says so, before the order is in its book, and how it is put there.
func OrderWorks(a *scenario.Asked) (file *scenario.File, book func(*scenario.File) (*scenario.File, error)) {
	s := a.Promise
	if s.Today != nil {
		return a.Now(0), func(f *scenario.File) (*scenario.File, error) { return today(f, s) }
	}
	return a.Works(0, 0), func(f *scenario.File) (*scenario.File, error) {
		return Book(f, orderOfSection(s, f.Works), s.RunIn)
	}
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

// today is a works that begins with what is counted today, the order in it less
// what is packed. Ware counted for the order is in the opening state, so that
// this counts; without one the works is run in, and only ware cast from today on
// can count.
func today(f *scenario.File, s *scenario.PromiseSection) (*scenario.File, error) {
	o := orderOfSection(s, f.Works)
	o.Start, o.Packed, o.Stock = s.Today.At, s.Today.Good, true
	return Book(f.Altered("from "+s.Today.At, func(w *plant.Works) {
		if !w.Opening.Empty() {
			w.Start = s.Today.At
		}
	}), o, s.RunIn)
}
