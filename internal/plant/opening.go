package plant

import (
	"cmp"
	"math"
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/random"
)

// opening puts the ware of the opening state where it stands. Of ware in moulds,
// dryers and kilns and on the floor the count does not tell how far it has come:
// its age is drawn, evenly from the instants at which the calendar let it begin.
type opening struct {
	r        *run
	age      *random.Gate
	drying   []int32   // trolleys
	firing   []pieceID // pieces of kilns, by the order in which they were counted
	refiring []pieceID
}

// open puts the pieces of the opening state in their sections.
func (r *run) open(s *OpeningState) {
	if s.Empty() {
		return
	}
	r.batch++
	defer func() { r.batch-- }()
	o := &opening{r: r, age: r.deal.Gate("opening.age")}
	for _, group := range s.groups() {
		for _, name := range sortedKeys(group.pieces) {
			o.put(group.key, name, group.pieces[name], des.Never, nil)
		}
	}
	o.list(s.Listed)
	o.load()
}

// list puts the pieces of a table, those filled first before others.
func (o *opening) list(rows []OpenPieces) {
	r := o.r
	filled := func(l *OpenPieces) des.Time {
		if at, err := r.p.civil(l.Filled); l.Filled != "" && err == nil {
			return at
		}
		return des.Never
	}
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b OpenPieces) int { return cmp.Compare(filled(&a), filled(&b)) })
	for k := range rows {
		l := &rows[k]
		var own *order
		for _, x := range r.orders {
			if x.in.Name == l.Order {
				own = x
			}
		}
		o.put(l.Section, l.Ware, l.Count, filled(l), own)
	}
}

// put makes pieces of a ware and puts them in a section.
func (o *opening) put(section, name string, n int, filled des.Time, own *order) {
	r := o.r
	ware := r.p.wareNo(name)
	if section == "in-moulds" {
		o.inMoulds(ware, n, filled, own)
		return
	}
	var wagon []pieceID
	for k := range n {
		i := o.piece(section, ware, k, filled, own)
		switch section {
		case "drying":
			if wagon = append(wagon, i); len(wagon) == r.wares[ware].in.PerTrolley || k == n-1 {
				o.drying = append(o.drying, o.trolley(ware, wagon))
				wagon = wagon[:0]
			}
		case "firing":
			o.firing = append(o.firing, i)
		case "refiring":
			o.refiring = append(o.refiring, i)
		default:
			o.stand(section, i)
		}
	}
}

// piece makes the k-th piece of a ware in a section.
func (o *opening) piece(section string, ware int32, k int, filled des.Time, own *order) pieceID {
	r := o.r
	i := r.fillPiece(ware, random.Object(random.Name("opening"), random.Name(r.wares[ware].name), uint64(k), uint64(r.serial)), -1)
	r.expect(i, -1)
	p := &r.pieces[i]
	r.openedOf[ware]++
	p.stock = true
	p.step = openingStep[section]
	if own != nil {
		if r.bound == nil {
			r.bound = map[uint64]*order{}
		}
		r.bound[p.serial] = own
	}
	if filled != des.Never {
		// Its life before the start is known: told as work, which most of it was
		// not, but nobody wrote down what it waited for.
		p.filled = filled
		p.spent[partWorking] -= int64(filled)
		p.stock = own != nil
	}
	r.expect(i, 1)
	r.observeOpening(i, section, filled != des.Never)
	return i
}

// stand puts a piece where it waits, or where its own time runs.
func (o *opening) stand(section string, i pieceID) {
	r, p := o.r, &o.r.pieces[i]
	switch section {
	case "finished":
		r.enter(i, atFinishing)
		r.floor.used++
		r.toDryers(i)
	case "dried":
		r.dried(i)
	case "passed":
		r.passWhite(i)
	case "glazed":
		r.coatDry(i)
	case "fired":
		p.fires = 1
		r.enter(i, atSorting)
		r.fired(i)
	case "refired":
		p.fires, p.refire = 2, true
		r.enter(i, inRefire)
		r.fired(i)
	case "patched":
		p.fires, p.refire = 1, true
		r.enter(i, inRefire)
		r.patchDry(i)
	case "sorted":
		r.enter(i, atTest)
		r.toTest(i, 0)
	case "leather-hard":
		o.leather(i)
	case "punched":
		r.enter(i, atFinishing)
		r.floor.used++
		p.closes = des.Never
		r.finishing.rest.push(entry{p.rank, p.closes, p.serial, i})
		r.finishing.crew.offer()
	case "coat-drying":
		r.enter(i, atGlazing)
		r.timer(i).at(o.left(r.glazing.hoursOf(p.ware), r.works().Glazing.Dry, p.key), r.coatDry)
	case "to-patch":
		p.fires, p.refire = 1, true
		r.patching.arrive(i)
	case "tested":
		p.fires = 1
		r.toPacking(i)
	}
}

