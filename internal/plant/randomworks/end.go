package randomworks

import (
	"potbank/internal/plant"
)

// fired draws what follows the kilns: sorting, patching, tests, packing and
// the orders.
func (m *maker) fired() {
	if m.have("sorting") {
		m.w.Sorting = &plant.Sorting{Crew: m.anyCrew("sorting"), Time: m.perWare("sorting", 0, 8)}
	}
	if m.have("refire") {
		m.w.Refire = &plant.Refire{Crew: m.anyCrew("refire"), Time: m.perWare("patching", 0, 15), Dry: m.minutes("patch drying", 0, 400), Most: m.count("refires", 0, 5)}
	}
	for k := range m.count("tests", 0, 2) {
		name := numbered("test", k)
		m.w.Tests = append(m.w.Tests, plant.Test{
			Name: name, Crew: m.anyCrew(name), Ware: m.some(name, m.wareNames()), Time: m.perWare(name, 0, 6),
			OneIn: m.count(name+" one in", 1, 5), OfLoad: m.count(name+" of each load", 0, 2), Destroy: m.yes(name + " destructive"), Finds: 1 - m.share(name+" misses", 0, 50),
		})
	}
	if m.have("packing") {
		m.w.Packing = &plant.Packing{Crew: m.anyCrew("packing"), Time: m.perWare("packing", 0, 8)}
		if len(m.w.Ware) > 1 && m.yes("suites") {
			m.w.Packing.Suites = []plant.Suite{{Name: "suite", Pieces: map[string]int{m.w.Ware[0].Name: m.count("suite of first", 1, 2), m.w.Ware[1].Name: m.count("suite of second", 1, 2)}}}
		}
	}
	for k := range m.count("orders", 0, 2) {
		o := plant.Order{Name: numbered("order", k), Ware: m.word("ordered", m.wareNames()...), Quantity: m.count("order quantity", 1, 200), Priority: m.count("priority", 1, 3)}
		if m.yes("order dated") {
			o.Start, o.Due = m.date(m.count("order from day", 0, 7)), m.date(m.count("order due day", 8, 60))
		}
		o.Stock = m.yes("order counts stock")
		m.lots(&o)
		if m.yes("made to order") {
			for i := range m.w.Ware {
				if m.w.Ware[i].Name == o.Ware {
					m.w.Ware[i].Make = "order"
				}
			}
		}
		m.w.Orders = append(m.w.Orders, o)
	}
}

// lots draws what of an order is packed already, and its part deliveries.
func (m *maker) lots(o *plant.Order) {
	if m.yes("order under way") {
		o.Packed = m.count("packed already", 0, o.Quantity-1)
	}
	for k, left := 0, o.Quantity; k < 3 && left > 0 && m.yes("lot"); k++ {
		l := plant.Lot{Name: numbered("lot", k), Quantity: m.count("lot quantity", 1, left), Due: m.date(m.count("lot due day", 1, 60))}
		o.Lots = append(o.Lots, l)
		left -= l.Quantity
	}
}

// opening draws pieces that are in the works at the start.
func (m *maker) opening() {
	if !m.yes("opening state") {
		return
	}
	s := &m.w.Opening
	places := m.places()
	for _, part := range []struct {
		name  string
		to    *map[string]int
		there bool
	}{
		{"finished", &s.Finished, true}, {"dried", &s.Dried, true}, {"passed", &s.White, true}, {"glazed", &s.Glazed, true},
		{"fired", &s.Fired, true}, {"patched", &s.Patched, true}, {"sorted", &s.Sorted, true}, {"in-moulds", &s.InMoulds, true},
		{"leather-hard", &s.Leather, m.w.Finishing != nil}, {"punched", &s.Punched, m.w.Finishing != nil},
		{"drying", &s.Drying, len(m.w.Dryers) > 0}, {"coat-drying", &s.Coating, m.w.Glazing != nil}, {"firing", &s.Firing, true},
		{"to-patch", &s.ToPatch, m.w.Refire != nil}, {"refiring", &s.Refiring, true}, {"refired", &s.Refired, true}, {"tested", &s.Tested, true},
	} {
		if part.there && m.yes("opening "+part.name) {
			ware := m.word("opening ware", m.wareNames()...)
			most := 12
			if part.name == "in-moulds" {
				most = min(most, places[ware])
			}
			*part.to = map[string]int{ware: m.count("opening "+part.name, 0, most)}
		}
	}
	m.allow()
}

// places is the moulds of each ware.
func (m *maker) places() map[string]int {
	n := map[string]int{}
	for k := range m.w.Benches {
		n[m.w.Benches[k].Ware] += m.w.Benches[k].Count * m.w.Benches[k].Moulds
	}
	for k := range m.w.Presses {
		n[m.w.Presses[k].Ware] += m.w.Presses[k].Count * m.w.Presses[k].Cavities
	}
	return n
}

// allow takes out of the opening state what cannot be: whether ware can still be
// leather-hard or dry at the start, and how much fits into a kiln, the calendar and
// the other departments decide.
func (m *maker) allow() {
	s := &m.w.Opening
	_, faults := plant.New(m.w)
	for _, f := range faults {
		switch {
		case f.Warning:
		case f.Path == "opening-state.leather-hard":
			s.Leather = nil
		case f.Path == "opening-state.drying":
			s.Drying = nil
		case f.Path == "opening-state.firing":
			s.Firing = nil
		case f.Path == "opening-state.refiring":
			s.Refiring = nil
		}
	}
}
