package plant

import (
	"fmt"
	"strings"

	"potbank/internal/des"
)

// law counts the equalities of one kind that were checked and did not hold.
type law struct {
	name            string
	checked, broken int64
	first           string
}

// check books one equality; detail tells the figures if it does not hold.
func (l *law) check(holds bool, detail func() string) {
	l.checked++
	if holds {
		return
	}
	if l.broken++; l.broken == 1 {
		l.first = detail()
	}
}

// audit checks the exact laws at the end of a replication, in release too.
// They are equalities of integers: a works that loses a piece, a second or a
// cent is a fault of this program, whatever the scenario.
func (r *run) audit() []Law {
	laws := []*law{r.pieceLaw(), r.littleLaw(), &r.partsLaw, r.stateLaw(), r.hoursLaw(), r.mouldLaw(), r.carLaw(), r.fuelLaw(), r.moneyLaw(), r.wageLaw()}
	if r.master != nil {
		laws = append(laws, r.master.law())
	}
	var all []Law
	for _, l := range laws {
		all = append(all, Law{Name: l.name, Checked: l.checked, Broken: l.broken, First: l.first})
	}
	return all
}

// end is the end of the run, which the weeks have been closed up to.
func (r *run) end() des.Time { return des.Time(r.weeks) * des.Week }

// pieceLaw: what was cast or there at the start has been packed or lost, or is
// in the works, for each ware.
func (r *run) pieceLaw() *law {
	l := &law{name: "pieces: opening + cast = packed + seconds + lost + in the works, by ware"}
	for w := range r.wares {
		var inside int64
		for s := section(0); s < sections; s++ {
			inside += r.herdOf(int32(w), s).n
		}
		in := r.openedOf[w] + r.led.value[r.wares[w].cast]
		out := r.led.value[r.wares[w].packed] + r.led.value[r.wares[w].second] + r.lostOf[w]
		l.check(in == out+inside, func() string {
			return fmt.Sprintf("%s: %d in, %d out, %d in the works", r.wares[w].name, in, out, inside)
		})
	}
	return l
}

// littleLaw: the integral of the number present is the time that leavers have
// stayed and the age of those still there, for each section and ware. Little
// 1961; over a finite time and in integers it is an equality.
func (r *run) littleLaw() *law {
	l := &law{name: "Little's law: integral of pieces present = time they have stayed, by section and ware"}
	now := r.end()
	age := make([]int64, len(r.herds))
	live := make([]int64, len(r.herds))
	for i := range r.pieces {
		if p := &r.pieces[i]; p.serial != 0 {
			k := int(p.ware)*int(sections) + int(p.at)
			age[k] += int64(now - p.since)
			live[k]++
		}
	}
	for k := range r.herds {
		h := &r.herds[k]
		h.settle(now)
		l.check(h.area == h.stayed+age[k] && h.n == live[k], func() string {
			return fmt.Sprintf("%s %s: area %d, stayed %d, age %d piece-ms; %d counted, %d there",
				r.wares[k/int(sections)].name, sectionNames[k%int(sections)], h.area, h.stayed, age[k], h.n, live[k])
		})
	}
	return l
}

// stateLaw: the time of each resource by state adds up to its parts times the
// time elapsed, and no state holds fewer than no parts.
func (r *run) stateLaw() *law {
	l := &law{name: "time by state: states add up to all the time of all parts, by resource"}
	for _, res := range r.resources {
		res.clock.settle(r.end())
		var sum, heads int64
		negative := false
		for s, spent := range res.clock.spent {
			sum += spent
			heads += res.clock.heads[s]
			negative = negative || spent < 0 || res.clock.heads[s] < 0
		}
		want := res.parts * int64(r.end())
		l.check(sum == want && heads == res.parts && !negative, func() string {
			return fmt.Sprintf("%s: %d part-ms by state, %d in all, states now %v of %d", res.name, sum, want, res.clock.heads, res.parts)
		})
	}
	return l
}