func (r *run) works() *Works { return r.p.works }

// uniform is a draw of an age.
func (o *opening) uniform(object uint64, ordinal uint32) float64 {
	return o.age.Value(uniformShare, object, ordinal)
}

// left is what is left of a span that began while hours were open, evenly at any
// of their instants; nothing, if they have not been open for so long.
func (o *opening) left(h *des.Hours, span des.Time, object uint64) des.Time {
	ago, ok := agoOpen(h, span, o.uniform(object, 0))
	if !ok {
		return 0
	}
	return span - ago
}

// agoOpen is how long before the start an instant lies at which hours were open,
// at a share u of their open time within a span. There is no calendar before the
// start: the hours of the week ahead stand for those of the week behind, which
// for hours that change by the week or stand still for a holiday is a guess. It
// tells whether they were open at all.
func agoOpen(h *des.Hours, span des.Time, u float64) (ago des.Time, ok bool) {
	span = min(span, des.Week)
	if h == nil {
		return des.Time(u * float64(span)), true
	}
	t, end := des.Week-span, des.Week
	target := des.Time(u * float64(h.OpenBetween(t, end)))
	for t < end {
		open := h.NextOpen(t)
		if open >= end {
			return 0, false
		}
		shut := min(h.NextClose(open), end)
		if target < shut-open {
			return des.Week - open - target, true
		}
		target -= shut - open
		t = shut
	}
	return 0, false
}

// leather puts a piece on the floor that left its mould so long ago that it has
// not dried out since.
func (o *opening) leather(i pieceID) {
	r, p := o.r, &o.r.pieces[i]
	w := &r.wares[p.ware]
	r.enter(i, atFinishing)
	r.floor.used++
	p.wet = w.demould.Value(w.in.Demould, p.key, 0)
	p.out = 0
	win := w.in.Window
	switch {
	case win == nil:
	case win.InDryer:
		p.wet = float64(win.Opens)
	case win.Until > 0:
		ago, _ := agoOpen(r.p.castingHours(w.name), win.Until, o.uniform(p.key, 0))
		p.out = -ago
	default:
		ago, ok := agoOpen(r.p.castingHours(w.name), r.air.longestOnFloor(win, p.wet), o.uniform(p.key, 0))
		if !ok { // the wettest of such ware alone could be there
			p.wet = float64(win.Closes)
		}
		p.wet -= r.air.driedSince(ago)
	}
	r.setWindow(p)
	p.opens, p.out = max(0, p.opens), max(0, p.out)
	r.finishing.arrive(i)
}

// driedSince is the points of moisture that ware on the floor has lost in a span
// before the start.
func (a *air) driedSince(ago des.Time) float64 {
	return a.rate * float64(a.clock(des.Week)-a.clock(des.Week-ago)) / float64(perMS*des.Hour)
}

// longestOnFloor is how long before the start ware of a moisture can have left
// its mould and still be within its window.
func (a *air) longestOnFloor(w *Window, wet float64) des.Time {
	low, high := des.Time(0), des.Week
	for high-low > des.Second {
		middle := (low + high) / 2
		if wet-a.driedSince(middle) >= float64(w.Closes) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// inMoulds spreads filled moulds over the benches and presses of a ware, one
// after the other.
func (o *opening) inMoulds(ware int32, n int, filled des.Time, own *order) {
	r := o.r
	made := 0
	fill := func(most int) (ids []pieceID) {
		for range min(most, n-made) {
			ids = append(ids, o.piece("in-moulds", ware, made, filled, own))
			r.floor.used++
			made++
		}
		return ids
	}
	for _, g := range r.benches {
		touched := g.touches.Fill + r.p.buildSpan(g.in) + g.touches.Drain + g.in.Set
		for _, b := range g.benches {
			if b.ware == ware && len(b.filled) == 0 && made < n {
				b.filled = fill(len(b.moulds))
				b.left = o.left(g.casters.hours.Hours, touched, random.Object(g.object, uint64(b.no)))
			}
		}
	}
	for _, g := range r.presses {
		for _, m := range g.all {
			if g.ware == ware && len(m.ids) == 0 && made < n {
				m.ids = fill(len(m.moulds))
				m.left = o.left(g.hours, g.span(0), random.Object(g.obj, uint64(m.no)))
			}
		}
	}
}

// castingHours are the hours in which ware is taken out of its moulds.
func (p *Plant) castingHours(ware string) *des.Hours {
	var u *des.Hours
	for _, h := range p.hoursOfCasting()[ware] {
		if u == nil {
			u = h
		} else {
			u = calendar.Union(u, h)
		}
	}
	return u
}

// spaced is place k of n among some, evenly with a draw of its own within each.
func spaced(k, n, among int, u float64) int {
	return min(among-1, int(math.Floor((float64(k)+u)*float64(among)/float64(n))))
}
