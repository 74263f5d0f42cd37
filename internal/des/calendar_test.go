package des

import (
	"cmp"
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"
	"unsafe"
)

// model is a calendar as plain as can be: a slice, searched from end to end.
type model struct {
	events []modelEvent
	count  uint64
}

type modelEvent struct {
	at     Time
	rank   Rank
	number uint64 // in the order of scheduling
}

func (m *model) add(at Time, r Rank) {
	m.count++
	m.events = append(m.events, modelEvent{at, r, m.count})
}

func (m *model) cancel(number uint64) bool {
	n := len(m.events)
	m.events = slices.DeleteFunc(m.events, func(e modelEvent) bool { return e.number == number })
	return len(m.events) < n
}

func (m *model) take(limit Time) (modelEvent, bool) {
	if len(m.events) == 0 {
		return modelEvent{}, false
	}
	e := slices.MinFunc(m.events, func(a, b modelEvent) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank), cmp.Compare(a.number, b.number))
	})
	if e.at > limit {
		return modelEvent{}, false
	}
	return e, m.cancel(e.number)
}

// marker is a timer that knows which event it is.
type marker uint64

func (marker) Fire(Time) {}

// play runs the operations in script, three bytes each, on a calendar and on the
// model and fails at the first difference.
func play(t *testing.T, script []byte) {
	c, m := calendar{heap: newHeap()}, &model{}
	var now Time
	var handles []Event
	for step := 0; len(script) >= 3; step++ {
		op, x := script[0], Time(binary.LittleEndian.Uint16(script[1:]))
		script = script[3:]
		switch {
		case op < 120: // many at the present instant, some soon, some far off
			span := []Time{0, 0, x % 4, x, x << 20}[op%5]
			rank := Rank(x % 5)
			m.add(now+span, rank)
			handles = append(handles, c.add(now, now+span, rank, marker(m.count)))
		case op < 160 && len(handles) > 0:
			k := int(x) % len(handles)
			if got, want := c.cancel(handles[k]), m.cancel(uint64(k+1)); got != want {
				t.Fatalf("step %d: cancel event %d = %v, want %v", step, k+1, got, want)
			}
		case op == 160:
			c.renumber()
		case op == 161:
			c.compact()
		default:
			limit := now + x
			at, _, timer := c.take(now, limit)
			want, ok := m.take(limit)
			if !ok {
				if timer != nil {
					t.Fatalf("step %d: took event %v at %d, want none by %d", step, timer, at, limit)
				}
				now = limit
				continue
			}
			if timer != marker(want.number) || at != want.at {
				t.Fatalf("step %d: took event %v at %d, want %+v", step, timer, at, want)
			}
			now = at
		}
		if c.pending() != len(m.events) {
			t.Fatalf("step %d: %d pending, want %d", step, c.pending(), len(m.events))
		}
	}
}

func TestCalendarAgainstSlice(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 0))
	for range 60 {
		script := make([]byte, 3*2_000)
		for i := range script {
			script[i] = byte(rng.Uint32())
		}
		play(t, script)
	}
}

func FuzzCalendar(f *testing.F) {
	f.Add([]byte{0, 0, 0, 1, 1, 0, 200, 0, 0, 200, 0, 0})
	f.Add([]byte("a pot is thrown, dried, glazed and fired; then it is looked at"))
	f.Fuzz(play)
}

// Events cancelled in great number, as time limits are, must not fill the calendar.
func TestCalendarCompacts(t *testing.T) {
	c := calendar{heap: newHeap()}
	for i := range 100_000 {
		c.cancel(c.add(0, Time(1+i), Lapse, marker(0)))
	}
	if n := c.heap.len(); n > 100 {
		t.Errorf("%d entries of cancelled events in the heap, want at most 100", n)
	}
	if n := len(c.slots); n != 1 {
		t.Errorf("%d slots in use, want 1", n)
	}
}

// A run may schedule more events than there are sequence numbers.
func TestCalendarRenumbers(t *testing.T) {
	c := calendar{heap: newHeap()}
	c.seq = maxSeq - 10
	var want []marker
	for i := range 25 {
		at := Time(i % 3) // 0 is now, so that ring and heap are both renumbered
		c.add(0, at, Rank(i%2), marker(i))
		want = append(want, marker(i))
	}
	slices.SortStableFunc(want, func(a, b marker) int {
		return cmp.Or(cmp.Compare(a%3, b%3), cmp.Compare(a%2, b%2))
	})
	var got []marker
	var now Time
	for {
		at, _, timer := c.take(now, Never)
		if timer == nil {
			break
		}
		now = at
		got = append(got, timer.(marker))
	}
	if !slices.Equal(got, want) {
		t.Errorf("order after renumbering\n got %v\nwant %v", got, want)
	}
	if c.seq > 25 {
		t.Errorf("last sequence number %d, want at most 25", c.seq)
	}
}

// The sizes and the alignment are what the heap's speed rests on.
func TestLayout(t *testing.T) {
	if size := unsafe.Sizeof(entry{}); size != 16 {
		t.Errorf("an entry takes %d bytes, want 16", size)
	}
	if size := unsafe.Sizeof(slot{}); size != 32 {
		t.Errorf("a slot takes %d bytes, want 32", size)
	}
	h := newHeap()
	for range 12 {
		if at := uintptr(unsafe.Pointer(&h.array[0])); at%64 != 0 {
			t.Errorf("array of %d entries is not aligned to 64 bytes", len(h.array))
		}
		h.grow()
	}
}

func TestBefore(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 0))
	for range 100_000 {
		a := entry{Time(rng.Uint64N(4)), rng.Uint64N(4)}
		b := entry{Time(rng.Uint64N(4)), rng.Uint64N(4)}
		if rng.IntN(2) == 0 { // values that differ in the high bits
			a.at, b.at = a.at<<61, b.at<<61
			a.key, b.key = a.key<<62, b.key<<62
		}
		want := uint64(0)
		if a.at < b.at || a.at == b.at && a.key < b.key {
			want = 1
		}
		if got := before(a, b); got != want {
			t.Fatalf("before(%v, %v) = %d, want %d", a, b, got, want)
		}
	}
}
