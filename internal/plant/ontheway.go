package plant

import (
	"cmp"
	"math"
	"slices"

	"potbank/internal/des"
)

// step is the next thing that may lose a piece: what stands later is worth more
// of a good one.
type step uint8

const (
	toFinish step = iota // in the mould, leather-hard or in hand
	toWhite
	toGlaze
	toFire
	toTest
	toPack
	noGood // a B, which no order takes
	toFireAgain
	// A piece on its way to a second and later refire counts on from toFireAgain.
)

// openingStep is the step of a piece that is in a section at the start.
var openingStep = map[string]step{
	"finished": toWhite, "drying": toWhite, "dried": toWhite, "passed": toGlaze, "coat-drying": toFire, "glazed": toFire,
	"firing": toFire, "fired": toFire, "to-patch": toFireAgain, "patched": toFireAgain, "refiring": toFireAgain, "refired": toFireAgain,
	"sorted": toTest, "tested": toPack,
}

// stepYields are the good pieces expected of one that stands before each step.
// What white inspection misses is scrap of the fire and known to nobody before,
// so all that have passed are worth the same.
func (p *Plant) stepYields(w *Ware) []float64 {
	y, most := &w.Yields, 0
	if p.works.Refire != nil {
		most = p.works.Refire.Most
	}
	way := make([]float64, int(toFireAgain)+max(1, most))
	way[toPack] = 1 - float64(y.Breakage)
	way[toTest] = way[toPack]
	if (&estimator{p: p, w: p.works}).isTested(w.Name) {
		way[toTest] *= float64(y.Test)
	}
	next := 0.0 // of what is sent to be fired once more
	for k := len(way) - 1; k >= int(toFireAgain); k-- {
		way[k] = float64(float64(y.LaterFire.A)*way[toTest]) + float64(float64(y.LaterFire.Refire)*next)
		next = way[k]
	}
	if most == 0 {
		next = 0
	}
	passed, sound := 1.0, 1.0
	if in := p.works.White; in != nil {
		sound = float64(float64(y.White) * (1 - float64(in.FalseAlarm)))
		passed = sound + float64((1-float64(y.White))*(1-float64(in.Finds)))
		if passed > 0 {
			sound /= passed
		}
	}
	way[toFire] = sound * (float64(float64(y.FirstFire.A)*way[toTest]) + float64(float64(y.FirstFire.Refire)*next))
	way[toGlaze] = way[toFire]
	if p.works.Glazing != nil {
		way[toGlaze] *= float64(y.Glaze)
	}
	way[toWhite] = passed * way[toGlaze]
	way[toFinish] = float64(y.Casting) * way[toWhite]
	return way
}

// onTheWay is the pieces of a ware made to order, by what orders they may be
// counted for and by step.
type onTheWay struct {
	r      *run
	way    []float64 // good pieces expected, by step
	orders []*order  // of the ware, as in the file
	after  []int     // of each order, how many begin no later than it does
	pieces [][]int64 // by cohort and step
}

// Cohorts of pieces: number k, up to the number of orders, was filled when k of
// them had begun. Then comes stock, and then what is listed for each order.
func (t *onTheWay) stock() int { return len(t.orders) + 1 }

// newOnTheWay returns nil for a ware of which no cast becomes good: no number of
// them would do.
func (r *run) newOnTheWay(w *Ware) *onTheWay {
	way := r.p.stepYields(w)
	if way[toFinish] <= 0 {
		return nil
	}
	return &onTheWay{r: r, way: way}
}

// book takes the orders of the ware, once they are there.
func (t *onTheWay) book(ware int32) {
	for _, o := range t.r.orders {
		if o.ware == ware {
			t.orders = append(t.orders, o)
		}
	}
	for _, o := range t.orders {
		t.after = append(t.after, t.begun(o.from))
	}
	for range t.stock() + 1 + len(t.orders) {
		t.pieces = append(t.pieces, make([]int64, len(t.way)))
	}
}

// begun is how many orders have begun at a time.
func (t *onTheWay) begun(at des.Time) (n int) {
	for _, o := range t.orders {
		if o.from <= at {
			n++
		}
	}
	return n
}

// cohort is that of a piece.
func (t *onTheWay) cohort(p *piece) int {
	if !p.stock {
		return t.begun(p.filled)
	}
	if own, bound := t.r.bound[p.serial]; bound {
		return t.stock() + 1 + slices.Index(t.orders, own)
	}
	return t.stock()
}

// takes tells whether pieces of a cohort may be counted towards the n-th order.
func (t *onTheWay) takes(n, cohort int) bool {
	switch {
	case cohort > t.stock():
		return n == cohort-t.stock()-1
	case cohort == t.stock():
		return t.orders[n].in.Stock
	}
	return cohort >= t.after[n]
}

// expected is the good pieces to be expected of a cohort.
func (t *onTheWay) expected(cohort int) (sum float64) {
	for s, n := range t.pieces[cohort] {
		sum += float64(float64(n) * t.way[s])
	}
	return sum
}

// lacking is how many casts the open orders still need beyond what is on its way
// to them, if the yields hold. Pieces are shared out as they will be when they are
// packed: those for one order alone, then stock, then those filled first, each to
// the most urgent order that may have them.
func (t *onTheWay) lacking(now des.Time) int64 {
	var open []int
	need := make([]float64, len(t.orders))
	for n, o := range t.orders {
		if o.done == des.Never && now >= o.from {
			open = append(open, n)
			need[n] = float64(o.in.Quantity - o.good)
		}
	}
	if len(open) == 0 {
		return 0
	}
	slices.SortStableFunc(open, func(a, b int) int {
		x, y := t.orders[a], t.orders[b]
		return cmp.Or(cmp.Compare(x.in.Priority, y.in.Priority), cmp.Compare(x.nextDue(), y.nextDue()))
	})
	share := func(cohort int) {
		left := t.expected(cohort)
		for _, n := range open {
			if t.takes(n, cohort) {
				part := min(left, need[n])
				need[n] -= part
				left -= part
			}
		}
	}
	for cohort := t.stock() + 1; cohort < len(t.pieces); cohort++ {
		share(cohort)
	}
	share(t.stock())
	for cohort := range t.stock() {
		share(cohort)
	}
	want := 0.0
	for _, n := range open {
		want += need[n]
	}
	return int64(math.Ceil(want/t.way[toFinish] - 1e-9))
}

// expect counts a piece on its way n times more, before or after what changes
// where it counts.
func (r *run) expect(i pieceID, n int64) {
	p := &r.pieces[i]
	if t := r.plans[p.ware].way; t != nil {
		t.pieces[t.cohort(p)][p.step] += n
	}
}

// advance takes a piece on to another step.
func (r *run) advance(i pieceID, to step) {
	p := &r.pieces[i]
	if p.step != to {
		r.expect(i, -1)
		p.step = to
		r.expect(i, 1)
	}
}