// hoursLaw: the hours that a crew is rostered for, and paid, are those in which it
// worked or changed tools or its machines were down, in which it waited, was
// blocked or had no work, and in which it was absent. What it did off shift or
// after hours is in none of them.
func (r *run) hoursLaw() *law {
	l := &law{name: "hours: busy + no work + waiting + blocked + absent = rostered, by crew"}
	check := func(name string, clock *stateClock, after int, due int64) {
		clock.settle(r.end())
		var there int64
		for s, spent := range clock.spent {
			if s != handOff && s != after {
				there += spent
			}
		}
		l.check(there == due, func() string { return fmt.Sprintf("%s: %d ms by state, %d ms rostered", name, there, due) })
	}
	for _, c := range r.crews {
		var due int64
		for _, ro := range c.rosters {
			due += int64(ro.heads) * int64(ro.hours.OpenBetween(0, r.end()))
		}
		check(c.name, &c.clock, handAfter, due)
	}
	for _, g := range r.gangOrder {
		var due int64
		for _, part := range g.parts {
			due += int64(part.heads) * int64(part.hours.OpenBetween(0, r.end()))
		}
		check(g.in.Name, &g.clock, gangAfter, due)
	}
	return l
}

// mouldLaw: every mould made is in use or worn out, those in use are on a
// bench, in a press, on the shelf or drying, and none has cast beyond its life.
func (r *run) mouldLaw() *law {
	l := &law{name: "moulds: made = worn + fitted + on the shelf + drying; none beyond its life"}
	found := make([]int64, len(r.wares))
	count := func(m int32) {
		if m < 0 {
			return
		}
		mo := &r.moulds.all[m]
		found[mo.ware]++
		l.check(mo.casts <= mo.life, func() string {
			return fmt.Sprintf("%s mould %d: %d casts, life %d", r.wares[mo.ware].name, mo.no, mo.casts, mo.life)
		})
	}
	for _, g := range r.benches {
		for _, b := range g.benches {
			for _, m := range b.moulds {
				count(m)
			}
		}
	}
	for _, g := range r.presses {
		for _, m := range g.all {
			for _, c := range m.moulds {
				count(c)
			}
		}
	}
	if r.shop != nil {
		for _, s := range r.shop.supplies {
			for k := range s.stock.n {
				count(s.stock.at(k))
			}
			for _, lot := range s.drying {
				for _, m := range lot.moulds {
					count(m)
				}
			}
		}
	}
	for w := range r.wares {
		made := int64(r.moulds.made[w])
		l.check(made == r.moulds.worn[w]+found[w] && r.moulds.fitted[w] == found[w], func() string {
			return fmt.Sprintf("%s: %d made, %d worn, %d found, %d on the book", r.wares[w].name, made, r.moulds.worn[w], found[w], r.moulds.fitted[w])
		})
	}
	return l
}

// carLaw: every kiln car is empty, loading, loaded, inside, waiting to be
// drawn, being drawn or in repair, and every push moved one in and one out.
func (r *run) carLaw() *law {
	l := &law{name: "kiln cars: each is in one place; slots inside stay full"}
	for _, k := range r.tunnels {
		inside := 0
		for s := range k.inside.n {
			if k.inside.at(s) != noCar {
				inside++
			}
		}
		sum := len(k.spare) + k.ahead.n + k.loading + inside + k.out.n + k.drawing + k.repairing
		l.check(sum == len(k.cars) && k.inside.n == k.in.Inside, func() string {
			return fmt.Sprintf("%s: %d cars, %d accounted for; %d slots of %d", k.in.Name, len(k.cars), sum, k.inside.n, k.in.Inside)
		})
	}
	return l
}

// fuelLaw: what each kiln's meter has counted is what its hours, cars, firings
// and kilograms come to.
func (r *run) fuelLaw() *law {
	l := &law{name: "fuel: metered = base x hours + per car or firing + per kg fired, by kiln and dryer"}
	check := func(name string, counter int, want int64) {
		got := r.led.value[counter]
		l.check(got == want, func() string { return fmt.Sprintf("%s: %d kJ metered, %d kJ due", name, got, want) })
	}
	now := int64(r.end())
	for _, k := range r.tunnels {
		check(k.in.Name, k.fuel, whole(int64(k.in.Base), now, int64(des.Hour))+int64(k.in.PerCar)*k.carsIn+whole(int64(k.in.PerKg), k.mass, 1000))
	}
	for _, k := range r.shuttles {
		check(k.in.Name, k.fuel, int64(k.in.PerFire)*k.fires+whole(int64(k.in.PerKg), k.mass, 1000))
	}
	for _, d := range r.dryers.all {
		check(d.in.Name, d.fuel, whole(int64(d.in.Hot), now, int64(des.Hour))+int64(d.in.Energy)*d.pieces)
	}
	return l
}

