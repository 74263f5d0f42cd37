package plant

import "potbank/internal/des"

// Hours are the working hours of a name, laid over the clock of the works; nil
// if there are none of that name.
func (p *Plant) Hours(name string) *des.Hours { return p.hours[name] }

// CrewHours are the hours in which anyone of a crew is on.
func (p *Plant) CrewHours(crew string) *des.Hours { return p.crewHours(crew) }

// BuildSpan is the build of a bench of dry, young moulds.
func (p *Plant) BuildSpan(b *Bench) des.Time { return p.buildSpan(b) }

// WindowOf is when the punching window of a piece of a ware opens and closes
// that leaves its mould at an instant with the mean moisture; false for a ware
// without a window.
func (p *Plant) WindowOf(ware string, out des.Time) (opens, closes des.Time, ok bool) {
	w := &p.works.Ware[p.wareNo(ware)]
	if w.Window == nil {
		return 0, 0, false
	}
	a := newAir(&p.works.Shop, p.hours[p.works.Shop.Covered])
	opens, closes = w.Window.span(a, out, w.Demould.Mean())
	return opens, closes, true
}
