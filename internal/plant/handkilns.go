package plant

import "potbank/internal/des"

// kilns is the load of kilns and placers, and the fuel of the kilns.
func (e *estimator) kilns() {
	for k := range e.w.Kilns {
		in := &e.w.Kilns[k]
		cars, mass, pieces := e.kilnShare(in)
		if in.Kind == "shuttle" {
			e.shuttle(in, cars, mass)
			continue
		}
		slots := e.slots(in)
		e.department(in.Name, slots, cars, "cars/wk", "pushes of a week")
		e.fuel[in.Name] = float64((float64(float64(in.Base)*168)+float64(float64(in.PerCar)*slots)+float64(float64(in.PerKg)*mass))*1e-6) + 0
		if in.Placers != "" {
			e.crew[in.Placers] += float64(pieces * float64(in.Place+in.Draw) / float64(des.Hour))
		}
	}
}

// kilnShare is the loads, the kilograms and the pieces that fall to a kiln in a
// week. Kilns that fire the same ware share it by what they can take.
func (e *estimator) kilnShare(in *Kiln) (loads, mass, pieces float64) {
	for i, f := range e.flows {
		per, ok := in.Load.For(f.ware.Name)
		if !ok || !e.p.waresOf(in.Ware)[i] {
			continue
		}
		n := 0.0
		if in.Fires != "refire" {
			n += float64(f.fired * e.kilnPart(in, i, "refire"))
		}
		if in.Fires != "first" {
			n += float64(f.refires * e.kilnPart(in, i, "first"))
		}
		loads += n / float64(per)
		pieces += n
		mass += float64(n * float64(f.ware.Fired) / 1000)
	}
	return loads, mass, pieces
}

// kilnPart is a kiln's part in all that can fire a ware and do not fire only
// the other kind.
func (e *estimator) kilnPart(in *Kiln, ware int, not string) float64 {
	all := 0.0
	for k := range e.w.Kilns {
		o := &e.w.Kilns[k]
		if _, ok := o.Load.For(e.flows[ware].ware.Name); ok && o.Fires != not && e.p.waresOf(o.Ware)[ware] {
			all += e.slots(o)
		}
	}
	return e.slots(in) / all
}

// slots is the cars, rows or loads a kiln can fire in a week.
func (e *estimator) slots(in *Kiln) float64 {
	if in.Kind == "shuttle" {
		cycle := in.Firing + in.Cooling
		if in.CarSets < 2 {
			cycle += in.Loading + in.Drawing
		}
		if in.Start == "clock" {
			openings := 0
			for _, iv := range e.p.hours[in.At].Intervals() {
				if iv.Open < e.w.Run.Length {
					openings++
				}
			}
			return float64(in.Count) * min(float64(openings)/e.weeks, float64(des.Week)/float64(cycle))
		}
		return float64(in.Count) * float64(des.Week) / float64(cycle)
	}
	normal, pushes := 168.0, 0.0
	for _, name := range sortedKeys(in.SlowPush) {
		h := e.open(e.p.hours[name])
		normal -= h
		pushes += h * float64(des.Hour) / float64(in.SlowPush[name])
	}
	return pushes + normal*float64(des.Hour)/float64(in.Push)
}

func (e *estimator) shuttle(in *Kiln, loads, mass float64) {
	e.department(in.Name, e.slots(in), loads, "loads/wk", "kilns of this kind: %d", in.Count)
	e.fuel[in.Name] = (float64(float64(in.PerFire)*loads) + float64(float64(in.PerKg)*mass)) * 1e-6
}

// wip estimates stock where it follows from a fixed stay.
func (e *estimator) wip(add func(name string, value float64, unit, how string)) {
	var dried float64
	for _, f := range e.flows {
		dried += f.dried
	}
	if len(e.w.Dryers) == 1 {
		hours := e.w.Dryers[0].Cycle.Mean() / float64(des.Hour)
		add("wip.dryers", dried*hours/168, "pieces", "flow x stay in the dryer, all hours")
	}
	inside := 0.0
	for k := range e.w.Kilns {
		in := &e.w.Kilns[k]
		if in.Kind == "shuttle" {
			continue
		}
		if in.Fires == "both" {
			return
		}
		_, _, pieces := e.kilnShare(in)
		inside += float64(pieces / e.slots(in) * float64(in.Inside))
	}
	if inside > 0 && e.firstOnlyInTunnels() {
		add("wip.kiln", inside, "pieces", "cars inside x pieces a push")
	}
}

func (e *estimator) firstOnlyInTunnels() bool {
	for k := range e.w.Kilns {
		if e.w.Kilns[k].Kind == "shuttle" && e.w.Kilns[k].Fires != "refire" {
			return false
		}
	}
	return true
}

// cost is the direct cost of a good piece by hand.
func (e *estimator) cost(add func(name string, value float64, unit, how string), good, fuel float64) {
	var sum float64
	for _, f := range e.flows {
		c := &f.ware.Costs
		fired := f.fired + f.refires
		lostClay := f.cast - f.fired
		lostFired := f.fired - f.good - f.seconds
		sum += float64(f.cast*float64(c.Casting)) + float64(f.cast*float64(c.Finishing)) + float64(f.dried*(float64(c.Drying)+float64(c.White))) +
			float64(f.glazed*float64(c.Glazing)) + float64(f.fired*float64(c.Firing)) + float64(f.refires*float64(c.Refire)) +
			float64(fired*float64(c.Sorting)) + float64((f.good+f.seconds)*float64(c.Packing))
		sum += float64(lostFired*float64(f.ware.Fired)*float64(c.Disposal)*1e-6) - float64(lostClay*float64(c.Reclaim))
		if e.w.MouldShop != nil {
			for _, m := range e.w.MouldShop.Moulds {
				if m.Name == f.ware.Name {
					sum += float64(f.cast / e.p.mouldLife(m.Name).Mean() * float64(m.Price))
				}
			}
		}
	}
	for k := range e.w.Crews {
		c := &e.w.Crews[k]
		for _, name := range sortedKeys(c.Roster) {
			sum += float64(float64(c.Roster[name]) * e.open(e.p.hours[name]) * float64(c.Wage) * (1 + float64(c.Premium[name])))
		}
	}
	sum += float64(fuel * 1e6 / kJPerKWh * float64(e.w.Fuel.Price))
	add("cost.per_good", sum*money/good, e.w.Currency+"/piece", "all lines / good pieces")
	add("cost.gas", fuel*1e6/kJPerKWh*float64(e.w.Fuel.Price)*money, e.w.Currency+"/wk", "fuel x price")
}
