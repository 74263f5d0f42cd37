package decision

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// MasterCost is what one fault costs, split by where the money goes. The parts
// add up to the total.
type MasterCost struct {
	Destroyed float64 // value of the ware taken out, bad and good
	Tools     float64 // moulds, cases, blocks and models made anew
	Search    float64 // sorting suspects
	Burnt     float64 // margin of the good pieces that the bad casts took the place of
	Starved   float64 // margin of those not cast for want of moulds; what the works makes up later is not lost
	Late      float64 // orders later than without the fault
	Field     float64 // pieces that come back
}

// Parts lists the parts in the order of printing.
func (c MasterCost) Parts() []float64 {
	return []float64{c.Destroyed, c.Tools, c.Search, c.Burnt, c.Starved, c.Late, c.Field}
}

// MasterParts names the parts, in the order of MasterCost.Parts.
var MasterParts = []string{"ware destroyed", "tools and moulds", "sorting suspects", "constraint time burnt", "starved in recovery", "lateness", "field"}

// Total is the sum of the parts.
func (c MasterCost) Total() float64 {
	sum := 0.0
	for _, p := range c.Parts() {
		sum += p
	}
	return sum
}

// add adds another cost, times a weight.
func (c *MasterCost) add(o MasterCost, weight float64) {
	c.Destroyed += float64(weight * o.Destroyed)
	c.Tools += float64(weight * o.Tools)
	c.Search += float64(weight * o.Search)
	c.Burnt += float64(weight * o.Burnt)
	c.Starved += float64(weight * o.Starved)
	c.Late += float64(weight * o.Late)
	c.Field += float64(weight * o.Field)
}

// worksFacts is what of the works the account needs.
type worksFacts struct {
	ware     *plant.Ware
	wares    []string
	casting  bool // casting is the constraint, not the kiln
	stages   [5]float64
	disposal float64
	reclaim  float64
	cases    float64 // case sets that a stop breaks
	mould    float64 // share of a mould in one cast
}

// values of a piece by how far it has come: in the mould or not yet finished,
// finished or in a dryer, passed white inspection, fired, packed.
const (
	valueCast = iota
	valueFinished
	valueWhite
	valueFired
	valuePacked
)

// factsOf reads the works. A works that has no such ware has no facts; the plan
// is refused before.
func factsOf(w *plant.Works, h *plant.Hand, q *MasterPlan) worksFacts {
	f := worksFacts{}
	for k := range w.Ware {
		f.wares = append(f.wares, w.Ware[k].Name)
		if w.Ware[k].Name == q.Fault.Ware {
			f.ware = &w.Ware[k]
		}
	}
	c := &f.ware.Costs
	money := func(all ...float64) float64 {
		sum := 0.0
		for _, x := range all {
			sum += x
		}
		return sum / 1e6
	}
	f.mould = q.mouldShare(w)
	f.stages[valueCast] = f.mould + money(float64(c.Casting))
	f.stages[valueFinished] = f.stages[valueCast] + money(float64(c.Finishing), float64(c.Drying))
	f.stages[valueWhite] = f.stages[valueFinished] + money(float64(c.White), float64(c.Glazing))
	f.stages[valueFired] = f.stages[valueWhite] + money(float64(c.Firing), float64(c.Sorting))
	f.stages[valuePacked] = f.stages[valueFired] + money(float64(c.Packing))
	f.reclaim = money(float64(c.Reclaim))
	f.disposal = money(float64(c.Disposal) * float64(f.ware.Fired) / 1e6)
	f.cases = q.casesBroken(w)
	f.casting = q.Constraint != "kiln"
	if q.Constraint == "" {
		f.casting = !kilnBinds(w, h)
	}
	return f
}

// casesBroken is the case sets that are broken with the node.
func (q *MasterPlan) casesBroken(w *plant.Works) float64 {
	if w.MouldShop == nil {
		return 0
	}
	for _, m := range w.MouldShop.Moulds {
		switch {
		case m.Name != q.Fault.Ware:
		case q.Fault.Node == "case":
			return 1
		case q.Fault.Node == "model" || q.Fault.Node == "block":
			return float64(m.Cases + m.SpareCases)
		}
	}
	return 0
}

// mouldShare is what one cast wears off its mould: the simulation counts it in
// the value of a piece.
func (q *MasterPlan) mouldShare(w *plant.Works) float64 {
	if w.MouldShop == nil {
		return 0
	}
	for _, m := range w.MouldShop.Moulds {
		for k := range w.Benches {
			if b := &w.Benches[k]; m.Name == q.Fault.Ware && b.Ware == m.Name && b.Life != nil {
				return float64(m.Price) / 1e6 / b.Life.Mean()
			}
		}
	}
	return 0
}

// kilnBinds tells whether the fullest department by hand is a kiln.
func kilnBinds(w *plant.Works, h *plant.Hand) bool {
	fullest, load := "", math.Inf(-1)
	for _, d := range h.Departments {
		if d.Load > load {
			fullest, load = d.Name, d.Load
		}
	}
	return slices.ContainsFunc(w.Kilns, func(k plant.Kiln) bool { return k.Name == fullest })
}

