package des

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"
)

// works is a model without sense that uses everything at random, with limits and cuts, and
// keeps its own books. At the end of every instant the kernel's books must agree with
// them, and nobody may wait who could be served.
type works struct {
	t         *testing.T
	s         *Sim
	rng       *rand.Rand
	places    []*Places
	held      []int // of each places, by all processes
	racks     []*Rack[int]
	in        []int // things in each rack
	door      *Door
	bell      *Bell
	load      *Load[int]
	loaded    int
	processes []*Process
}

func newWorks(t *testing.T, seed uint64) *works {
	w := &works{t: t, s: New(), rng: rand.New(rand.NewPCG(seed, 0)), held: make([]int, 3), in: make([]int, 2)}
	for i := range 3 {
		w.places = append(w.places, w.s.Places(fmt.Sprint("places ", i), i+1))
	}
	for i := range 2 {
		w.racks = append(w.racks, NewRack[int](w.s, fmt.Sprint("rack ", i), i+1))
	}
	w.door, w.bell = w.s.Door("door"), w.s.Bell("bell")
	w.load = NewLoad[int](w.s, "load", 3, 7)
	w.load.SetMost(4)
	for i := range 9 {
		w.processes = append(w.processes, w.s.Go(fmt.Sprint("p", i), w.live))
	}
	w.s.After(1, Start, TimerFunc(w.meddle))
	w.s.At(0, Close, TimerFunc(w.audit))
	return w
}

// limit draws a time limit.
func (w *works) limit() Time { return []Time{0, 1, 3, 10, Never}[w.rng.IntN(5)] }

// live is the body of a process: one thing after another.
func (w *works) live(p *Process) {
	for {
		i := w.rng.IntN(3)
		pl, n := w.places[i], 1+w.rng.IntN(2)
		switch w.rng.IntN(9) {
		case 0:
			if p.TakeWithin(pl, n, w.rng.IntN(3), w.limit()) {
				w.keep(p, n, i)
			}
		case 1:
			if j := (i + 1) % 3; p.TakeAll(Want{pl, 1}, Want{w.places[j], 1}) {
				w.keep(p, 1, i, j)
			}
		case 2:
			if i %= 2; w.racks[i].PutWithin(p, w.rng.IntN(4), w.limit()) {
				w.in[i]++
			}
		case 3:
			if _, ok := w.racks[i%2].GetWithin(p, w.limit()); ok {
				w.in[i%2]--
			}
		case 4:
			if _, ok := w.racks[i%2].GetIfWithin(p, w.picky, w.limit()); ok {
				w.in[i%2]--
			}
		case 5:
			w.door.WaitOpenWithin(p, w.limit())
		case 6:
			WaitAny(p, w.limit(), w.door, w.bell, w.load, w.racks[0], pl)
		case 7:
			if w.rng.IntN(3) == 0 {
				w.loaded -= len(w.load.Take(p))
			} else {
				w.loaded++
				w.load.Add(1)
			}
		}
		p.Pass(Time(w.rng.IntN(4)))
	}
}

// picky is a match that few things meet.
func (w *works) picky(x int) bool { return x == 3 }

// keep keeps places for a while.
func (w *works) keep(p *Process, n int, places ...int) {
	for _, i := range places {
		w.held[i] += n
	}
	p.Pass(Time(w.rng.IntN(5)))
	for _, i := range places {
		w.held[i] -= n
		w.places[i].Give(n)
	}
}

// meddle is what happens from outside.
func (w *works) meddle(Time) {
	switch w.rng.IntN(8) {
	case 0, 1:
		w.processes[w.rng.IntN(len(w.processes))].Cut("meddling")
	case 2:
		w.door.Open()
	case 3:
		w.door.Shut()
	case 4:
		w.bell.Ring()
	case 5:
		w.places[w.rng.IntN(3)].Resize(1 + w.rng.IntN(3))
	case 6:
		i := w.rng.IntN(2)
		if _, ok := w.racks[i].TryGet(); ok {
			w.in[i]--
		}
	case 7:
		w.loaded -= len(w.load.TryTake())
	}
	w.s.After(Time(w.rng.IntN(3)), Start, TimerFunc(w.meddle))
}

// fault reports what is wrong and stops the run, in which more would follow from it.
func (w *works) fault(format string, args ...any) {
	w.t.Errorf(format, args...)
	w.s.Stop()
}

