package plant

import "potbank/internal/des"

// wholeLoad is a full car or kiln load. A piece takes wholeLoad / (pieces in a
// full load of its ware), so that mixed loads add up. It is the least number
// that all loads up to 36 pieces divide, and many larger ones: their parts are
// exact, and equal loads of different wares compare as equal.
const wholeLoad = 144_403_552_893_600

// almost allows for the rounding of other loads, of up to a thousand pieces.
const almost = 1000

// feed is the ware that a kiln may take: lanes of the buffer, with the loading
// plan and the rule for what may share a load.
type feed struct {
	r     *run
	lanes []feedLane
	mix   string
}

// feedLane is one ware before its first fire, or waiting to be refired.
type feedLane struct {
	q    *lane
	ware int32
	body string
	slot int64
}

// buffer is the dry glazed and patched pieces before the kilns, by ware.
type buffer struct {
	first  []lane
	refire []lane
}

// newFeed lists what a kiln takes.
func (r *run) newFeed(in *Kiln) *feed {
	f := &feed{r: r, mix: in.Mix}
	takes := r.p.waresOf(in.Ware)
	for w := range r.wares {
		per, ok := in.Load.For(r.wares[w].name)
		if !takes[w] || !ok {
			continue
		}
		l := feedLane{ware: int32(w), body: r.wares[w].in.Body, slot: wholeLoad / int64(per)}
		if in.Fires != "refire" {
			l.q = &r.buffer.first[w]
			f.lanes = append(f.lanes, l)
		}
		if in.Fires != "first" {
			l.q = &r.buffer.refire[w]
			f.lanes = append(f.lanes, l)
		}
	}
	return f
}

// together tells whether two lanes may share a load.
func (f *feed) together(a, b *feedLane) bool {
	switch f.mix {
	case "any":
		return true
	case "one-body":
		return a.body == b.body
	}
	return a.ware == b.ware
}

// best finds the lane whose group has most loads waiting, and how much that is
// in parts of a whole load.
func (f *feed) best() (lane int, waiting int64) {
	lane = -1
	for i := range f.lanes {
		var sum int64
		for j := range f.lanes {
			if f.together(&f.lanes[i], &f.lanes[j]) {
				sum += int64(f.lanes[j].q.n) * f.lanes[j].slot
			}
		}
		if sum > waiting {
			lane, waiting = i, sum
		}
	}
	return lane, waiting
}

// enough tells whether a share of a whole load waits.
func enough(waiting int64, share float64) bool {
	return waiting > 0 && waiting >= int64(share*wholeLoad)-almost
}

// oldest is the lane of the piece that has waited longest in the buffer, and
// since when; -1 if nothing waits.
func (f *feed) oldest() (lane int, since des.Time) {
	lane, since = -1, des.Never
	for i := range f.lanes {
		if h := f.lanes[i].q.head(); h != nobody && f.r.pieces[h].mark < since {
			lane, since = i, f.r.pieces[h].mark
		}
	}
	return lane, since
}

// size is how many pieces a load for the group of a lane would have now.
func (f *feed) size(lane int) int {
	if f.mix == "one-ware" && f.lanes[lane].q.n >= int(wholeLoad/f.lanes[lane].slot) {
		return int(wholeLoad / f.lanes[lane].slot)
	}
	taken := make([]int, len(f.lanes))
	n := 0
	for used := int64(0); used < wholeLoad; n++ {
		pick := f.next(lane, used, func(j int) pieceID { return f.lanes[j].q.nth(taken[j]) })
		if pick < 0 {
			break
		}
		taken[pick]++
		used += f.lanes[pick].slot
	}
	return n
}

// next is the lane whose first piece goes next on a load for the group of a
// lane, of which a part is used: the oldest that still fits; -1 if none does.
func (f *feed) next(lane int, used int64, first func(j int) pieceID) int {
	pick, best := -1, nobody
	for j := range f.lanes {
		l := &f.lanes[j]
		if !f.together(&f.lanes[lane], l) || used+l.slot > wholeLoad {
			continue
		}
		if h := first(j); h != nobody && (best == nobody || f.r.older(h, best)) {
			pick, best = j, h
		}
	}
	return pick
}

// gather takes one load for the group of a lane, oldest first, into pieces,
// and returns it with whether the load is full: nothing of the group would fit
// besides.
func (f *feed) gather(lane int, pieces []pieceID) ([]pieceID, bool) {
	var used int64
	for used < wholeLoad {
		pick := f.next(lane, used, func(j int) pieceID { return f.lanes[j].q.head() })
		if pick < 0 {
			break
		}
		pieces = append(pieces, f.lanes[pick].q.pop())
		used += f.lanes[pick].slot
	}
	f.chargeMates(pieces)
	f.r.tellPlacers()
	full := true
	for j := range f.lanes {
		full = full && !(f.together(&f.lanes[lane], &f.lanes[j]) && used+f.lanes[j].slot <= wholeLoad)
	}
	return pieces, full
}

// chargeMates books, for each piece of a load, the wait for the mate that came
// last; what is left of its wait is for a place.
func (f *feed) chargeMates(pieces []pieceID) {
	var last des.Time
	for _, i := range pieces {
		last = max(last, f.r.pieces[i].mark)
	}
	for _, i := range pieces {
		f.r.chargeUntil(&f.r.pieces[i], last, partBatch)
	}
}