// base is what the run without the fault says.
type base struct {
	good      map[string]float64 // A pieces packed, by ware
	yield     float64            // packed for each cast, of the ware
	fired     float64            // packed for each firing, likewise
	perWeek   []float64          // pieces that come by each gate in a week
	falseWeek []float64          // false alarms of each gate in a week
	orders    []plant.OrderResult
}

// settledWeeks is how many weeks of a run are left out where only its usual
// flow is read: the works starts empty.
const settledWeeks = 2

// sum is a measure per week summed over weeks [from, to).
func sum(measures []*plant.Measure, name string, r *plant.Result, from, to int) float64 {
	for _, m := range measures {
		if m.Name == name {
			total := 0.0
			for w := from; w < to; w++ {
				if num, den := m.Of(r, w, w+1); den != 0 {
					total += num / den
				}
			}
			return total
		}
	}
	return 0
}

// baseOf reads the run without the fault.
func baseOf(q *MasterPlan, f worksFacts, measures []*plant.Measure, r *plant.Result) base {
	b := base{good: map[string]float64{}, orders: r.Orders}
	for _, ware := range f.wares {
		b.good[ware] = sum(measures, "packed."+ware, r, 0, q.Weeks)
	}
	ware := f.ware.Name
	settled := min(settledWeeks, q.Weeks-1)
	if cast := sum(measures, "cast."+ware, r, settled, q.Weeks); cast > 0 {
		b.yield = sum(measures, "packed."+ware, r, settled, q.Weeks) / cast
	}
	y := &f.ware.Yields
	if upto := float64(y.Casting) * float64(y.White) * float64(y.Glaze); upto > 0 {
		b.fired = min(1, b.yield/upto)
	}
	for k, g := range q.Gates {
		c := r.Master.Gates[k]
		share := 0.0
		if g.Fraction > 0 {
			share = float64(c.Inspected) / g.Fraction / float64(q.Weeks)
		}
		b.perWeek = append(b.perWeek, share)
		b.falseWeek = append(b.falseWeek, float64(c.False)/float64(q.Weeks))
	}
	return b
}

// masterRun is one fault in one replication: its cost against the run without.
type masterRun struct {
	cost    MasterCost
	lost    float64   // good pieces of all wares less than without the fault; faulty ones that were sold count as sold
	starved float64   // of the ware, those not lost to the bad casts themselves
	late    []float64 // days by which each order is later
	rec     *plant.MasterResult
}

// bill books a run with the fault against one without, piece by piece and
// bill by bill.
func bill(q *MasterPlan, f worksFacts, b base, measures []*plant.Measure, r *plant.Result) masterRun {
	rec, m := r.Master, q.Money
	x := masterRun{rec: rec}
	for _, s := range rec.Scrapped {
		x.cost.Destroyed += float64(float64(s.Value) / 1e6)
	}
	x.cost.Tools = q.tools(float64(rec.MouldsBroken), float64(rec.CasesBroken), rec.Stop != des.Never)
	x.cost.Search = float64(rec.Sorted) * m.Sort
	x.cost.Field = float64(rec.Returned) * m.Return
	x.late = q.later(b.orders, r.Orders)
	for _, days := range x.late {
		x.cost.Late += float64(days * m.Late)
	}

	var lost float64 // of the ware
	for _, ware := range f.wares {
		less := b.good[ware]
		if ware == f.ware.Name {
			less -= float64(rec.GoodPacked + rec.ShippedBad)
			lost = less
		} else {
			less -= sum(measures, "packed."+ware, r, 0, q.Weeks)
			x.cost.Starved += float64(less * m.Margin[ware])
		}
		x.lost += less
	}
	burnt := float64(rec.FiredBad) * b.fired
	if f.casting {
		burnt = float64(float64(rec.Showing)*b.yield) - float64(rec.ShippedBad)
	}
	burnt = max(0, burnt)
	x.starved = lost - burnt
	x.cost.Burnt = burnt * m.Margin[f.ware.Name]
	x.cost.Starved += float64(x.starved * m.Margin[f.ware.Name])
	return x
}

// tools is what making the tools and moulds anew costs.
func (q *MasterPlan) tools(moulds, cases float64, stopped bool) float64 {
	cost := float64(moulds*q.Money.Mould) + float64(cases*q.Money.Case)
	if stopped {
		cost += q.Money.Tool
	}
	return cost
}

// later is the days by which each order ends after it would have without the
// fault. One that is not finished in the run is counted as ending with it.
func (q *MasterPlan) later(without, with []plant.OrderResult) []float64 {
	end := des.Time(q.Weeks) * des.Week
	days := make([]float64, len(with))
	for k := range min(len(with), len(without)) {
		days[k] = max(0, float64(min(with[k].Done, end)-min(without[k].Done, end))/float64(des.Day))
	}
	return days
}