// audit compares the books.
func (w *works) audit(now Time) {
	for i, pl := range w.places {
		if pl.busy != w.held[i] || pl.booked != pl.busy {
			w.fault("%v: %s: %d taken, %d booked, but processes hold %d", now, pl.name, pl.busy, pl.booked, w.held[i])
		}
		w.auditLine(now, pl)
	}
	for i, r := range w.racks {
		if r.items.n != w.in[i] || r.items.n > r.size {
			w.fault("%v: %s: %d things of at most %d, but %d went in and not out", now, r.name, r.items.n, r.size, w.in[i])
		}
		if r.putters.head != nil && r.Room() > 0 {
			w.fault("%v: %s: %s waits for room, but there is some", now, r.name, r.putters.head.p.name)
		}
		for g := r.getters.head; g != nil; g = g.next {
			match := r.seats.seats[g.seat].match
			for k := range r.items.n {
				if match == nil || match(*r.items.at(k)) {
					w.fault("%v: %s: %s waits for what is there", now, r.name, g.p.name)
				}
			}
		}
		if r.items.n > 0 && r.watchers.head != nil {
			w.fault("%v: %s: %s watches for what is there", now, r.name, r.watchers.head.p.name)
		}
	}
	if w.door.open && w.door.queue.head != nil {
		w.fault("%v: %s waits before an open door", now, w.door.queue.head.p.name)
	}
	if w.load.Len() != w.loaded || w.load.Complete() && w.load.takers.head != nil {
		w.fault("%v: load of %d, want %d; complete %v, awaited %v", now, w.load.Len(), w.loaded, w.load.Complete(), w.load.takers.head != nil)
	}
	for _, p := range w.processes {
		if (p.state == queuing) != (p.queued > 0) {
			w.fault("%v: %s in state %d stands in %d queues", now, p.name, p.state, p.queued)
		}
	}
	w.s.After(1, Close, TimerFunc(w.audit))
}

// auditLine checks the line before places: in order, and without anybody who could be
// served.
func (w *works) auditLine(now Time, pl *Places) {
	barred := false
	for q := pl.queue.head; q != nil; q = q.next {
		switch {
		case q.in != &pl.queue || q.next != nil && (q.next.prev != q || q.next.rank < q.rank):
			w.fault("%v: %s: the line is out of order at %s", now, pl.name, q.p.name)
		case q.p.all && q.p.canTakeAll():
			w.fault("%v: %s waits for places that are free", now, q.p.name)
		case !q.p.all && !barred && q.n <= pl.size-pl.busy:
			w.fault("%v: %s: %s waits for %d with %d free", now, pl.name, q.p.name, q.n, pl.Free())
		}
		barred = barred || !q.p.all
	}
	if pl.now() && pl.watchers.head != nil {
		w.fault("%v: %s: %s watches for what is free", now, pl.name, pl.watchers.head.p.name)
	}
}

func TestWorksKeepTheirBooks(t *testing.T) {
	for seed := range uint64(20) {
		w := newWorks(t, seed)
		if err := w.s.Run(2_000); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		w.s.Close()
		if t.Failed() {
			t.Fatalf("first with seed %d", seed)
		}
	}
}

// history runs the works and gives a hash of all its events. Untraced it gives the hash of
// where it ends.
func history(t *testing.T, traced bool) (events, end uint64) {
	w := newWorks(t, 99)
	defer w.s.Close()
	all, last := fnv.New64a(), fnv.New64a()
	if traced {
		w.s.Trace(func(now Time, r Rank, who string) { fmt.Fprintln(all, now, r, who) })
	}
	if err := w.s.Run(3_000); err != nil {
		t.Error(err)
	}
	fmt.Fprintln(last, w.s.Events(), w.held, w.in, w.loaded, w.s.Waiters(), w.rng.Uint64())
	return all.Sum64(), last.Sum64()
}

// A run is the same event for event on one processor or several, alone or beside others,
// traced or not, today or next year. The figure is frozen: earlier answers rest on it. It
// comes from this program; that it does not change is the point.
func TestRunsAreReproducible(t *testing.T) {
	const frozen uint64 = 0xce835c8a77ff6278
	events, end := history(t, true)
	if events != frozen {
		t.Errorf("history %#x, frozen as %#x", events, frozen)
	}
	if _, got := history(t, false); got != end {
		t.Error("an untraced run ends otherwise than a traced one")
	}
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			if got, _ := history(t, true); got != events {
				t.Errorf("beside others: history %#x, alone %#x", got, events)
			}
		})
	}
	group.Wait()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if got, _ := history(t, true); got != events {
		t.Errorf("on one processor: history %#x, on several %#x", got, events)
	}
}