// moneyLaw: the value put into pieces stage by stage is what was packed, lost
// and is still in the works.
func (r *run) moneyLaw() *law {
	l := &law{name: "money: cost added by stage = value packed + value lost + value in the works"}
	var added, inside int64
	for _, c := range r.costs {
		added += r.led.value[c]
	}
	for i := range r.pieces {
		if r.pieces[i].serial != 0 {
			inside += r.pieces[i].value
		}
	}
	packed, lost := r.led.value[r.packedValue], r.led.value[r.lostValue]
	l.check(added == packed+lost+inside, func() string {
		return fmt.Sprintf("%d added, %d packed, %d lost, %d in the works (millionths)", added, packed, lost, inside)
	})
	return l
}

// wageLaw: wages booked week by week are the rostered hours of the whole run
// at their rates.
func (r *run) wageLaw() *law {
	l := &law{name: "wages: booked by the week = rostered hours x rate"}
	want := r.payroll.due(r.end())
	got := r.led.value[r.payroll.wages]
	l.check(got == want, func() string { return fmt.Sprintf("%d booked, %d owed (millionths)", got, want) })
	return l
}

// notes tells what a run leaves doubtful that no measure shows.
func (r *run) notes() []string {
	last := r.led.weeks[len(r.led.weeks)-1]
	var cast, packed, everCast, everPacked, inside int64
	for w := range r.wares {
		ware := &r.wares[w]
		cast += last[ware.cast]
		packed += last[ware.packed] + last[ware.second]
		everCast += r.led.value[ware.cast] + r.openedOf[w]
		everPacked += r.led.value[ware.packed]
		for s := section(0); s < sections; s++ {
			inside += r.herdOf(int32(w), s).n
		}
	}
	var notes []string
	switch {
	case cast == 0 && inside == 0 && !r.allOrdersDone():
		notes = append(notes, "nothing was cast in the last week: "+r.waiting())
	case packed == 0 && inside > 0:
		notes = append(notes, fmt.Sprintf("nothing was packed in the last week although %d pieces are in the works: %s", inside, r.waiting()))
	}
	if everPacked == 0 && everCast > 0 {
		notes = append(notes, fmt.Sprintf("0 good pieces of %d cast: %s", everCast, r.worstLoss()))
	}
	return notes
}

// allOrdersDone tells whether there were orders and none is open: a works that
// makes to order then rightly stands still.
func (r *run) allOrdersDone() bool {
	for _, o := range r.orders {
		if o.done == des.Never {
			return false
		}
	}
	return len(r.orders) > 0
}

// worstLoss names the largest loss.
func (r *run) worstLoss() string {
	name, most := "none was lost", int64(0)
	for c, n := range r.led.names {
		if v := r.led.value[c]; strings.HasPrefix(n, "lost.") && v > most {
			name, most = fmt.Sprintf("most were lost as %s (%d)", strings.TrimPrefix(n, "lost."), v), v
		}
	}
	return name
}

// waiting tells where pieces stand and which processes wait, for a works that
// has come to a halt.
func (r *run) waiting() string {
	var parts []string
	for s := section(0); s < sections; s++ {
		var n int64
		for w := range r.wares {
			n += r.herdOf(int32(w), s).n
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d at %s", n, sectionNames[s]))
		}
	}
	for k, w := range r.sim.Waiters() {
		if k == 4 {
			parts = append(parts, "and more")
			break
		}
		text := w.Process + " waits for " + w.For
		if w.Holder != "" {
			text += ", held by " + w.Holder
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}
