package des_test

import (
	"math"
	"testing"

	"potbank/internal/des"
)

func TestRackBlocksWhenFull(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[int](d.s, "rack", 2)
	d.s.Go("maker", func(p *des.Process) {
		for i := range 5 {
			rack.Put(p, i)
			d.note("put %d, %d in", i, rack.Len())
		}
	})
	d.s.Go("taker", func(p *des.Process) {
		for range 5 {
			p.Pass(10 * sec)
			d.note("got %d, room %d", rack.Get(p), rack.Room())
		}
	})
	d.run(des.Never)
	d.wants(`
		0: put 0, 1 in
		0: put 1, 2 in
		10: got 0, room 0
		10: put 2, 2 in
		20: got 1, room 0
		20: put 3, 2 in
		30: got 2, room 0
		30: put 4, 2 in
		40: got 3, room 1
		50: got 4, room 2
	`)
}

func TestRackHandsOverInOrder(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[string](d.s, "rack", 9)
	for _, name := range []string{"a", "b", "c"} {
		d.s.Go(name, func(p *des.Process) {
			x, ok := rack.GetWithin(p, 3*sec)
			d.note("%s: %q %v", name, x, ok)
		})
	}
	d.at(sec, func() {
		rack.TryPut("bowl")
		x, ok := rack.TryGet() // the bowl is a's already
		d.note("timer: %q %v", x, ok)
	})
	d.at(3*sec, func() { rack.TryPut("jug") }) // in the last instant
	d.run(des.Never)
	d.wants(`
		1: timer: "" false
		1: a: "bowl" true
		3: b: "jug" true
		3: c: "" false
	`)
}

func TestRackGetIf(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[int](d.s, "rack", 9)
	even := func(x int) bool { return x%2 == 0 }
	for _, x := range []int{1, 3, 4, 5, 6} {
		rack.TryPut(x)
	}
	d.s.Go("even", func(p *des.Process) {
		for range 3 {
			d.note("even %d", rack.GetIf(p, even))
		}
		x, ok := rack.GetIfWithin(p, even, sec)
		d.note("even %d %v", x, ok)
	})
	d.s.Go("any", func(p *des.Process) {
		for range 4 {
			d.note("any %d", rack.Get(p))
		}
	})
	d.at(sec, func() { rack.TryPut(7) })
	d.at(2*sec, func() { rack.TryPut(8) })
	d.at(3*sec, func() {
		rack.TryPut(9)
		rack.TryPut(10)
		x, ok := rack.TryGetIf(even)
		first, _ := rack.Peek()
		d.note("timer %d %v, first of %d is %d", x, ok, rack.Len(), first)
	})
	d.run(des.Never)
	d.wants(`
		0: even 4
		0: even 6
		0: any 1
		0: any 3
		0: any 5
		1: any 7
		2: even 8
		3: timer 0 false, first of 1 is 9
		3: even 10 true
	`)
}

// What matches is handed over when it is let in, not while it waits for room.
func TestRackAdmitsToWhoMatches(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[int](d.s, "rack", 1)
	rack.TryPut(1)
	d.s.Go("even", func(p *des.Process) {
		d.note("even %d", rack.GetIf(p, func(x int) bool { return x%2 == 0 }))
	})
	d.s.Go("maker", func(p *des.Process) {
		rack.Put(p, 2) // waits for room, though even would have it
		d.note("put 2")
		rack.Put(p, 3)
		d.note("put 3")
	})
	d.at(5*sec, func() {
		x, _ := rack.TryGet()
		d.note("timer takes %d", x)
	})
	d.run(des.Never)
	d.wants(`
		5: timer takes 1
		5: put 2
		5: put 3
		5: even 2
	`)
}

func TestRackPutWithin(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[int](d.s, "rack", 1)
	d.s.Go("maker", func(p *des.Process) {
		for i := range 3 {
			d.note("put %d: %v", i, rack.PutWithin(p, i, 2*sec))
		}
	})
	d.at(4*sec, func() { rack.TryGet() })
	d.run(des.Never)
	d.wants(`
		0: put 0: true
		2: put 1: false
		4: put 2: true
	`)
	if x, _ := rack.Peek(); x != 2 {
		t.Errorf("rack holds %d, want 2", x)
	}
	if x, ok := des.NewRack[int](d.s, "empty", 1).Peek(); ok {
		t.Errorf("Peek into an empty rack = %d, true", x)
	}
	mustPanic(t, "rack nowhere with room for 0", func() { des.NewRack[int](d.s, "nowhere", 0) })
	if boundless := des.NewRack[int](d.s, "yard", math.MaxInt); boundless.Room() != math.MaxInt || boundless.Name() != "yard" {
		t.Error("a boundless rack has bounds")
	}
}
