package plant

import (
	"slices"

	"potbank/internal/des"
)

// openingState refuses ware that cannot be where it is counted: more than there
// is room for, at departments that are not there, or, by the calendar, at a step
// that must have ended before the start.
func (c *checker) openingState() {
	s := &c.w.Opening
	if s.Empty() {
		return
	}
	c.listedPieces(s)
	c.openingDepartments(s)
	for i := range c.w.Ware {
		c.openingWare(s, &c.w.Ware[i])
	}
	c.openingKilns(s, "firing", "refire")
	c.openingKilns(s, "refiring", "first")
	c.openingDryers(s)
}

// listedPieces checks the rows of the table.
func (c *checker) listedPieces(s *OpeningState) {
	const path = "opening-state.pieces"
	var keys []string
	for _, g := range s.groups() {
		keys = append(keys, g.key)
	}
	for _, l := range s.Listed {
		_, made := c.p.wares[l.Ware]
		known := l.Order == ""
		for k := range c.w.Orders {
			o := &c.w.Orders[k]
			known = known || o.Name == l.Order && o.Ware == l.Ware
		}
		filled, err := des.Time(0), error(nil)
		if l.Filled != "" {
			filled, err = c.p.civil(l.Filled)
		}
		switch {
		case !slices.Contains(keys, l.Section):
			c.fault(path, "write one of the keys of opening-state, such as dried", "row %d: no section %q", l.Row, l.Section)
		case !made:
			c.fault(path, "name a ware of the works", "row %d: no ware %q", l.Row, l.Ware)
		case l.Count < 1:
			c.fault(path, "write how many, or leave the column out for one a row", "row %d: %d pieces", l.Row, l.Count)
		case !known:
			c.fault(path, "name an order of that ware, or leave it empty", "row %d: no order %q of %s", l.Row, l.Order, l.Ware)
		case err != nil:
			c.fault(path, "write 2027-03-01 06:20", "row %d: %s", l.Row, err)
		case filled > 0:
			c.fault(path, "count what was there at the start", "row %d: filled at %s, after the start", l.Row, l.Filled)
		}
	}
}

// openingDepartments wants the departments that ware is counted at.
func (c *checker) openingDepartments(s *OpeningState) {
	for _, need := range []struct {
		key, department string
		there           bool
	}{
		{"leather-hard", "finishing", c.w.Finishing != nil}, {"punched", "finishing", c.w.Finishing != nil}, {"drying", "dryers", len(c.w.Dryers) > 0},
		{"coat-drying", "glazing", c.w.Glazing != nil}, {"to-patch", "refire", c.w.Refire != nil},
	} {
		for i := range c.w.Ware {
			if s.count(need.key, c.w.Ware[i].Name) > 0 && !need.there {
				c.fault("opening-state."+need.key, "count it at the department before or after", "the works has no %s", need.department)
				break
			}
		}
	}
}

// openingWare checks ware in moulds and on the floor.
func (c *checker) openingWare(s *OpeningState, w *Ware) {
	places := 0
	for k := range c.w.Benches {
		if b := &c.w.Benches[k]; b.Ware == w.Name {
			places += b.Count * b.Moulds
		}
	}
	for k := range c.w.Presses {
		if b := &c.w.Presses[k]; b.Ware == w.Name {
			places += b.Count * b.Cavities
		}
	}
	if n := s.count("in-moulds", w.Name); n > places {
		c.fault("opening-state.in-moulds", "check the count", "%d %s in %d moulds", n, w.Name, places)
	}
	h := c.p.castingHours(w.Name)
	if s.count("leather-hard", w.Name) == 0 || w.Window == nil || w.Window.InDryer || h == nil {
		return
	}
	span := w.Window.Until
	if span == 0 {
		span = newAir(&c.w.Shop, c.p.hours[c.w.Shop.Covered]).longestOnFloor(w.Window, w.Demould.Mean())
	}
	if span = min(span, des.Week); h.OpenBetween(des.Week-span, des.Week) == 0 {
		c.fault("opening-state.leather-hard", "count it as finished, or leave it out as scrap",
			"no %s can be leather-hard at the start: what came out of its mould last is past its window", w.Name)
	}
}

// openingKilns wants room in the kilns for what is counted there, other than those
// that fire the other kind.
func (c *checker) openingKilns(s *OpeningState, key, other string) {
	loads, room := 0.0, 0.0
	for i := range c.w.Ware {
		w := &c.w.Ware[i]
		n := s.count(key, w.Name)
		if n == 0 {
			continue
		}
		per := 0
		for k := range c.w.Kilns {
			in := &c.w.Kilns[k]
			if load, ok := in.Load.For(w.Name); ok && in.Fires != other && c.p.waresOf(in.Ware)[i] {
				per = max(per, load)
			}
		}
		if per == 0 {
			c.fault("opening-state."+key, "check the ware", "no kiln of this kind takes %s", w.Name)
			return
		}
		loads += float64(n) / float64(per)
	}
	for k := range c.w.Kilns {
		switch in := &c.w.Kilns[k]; {
		case in.Fires == other:
		case in.Kind == "shuttle":
			room += float64(in.Count)
		default:
			room += float64(in.Inside)
		}
	}
	if loads > room {
		c.fault("opening-state."+key, "check the counts", "%.1f loads are in the fire, the kilns hold %g", loads, room)
	}
}

// openingDryers wants room in the dryers, and a cycle that can still run.
func (c *checker) openingDryers(s *OpeningState) {
	trolleys, room, runs := 0, 0, false
	for i := range c.w.Ware {
		w := &c.w.Ware[i]
		trolleys += (s.count("drying", w.Name) + w.PerTrolley - 1) / w.PerTrolley
	}
	for k := range c.w.Dryers {
		in := &c.w.Dryers[k]
		n := in.Trolleys
		if in.Kind == "chamber" {
			n *= in.Count
		}
		room += n
		clock := in.Kind == "chamber" && in.Load == "clock"
		runs = runs || !clock || len(openingsSince(c.p.hours[in.At], des.Time(in.Cycle.Mean()))) > 0
	}
	switch {
	case trolleys == 0 || len(c.w.Dryers) == 0:
	case trolleys > room:
		c.fault("opening-state.drying", "check the counts", "%d trolleys in %d places", trolleys, room)
	case !runs:
		c.fault("opening-state.drying", "count the ware as dried", "no load can still be drying at the start: that of the last loading is out by then")
	}
}
