package plant

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// mould is one working mould. Its parents are kept for every piece cast in it:
// piece -> working mould -> case -> block -> model (the ware).
type mould struct {
	ware   int32
	no     int32 // of its ware, from 1
	caseNo int32 // of its ware, from 1
	block  int32 // of its ware, from 1
	casts  int32
	life   int32
	refs   int32 // pieces in the works cast in it, and 1 while it is in use
}

// mouldBook is all working moulds in use or remembered by a piece.
type mouldBook struct {
	r      *run
	all    []mould
	free   []int32
	life   []*random.Gate // by ware
	made   []int32        // moulds made, by ware
	fitted []int64        // moulds on benches, in stock and in work, by ware
	worn   []int64        // moulds worn out, by ware
}

// add makes a mould of a ware from a case and returns its number.
func (b *mouldBook) add(ware int32, law random.Law, caseNo, block int32) int32 {
	b.made[ware]++
	b.fitted[ware]++
	no := b.made[ware]
	m := mould{ware: ware, no: no, caseNo: caseNo, block: block, refs: 1}
	m.life = int32(max(1, b.life[ware].Value(law, random.Object(random.Name(b.r.wares[ware].name), uint64(no)), 0)+0.5))
	var i int32
	if n := len(b.free); n > 0 {
		i = b.free[n-1]
		b.free = b.free[:n-1]
		b.all[i] = m
	} else {
		i = int32(len(b.all))
		b.all = append(b.all, m)
	}
	if b.r.master != nil {
		b.r.master.poured(i)
	}
	return i
}

// wear takes a worn mould out of use.
func (b *mouldBook) wear(i int32) {
	w := b.all[i].ware
	b.fitted[w]--
	b.worn[w]++
	b.r.led.add(b.r.wares[w].worn, 1)
	if b.r.daily != nil {
		b.r.daily.at(b.r.sim.Now(), w).Worn++
	}
	b.release(i)
}

// release lets go of a mould record; the last to do so frees it.
func (b *mouldBook) release(i int32) {
	if i < 0 {
		return
	}
	m := &b.all[i]
	if m.refs--; m.refs == 0 {
		b.free = append(b.free, i)
	}
}

// toolCase is a case set in use: working moulds are poured into it.
type toolCase struct {
	no, block int32
	pours     int
	today     int
}

// supply is the mould chain of one ware.
type supply struct {
	in      *MouldSupply
	ware    int32
	law     random.Law
	stock   ring       // dry moulds on the shelf
	drying  []mouldLot // in work, in order of readiness
	cases   []toolCase
	spare   int
	coming  []des.Time // case sets in making, by readiness
	caseNo  int32
	block   int32
	setsOff int // case sets taken off the present block
	poured  int // counters: moulds poured, and what its case sets could have given
	could   int
}

// mouldLot is one day's pour of one ware.
type mouldLot struct {
	ready  des.Time
	moulds []int32
}

// mouldShop works at the beginning of each of its working days: it takes dry moulds onto the
// shelf, issues them to the benches, and pours what is short of the target, as
// far as its people and its cases allow.
type mouldShop struct {
	r        *run
	in       *MouldShop
	days     []des.Time // beginnings of its working days
	turn     int
	supplies []*supply
	money    int // counter of mould money
	caseCost int
	could    int // counter of what its people could have poured
}

func (r *run) newMouldShop(in *MouldShop) *mouldShop {
	s := &mouldShop{
		r: r, in: in, days: r.p.workingDays(r.p.hours[in.Hours]),
		money: r.led.counter("cost.moulds"), caseCost: r.led.counter("cost.cases"),
		could: r.led.counter("moulds.could"),
	}
	for i := range in.Moulds {
		m := &in.Moulds[i]
		sup := &supply{in: m, ware: r.p.wareNo(m.Name), spare: m.SpareCases, block: 1}
		sup.law = r.p.mouldLife(m.Name)
		sup.poured, sup.could = r.led.counter("moulds.poured."+m.Name), r.led.counter("moulds.could."+m.Name)
		for range m.Cases {
			sup.newCase(s, false)
		}
		for k := range m.Target {
			c := sup.cases[k%len(sup.cases)]
			sup.stock.push(r.moulds.add(sup.ware, sup.law, c.no, c.block))
		}
		s.supplies = append(s.supplies, sup)
	}
	return s
}

// newCase takes a case set off the block into use. Every BlockSets-th set
// wears the block out and the next comes off a new one.
func (s *supply) newCase(shop *mouldShop, paid bool) {
	if s.setsOff == s.in.BlockSets {
		s.setsOff = 0
		s.block++
	}
	s.setsOff++
	s.caseNo++
	s.cases = append(s.cases, toolCase{no: s.caseNo, block: s.block})
	if paid {
		shop.r.led.add(shop.caseCost, int64(shop.in.CasePrice))
	}
}

