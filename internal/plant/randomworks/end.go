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

// opening draws pieces that are in the works at the start.
func (m *maker) opening() {
	if !m.yes("opening state") {
		return
	}
	s := &m.w.Opening
	for _, part := range []struct {
		name string
		to   *map[string]int
	}{
		{"finished", &s.Finished}, {"dried", &s.Dried}, {"passed", &s.White}, {"glazed", &s.Glazed},
		{"fired", &s.Fired}, {"patched", &s.Patched}, {"sorted", &s.Sorted},
	} {
		if m.yes("opening " + part.name) {
			*part.to = map[string]int{m.word("opening ware", m.wareNames()...): m.count("opening "+part.name, 0, 12)}
		}
	}
}
