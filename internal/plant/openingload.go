package plant

import (
	"cmp"
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// trolley puts pieces on a trolley; the last of a count may be part full.
func (o *opening) trolley(ware int32, pieces []pieceID) int32 {
	t := &o.r.park
	n := t.take()
	tr := &t.all[n]
	t.count++
	tr.no, tr.ware, tr.left, tr.full = t.count, ware, len(pieces), 0
	tr.loose, tr.passed = false, false
	tr.pieces = append(tr.pieces[:0], pieces...)
	for _, i := range pieces {
		o.r.pieces[i].trolley = n
	}
	return n
}

// load puts what was counted in dryers and kilns into them.
func (o *opening) load() {
	for _, d := range o.r.dryers.all {
		o.intoDryer(d)
	}
	first := o.carloads(o.firing)
	later := o.carloads(o.refiring)
	for _, k := range o.r.tunnels {
		if k.in.Fires != "refire" {
			first = o.intoTunnel(k, first, false)
		}
		if k.in.Fires != "first" {
			later = o.intoTunnel(k, later, true)
		}
	}
	for _, k := range o.r.shuttles {
		if k.in.Fires != "refire" {
			o.intoShuttles(k, first, false)
		}
		if k.in.Fires != "first" {
			o.intoShuttles(k, later, true)
		}
	}
}

// intoDryer fills the places of a dryer; each chamber, or each trolley of a
// floor, has begun at a time of its own.
func (o *opening) intoDryer(d *dryer) {
	r := o.r
	per := 1
	if d.in.Kind == "chamber" {
		per = d.in.Trolleys
	}
	for d.free > 0 {
		load := d.newLoad()
		keep := o.drying[:0]
		for _, n := range o.drying {
			if len(load.trolleys) < per && d.takes[r.park.all[n].ware] {
				load.trolleys = append(load.trolleys, n)
			} else {
				keep = append(keep, n)
			}
		}
		o.drying = keep
		if len(load.trolleys) == 0 {
			d.batches = append(d.batches, load)
			return
		}
		d.loads++
		d.free--
		d.clock.move(0, 0, 1, int64(len(load.trolleys)))
		for _, n := range load.trolleys {
			for _, i := range r.park.all[n].pieces {
				r.enter(i, atDryers)
			}
		}
		r.sim.At(o.dryingLeft(d), des.Finish, load)
	}
}

// dryingLeft is what is left of the cycle of a load.
func (o *opening) dryingLeft(d *dryer) des.Time {
	cycle := des.Time(d.in.Cycle.Mean())
	object := random.Object(d.object, d.loads)
	if !d.byClock() {
		var h *des.Hours
		if d.hours != nil {
			h = d.hours.Hours
		}
		return o.left(h, cycle, object)
	}
	begun := openingsSince(d.at, cycle)
	if len(begun) == 0 {
		return 0
	}
	return cycle - begun[int(o.uniform(object, 0)*float64(len(begun)))]
}

// openingsSince lists how long before the start hours opened, within a span; the
// week ahead stands for that behind, as in agoOpen.
func openingsSince(h *des.Hours, span des.Time) []des.Time {
	var all []des.Time
	for _, iv := range h.Intervals() {
		if ago := des.Week - iv.Open; ago > 0 && ago < span {
			all = append(all, ago)
		}
	}
	return all
}

// carload is pieces of one ware that are in a kiln together.
type carload struct {
	pieces []pieceID
	ware   int32
	turn   float64 // by which loads of several wares are mixed
}

// carloads sorts pieces into heaps of one ware, and mixes the wares.
func (o *opening) carloads(all []pieceID) []carload {
	byWare := map[int32][]pieceID{}
	for _, i := range all {
		w := o.r.pieces[i].ware
		byWare[w] = append(byWare[w], i)
	}
	var heaps []carload
	for w := range o.r.wares {
		if ids := byWare[int32(w)]; len(ids) > 0 {
			heaps = append(heaps, carload{pieces: ids, ware: int32(w)})
		}
	}
	return heaps
}

// cars splits heaps into loads of a kiln, the wares mixed by draws, and returns
// what is left of the heaps beyond so many loads.
func (o *opening) cars(in *Kiln, heaps []carload, most int) (cars, rest []carload) {
	takes := o.r.p.waresOf(in.Ware)
	for _, h := range heaps {
		per, ok := in.Load.For(o.r.wares[h.ware].name)
		for ok && takes[h.ware] && len(h.pieces) > 0 && len(cars) < most {
			n := min(per, len(h.pieces))
			first := h.pieces[0]
			cars = append(cars, carload{h.pieces[:n], h.ware, o.uniform(o.r.pieces[first].key, 1)})
			h.pieces = h.pieces[n:]
		}
		if len(h.pieces) > 0 {
			rest = append(rest, h)
		}
	}
	slices.SortStableFunc(cars, func(a, b carload) int { return cmp.Compare(a.turn, b.turn) })
	return cars, rest
}

// intoTunnel puts loads on the cars inside a tunnel, spread over its length.
func (o *opening) intoTunnel(k *tunnel, heaps []carload, again bool) (rest []carload) {
	var empty []int32 // cars inside, the next to come out first
	for s := range k.inside.n {
		if c := k.inside.at(s); len(k.cars[c].pieces) == 0 {
			empty = append(empty, c)
		}
	}
	cars, rest := o.cars(k.in, heaps, len(empty))
	for n, load := range cars {
		cr := &k.cars[empty[spaced(n, len(cars), len(empty), o.uniform(random.Object(k.object, uint64(n)), 2))]]
		k.loads++
		cr.no = k.loads
		per, _ := k.in.Load.For(o.r.wares[load.ware].name)
		cr.full = len(load.pieces) == per
		cr.pieces = append(cr.pieces[:0], load.pieces...)
		o.inside(load.pieces, random.Object(k.object, cr.no), again)
		k.started = true
	}
	return rest
}

// inside books pieces as in the fire.
func (o *opening) inside(pieces []pieceID, load uint64, again bool) {
	for _, i := range pieces {
		p := &o.r.pieces[i]
		p.load, p.fires = load, 1
		if again {
			p.fires, p.refire = 2, true
			o.r.enter(i, inRefire)
		} else {
			o.r.enter(i, inKiln)
		}
	}
}

// intoShuttles puts loads into shuttle kilns, one in each.
func (o *opening) intoShuttles(k *shuttles, heaps []carload, again bool) {
	span := k.in.Loading + k.in.Firing + k.in.Cooling + k.in.Drawing
	if k.in.CarSets > 1 {
		span = k.in.Firing + k.in.Cooling
	}
	for len(k.opening) < k.in.Count {
		load := o.mixedLoad(k.in, &heaps)
		if len(load) == 0 {
			return
		}
		k.loads++
		o.inside(load, random.Object(k.object, k.loads), again)
		k.opening = append(k.opening, openLoad{
			&kilnLoad{no: k.loads, pieces: load},
			o.left(nil, span, random.Object(k.object, k.loads)),
		})
	}
}

// mixedLoad takes one load of a shuttle out of heaps: of any ware where it mixes
// them, else of the first.
func (o *opening) mixedLoad(in *Kiln, heaps *[]carload) []pieceID {
	takes := o.r.p.waresOf(in.Ware)
	var load []pieceID
	room, body := int64(wholeLoad), ""
	for h := range *heaps {
		heap := &(*heaps)[h]
		w := o.r.wares[heap.ware].in
		per, ok := in.Load.For(w.Name)
		if !ok || !takes[heap.ware] || len(heap.pieces) == 0 || len(load) > 0 && (in.Mix == "one-ware" || in.Mix == "one-body" && w.Body != body) {
			continue
		}
		body = w.Body
		slot := wholeLoad / int64(per)
		n := min(int64(len(heap.pieces)), (room+almost)/slot)
		load = append(load, heap.pieces[:n]...)
		heap.pieces = heap.pieces[n:]
		room -= n * slot
	}
	return load
}
