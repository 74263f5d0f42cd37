package des

import "slices"

// calendar holds the pending events of a run. An event is an entry, in the heap
// or, if it is due at the present instant, in the ring; and a slot, which says
// what is to happen. A cancelled event gives up its slot at once but leaves its
// entry behind, to be dropped when it comes up: in-place removal would cost every
// push and pop the upkeep of positions.
type calendar struct {
	heap  heap
	soon  ring[uint64] // keys of events at the present instant, ascending
	slots []slot
	free  []uint32 // slots not in use
	seq   uint64   // last sequence number given out
	count uint64   // last event number given out
	stale int      // entries of cancelled events in heap and ring
}

// slot is what an event does when its time comes. 32 bytes.
type slot struct {
	timer  Timer
	key    uint64 // key of its entry; an entry with another key is stale
	number uint64 // number of the event in the run; 0 if the slot is free
}

// pending counts the events that are still to happen.
func (c *calendar) pending() int { return c.heap.len() + c.soon.n - c.stale }

// add schedules timer and returns the handle of the event.
//
// Half of all events in a queueing model are wake-ups at the present instant.
// They bypass the heap. The ring stays sorted without work since sequence numbers
// rise; an event of a lower rank than the ring's last goes through the heap.
func (c *calendar) add(now, at Time, r Rank, timer Timer) Event {
	if c.seq == maxSeq {
		c.renumber()
	}
	c.seq++
	c.count++
	i := c.takeSlot()
	key := makeKey(r, c.seq, i)
	c.slots[i] = slot{timer, key, c.count}
	if at == now && (c.soon.n == 0 || *c.soon.at(c.soon.n - 1) < key) {
		c.soon.push(key)
	} else {
		c.heap.push(entry{at, key})
	}
	return Event{number: c.count, slot: i}
}

// cancel takes an event out. It reports whether the event was still pending.
func (c *calendar) cancel(e Event) bool {
	if e.number == 0 || int(e.slot) >= len(c.slots) || c.slots[e.slot].number != e.number {
		return false
	}
	c.freeSlot(e.slot)
	c.stale++
	// Compacting costs as much as it drops, so each cancellation pays its share.
	if c.stale > 64 && c.stale > (c.heap.len()+c.soon.n)/2 {
		c.compact()
	}
	return true
}

// take removes the next event that is due by limit and gives its timer, or nil if
// there is none. now is the present instant.
func (c *calendar) take(now, limit Time) (at Time, key uint64, timer Timer) {
	for now <= limit {
		top := c.heap.top()
		if c.soon.n > 0 && before(top, entry{now, *c.soon.at(0)}) == 0 {
			at, key = now, c.soon.pop()
		} else if top.at <= limit && top.at != Never {
			c.heap.pop()
			at, key = top.at, top.key
		} else {
			break
		}
		i := slotOf(key)
		if c.slots[i].key != key {
			c.stale--
			continue
		}
		timer = c.slots[i].timer
		c.freeSlot(i)
		return at, key, timer
	}
	return 0, 0, nil
}

// nextAfter reports whether every entry is later than t.
func (c *calendar) nextAfter(t Time) bool { return c.soon.n == 0 && c.heap.allAfter(t) }

// takeSlot finds a free slot.
func (c *calendar) takeSlot() uint32 {
	if n := len(c.free); n > 0 {
		i := c.free[n-1]
		c.free = c.free[:n-1]
		return i
	}
	if len(c.slots) == maxSlots {
		panic("des: more than 16,777,216 events pending")
	}
	c.slots = append(c.slots, slot{})
	return uint32(len(c.slots) - 1)
}

// freeSlot gives a slot back and lets go of its timer.
func (c *calendar) freeSlot(i uint32) {
	c.slots[i] = slot{}
	c.free = append(c.free, i)
}

// live reports whether the entry with this key belongs to a pending event.
func (c *calendar) live(key uint64) bool { return c.slots[slotOf(key)].key == key }

// compact drops the entries of cancelled events.
func (c *calendar) compact() {
	c.heap.keep(func(e entry) bool { return c.live(e.key) })
	for range c.soon.n {
		if key := c.soon.pop(); c.live(key) {
			c.soon.push(key)
		}
	}
	c.stale = 0
}

// renumber gives the pending events the sequence numbers 1, 2, 3, ... in the order
// in which they stand, so a run may go on past the 6.9e10 numbers that fit a key.
// Handles are not affected: they carry the number of the event, not its key.
func (c *calendar) renumber() {
	c.compact()
	// All events of one rank keep their order if they are renumbered by key alone.
	entries := c.heap.array[heapRoot : heapRoot+c.heap.n]
	keys := make([]*uint64, 0, len(entries)+c.soon.n)
	for i := range entries {
		keys = append(keys, &entries[i].key)
	}
	for i := range c.soon.n {
		keys = append(keys, c.soon.at(i))
	}
	slices.SortFunc(keys, func(a, b *uint64) int {
		if *a < *b {
			return -1
		}
		return 1
	})
	for i, key := range keys {
		s := slotOf(*key)
		*key = makeKey(rankOf(*key), uint64(i+1), s)
		c.slots[s].key = *key
	}
	c.seq = uint64(len(keys))
}
