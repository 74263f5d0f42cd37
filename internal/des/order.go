package des

import "math/bits"

// Events are handled in the order of the tuple
//
//	(time, rank, sequence)
//
// and of nothing else: the earlier instant first; within an instant the lower
// rank; within a rank whichever was scheduled first. This file is the one place
// where that is written down. The order decides every tie of every run, so a
// test holds it frozen.

// Rank places an event among the others of the same instant.
type Rank uint8

// The ranks, in the order in which they are handled.
const (
	// Finish is for work that ends: Pass and Work come back with it, so what
	// they free at an instant can be had by whatever starts at that instant.
	Finish Rank = iota
	// Calendar is for shifts, holidays and other changes of the hours.
	Calendar
	// Start is for work that begins: new processes, and waits that came true.
	Start
	// Lapse is for time limits. It comes after Start, so a limit is inclusive:
	// what happens at the last permitted instant is still in time.
	Lapse
	// Close is for records that want to see the instant as it ends.
	Close
)

// String names the rank.
func (r Rank) String() string {
	names := [...]string{"finish", "calendar", "start", "lapse", "close"}
	if int(r) < len(names) {
		return names[r]
	}
	return "rank?"
}

// A key packs what orders the events of one instant, the rank above the
// sequence, and the slot that says what is to happen:
//
//	rank 4 bits | sequence 36 bits | slot 24 bits
//
// The sequence is unique among pending events, so the slot never decides.
const (
	slotBits = 24
	seqBits  = 36

	maxSlots = 1 << slotBits // 16.7 million events pending at once
	maxSeq   = 1<<seqBits - 1
)

// makeKey packs a key.
func makeKey(r Rank, seq uint64, slot uint32) uint64 {
	return uint64(r)<<(seqBits+slotBits) | seq<<slotBits | uint64(slot)
}

// slotOf gives the slot in a key.
func slotOf(key uint64) uint32 { return uint32(key % maxSlots) }

// rankOf gives the rank in a key.
func rankOf(key uint64) Rank { return Rank(key >> (seqBits + slotBits)) }

// entry is one event in the heap: 16 bytes, so that four lie in a cache line.
type entry struct {
	at  Time
	key uint64
}

// nothing is later than every event; it pads the heap.
var nothing = entry{Never, 1<<64 - 1}

// before is 1 if a is handled before b, else 0. It is the ordering tuple as a
// 128-bit subtraction: the borrow out of it is the answer. No branch depends on
// the times, which the processor could not predict. Times are never negative.
func before(a, b entry) uint64 {
	_, borrow := bits.Sub64(a.key, b.key, 0)
	_, borrow = bits.Sub64(uint64(a.at), uint64(b.at), borrow)
	return borrow
}