// start arms the next working day.
func (s *mouldShop) start() {
	if s.turn < len(s.days) {
		s.r.sim.At(s.days[s.turn], des.Calendar, s)
		s.turn++
	}
}

// Fire is one working day of the mould shop.
func (s *mouldShop) Fire(now des.Time) {
	for _, sup := range s.supplies {
		sup.receive(s, now)
	}
	for _, g := range s.r.benches {
		g.refit(s)
	}
	if s.r.master != nil {
		s.r.master.refitted(now)
	}
	s.pour(now)
	s.start()
}

// receive takes dry moulds onto the shelf and finished case sets into use.
func (s *supply) receive(shop *mouldShop, now des.Time) {
	for len(s.drying) > 0 && s.drying[0].ready <= now {
		for _, m := range s.drying[0].moulds {
			s.stock.push(m)
		}
		s.drying = s.drying[1:]
	}
	for len(s.coming) > 0 && s.coming[0] <= now {
		s.coming = s.coming[1:]
		if len(s.cases) < s.in.Cases {
			s.newCase(shop, true)
		} else {
			s.spare++
		}
	}
	for i := range s.cases {
		s.cases[i].today = 0
	}
}

// short is how many moulds the supply lacks: the target, less stock and work.
func (s *supply) short() int {
	n := s.in.Target - s.stock.n
	for _, lot := range s.drying {
		n -= len(lot.moulds)
	}
	return n
}

// pour shares the day's pours among the wares, one mould at a time to the one
// that is shortest in proportion to its target.
func (s *mouldShop) pour(now des.Time) {
	lots := make([][]int32, len(s.supplies))
	for range s.in.PerDay {
		best, worst := -1, 0.0
		for i, sup := range s.supplies {
			lack := sup.short() - len(lots[i])
			if rel := float64(lack) / float64(max(1, sup.in.Target)); lack > 0 && rel > worst && sup.freeCase() >= 0 {
				best, worst = i, rel
			}
		}
		if best < 0 {
			break
		}
		lots[best] = append(lots[best], s.pourOne(s.supplies[best], now))
	}
	s.r.led.add(s.could, int64(s.in.PerDay))
	for i, sup := range s.supplies {
		s.r.led.add(sup.could, int64(len(lots[i])+sup.poursLeft()))
		if len(lots[i]) > 0 {
			sup.drying = append(sup.drying, mouldLot{now + s.in.Pour + s.in.Dry, lots[i]})
		}
	}
}

// poursLeft is how often the case sets in use could be poured again today.
func (s *supply) poursLeft() int {
	n := 0
	for _, c := range s.cases {
		n += s.in.PoursDay - c.today
	}
	return n
}

// freeCase returns the case with the fewest pours that can be poured again
// today, or -1.
func (s *supply) freeCase() int {
	best := -1
	for i, c := range s.cases {
		if c.today < s.in.PoursDay && (best < 0 || c.pours < s.cases[best].pours) {
			best = i
		}
	}
	return best
}

// pourOne pours one mould and retires its case when that is worn.
func (s *mouldShop) pourOne(sup *supply, now des.Time) int32 {
	k := sup.freeCase()
	c := &sup.cases[k]
	c.pours++
	c.today++
	m := s.r.moulds.add(sup.ware, sup.law, c.no, c.block)
	s.r.led.add(sup.poured, 1)
	if s.r.daily != nil {
		s.r.daily.at(now, sup.ware).Poured++
	}
	s.r.led.add(s.money, int64(sup.in.Price))
	if c.pours >= sup.in.CasePours {
		s.retireCase(sup, k, now)
	}
	return m
}

// retireCase replaces a worn case by a spare, if there is one, and has a new
// set made either way.
func (s *mouldShop) retireCase(sup *supply, k int, now des.Time) {
	sup.cases = append(sup.cases[:k], sup.cases[k+1:]...)
	lead := sup.in.CaseLead
	if sup.setsOff == sup.in.BlockSets {
		lead += sup.in.BlockLead
	}
	sup.coming = append(sup.coming, now+lead)
	if sup.spare > 0 {
		sup.spare--
		sup.newCase(s, true)
	}
}

// issue hands out a mould of a ware from the shelf.
func (s *mouldShop) issue(ware int32) (int32, bool) {
	for _, sup := range s.supplies {
		if sup.ware == ware && sup.stock.n > 0 {
			return sup.stock.pop(), true
		}
	}
	return 0, false
}
