package randomworks

import (
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// casting draws benches and presses, so that every ware is cast somewhere.
func (m *maker) casting() {
	for k, ware := range m.wareNames() {
		switch m.word(ware+" cast on", "bench", "press", "bench and press") {
		case "press":
			m.press(numbered("press", k), ware)
		case "bench and press":
			m.press(numbered("press", k), ware)
			m.bench(numbered("bench", k), ware)
		default:
			m.bench(numbered("bench", k), ware)
		}
	}
	if len(m.w.Benches) > 0 && m.yes("second bench of the first ware") {
		m.bench("bench-again", m.w.Benches[0].Ware)
	}
	if len(m.w.Benches) > 0 && m.yes("mould shop") {
		m.mouldShop()
	}
}

// bench draws a group of benches and, unless it shares that of another, its
// casters. No touch takes longer than two hours, so that it fits into half of
// the shortest opening.
func (m *maker) bench(name, ware string) {
	b := plant.Bench{
		Name: name, Ware: ware, Count: m.count(name+" benches", 1, 2), Moulds: m.count(name+" moulds", 1, 10), Casters: 1,
		Fill: m.minutes(name+" fill", 0, 20), Rate: 1, Damp: 1, Old: 1,
		Drain: m.minutes(name+" drain", 0, 20), Set: m.minutes(name+" set", 0, 90), Open: m.minutes(name+" demould", 0, 6),
		Clean: m.minutes(name+" clean", 0, 40), DryBack: m.minutes(name+" dry-back", 0, 900),
		Ages: m.word(name+" mould ages", "even", "new"), Life: m.life(name),
	}
	if len(m.w.Benches) > 0 && m.yes(name+" shares casters") {
		b.Crew = m.w.Benches[0].Crew
	} else {
		b.Crew = m.crew("casters-of-"+name, 1, 3).Name
		b.Casters = 1
	}
	if m.yes(name + " build given") {
		b.Build = m.minutes(name+" build", 1, 120)
	} else {
		b.Wall = quantity.Length(m.count(name+" wall (mm)", 5, 11))
		b.Damp, b.Old = m.share(name+" damp rate", 50, 100), m.share(name+" old rate", 50, 100)
		b.DryThru = b.DryBack + m.minutes(name+" dry-through", 0, 600)
	}
	if m.yes(name + " places idle") {
		b.Idle = m.share(name+" places idle", 1, 30)
	}
	if m.yes(name + " changes over") {
		other := m.word(name+" changes to", m.wareNames()...)
		b.Change = []plant.Changeover{{Name: m.date(m.count(name+" changes on day", 1, 12)), Ware: other, Takes: m.minutes(name+" change takes", 0, 120)}}
	}
	m.w.Benches = append(m.w.Benches, b)
}

// life draws the life of working moulds, short enough for some to wear out.
func (m *maker) life(name string) random.Law {
	casts := float64(m.count(name+" mould life", 1, 40))
	if m.yes(name + " lives vary") {
		return must(random.Uniform(casts/2, 2*casts))
	}
	return must(random.Constant(casts))
}

func (m *maker) press(name, ware string) {
	p := plant.Press{
		Name: name, Ware: ware, Count: m.count(name+" machines", 1, 2), Cavities: m.count(name+" cavities", 1, 4),
		Hours: m.someHours(name), Cycle: m.span(name+" cycle", 20, 150), Effective: 1,
		Life: m.life(name), Change: m.minutes(name+" mould change", 0, 240), MouldPrice: quantity.Money(m.euros(name+" mould", 5000)),
		Breakdowns: m.breakdowns(name),
	}
	if m.yes(name + " has an operator") {
		p.Crew = m.anyCrew(name)
	}
	if m.yes(name + " has allowances") {
		p.Effective = m.share(name+" effective", 60, 99)
	}
	m.w.Presses = append(m.w.Presses, p)
}

// mouldShop draws a mould shop that supplies every ware cast on benches.
func (m *maker) mouldShop() {
	s := &plant.MouldShop{
		Hours: m.someHours("mould shop"), PerDay: m.count("moulds poured a day", 1, 20),
		Pour: m.minutes("mould pour", 0, 1500), Dry: m.minutes("mould drying", 0, 4500), CasePrice: 400_000_000,
	}
	needed, lives := map[string]bool{}, map[string]random.Law{}
	for i := range m.w.Benches {
		b := &m.w.Benches[i]
		if lives[b.Ware] == nil {
			lives[b.Ware] = b.Life
		}
		b.Life = lives[b.Ware] // the moulds of one ware come from one shop
		needed[b.Ware] = true
		for _, c := range m.w.Benches[i].Change {
			needed[c.Ware] = true
		}
	}
	for _, name := range m.wareNames() {
		if needed[name] {
			s.Moulds = append(s.Moulds, plant.MouldSupply{
				Name: name, Target: m.count(name+" moulds ordered up to", 0, 20), Price: 6_000_000,
				Cases: m.count(name+" cases", 1, 3), CasePours: m.count(name+" case pours", 1, 30), PoursDay: m.count(name+" pours a day", 1, 5),
				CaseLead: m.minutes(name+" case lead", 0, 7000), SpareCases: m.count(name+" spare cases", 0, 2),
				BlockSets: m.count(name+" block sets", 1, 4), BlockLead: m.minutes(name+" block lead", 0, 4000),
			})
		}
	}
	m.w.MouldShop = s
}

// finishing draws the finishers, with punches for some of the wares. Without
// finishers there are no windows to keep.
func (m *maker) finishing() {
	if !m.have("finishing") {
		for i := range m.w.Ware {
			m.w.Ware[i].Window = nil
		}
		return
	}
	f := &plant.Finishing{
		Crew: m.anyCrew("finishing"), Finish: m.perWare("finish", 0, 12), Change: m.minutes("tool change", 0, 20), Reclaim: true,
	}
	if m.have("punching") {
		f.Punch = plant.PerWare[random.Law]{}
		for _, name := range m.wareNames() {
			if m.have(name + " punched") {
				f.Punch[name] = m.span(name+" punch", 0, 10)
				if m.yes(name + " punch wears") {
					f.Tools = append(f.Tools, plant.Tool{Name: name, Holes: m.count(name+" holes", 1, 5), Life: m.count(name+" punch life", 1, 200), Fault: 0.3, Takes: m.minutes(name+" punch change", 0, 30)})
				}
			}
		}
	}
	for i := range m.w.Ware {
		if w := &m.w.Ware[i]; w.Window != nil && f.Punch[w.Name] == nil {
			w.Window.Eager = false // only what is punched can be punched early
		}
	}
	if m.yes("few punches") {
		f.Places = m.count("punching places", 1, 2)
	}
	m.w.Finishing = f
}

// shop draws the casting shop. Floor and trolleys are chosen last: they must
// hold the largest fill, a part trolley of each ware, and the fullest dryers.
func (m *maker) shop() {
	s := &m.w.Shop
	s.Temperature, s.Humidity = quantity.Temperature(m.count("shop temperature", 15, 40)), m.share("shop humidity", 20, 90)
	s.Rate, s.CoverFactor = 1, m.share("cover factor", 0, 100)
	s.Covered = m.maybeHours("covering")
	fill, parts, places := 1, 0, 2
	for i := range m.w.Benches {
		fill = max(fill, m.w.Benches[i].Moulds)
	}
	for i := range m.w.Presses {
		fill = max(fill, m.w.Presses[i].Cavities)
	}
	for i := range m.w.Ware {
		parts += 2 * (m.w.Ware[i].PerTrolley - 1)
	}
	for i := range m.w.Dryers {
		places += m.w.Dryers[i].Trolleys * max(1, m.w.Dryers[i].Count)
	}
	if m.yes("floor limited") {
		s.Floor = fill + parts + m.count("floor to spare", 0, 20)
	}
	if m.yes("trolleys limited") {
		s.Trolleys = places + m.count("trolleys to spare", 0, 5)
	}
}
