package des_test

import (
	"testing"

	"potbank/internal/des"
)

func TestDoor(t *testing.T) {
	d := newDiary(t)
	door := d.s.Door("kiln")
	pass := func(name string, from, limit des.Time) {
		d.s.Go(name, func(p *des.Process) {
			p.PassUntil(from)
			d.note("%s: %v", name, door.WaitOpenWithin(p, limit))
		})
	}
	pass("early", 0, des.Never)
	pass("impatient", 0, 4*sec)
	pass("in time", 0, 5*sec)
	pass("while open", 6*sec, 0)
	pass("too late", 8*sec, 0)
	d.at(5*sec, door.Open)
	d.at(7*sec, door.Shut)
	d.at(9*sec, func() { // all who wait pass
		d.note("open: %v", door.IsOpen())
		door.Open()
		door.Shut()
	})
	d.s.Go("last", func(p *des.Process) {
		p.PassUntil(8 * sec)
		d.note("last: %v", door.WaitOpen(p))
	})
	d.run(des.Never)
	d.wants(`
		4: impatient: false
		5: early: true
		5: in time: true
		6: while open: true
		8: too late: false
		9: open: false
		9: last: true
	`)
}

func TestBell(t *testing.T) {
	d := newDiary(t)
	bell := d.s.Bell("change")
	bell.Ring() // nobody hears it
	for _, name := range []string{"a", "b"} {
		d.s.Go(name, func(p *des.Process) {
			for range 2 {
				bell.WaitFor(p)
				d.note("%s hears it", name)
			}
			d.note("%s: %v", name, bell.WaitWithin(p, sec))
		})
	}
	d.at(sec, bell.Ring)
	d.at(2*sec, bell.Ring)
	d.run(des.Never)
	d.wants(`
		1: a hears it
		1: b hears it
		2: a hears it
		2: b hears it
		3: a: false
		3: b: false
	`)
}

// The punching window: a piece is to be punched once it is dry enough, and is lost when
// it gets too dry first.
func TestWaitAny(t *testing.T) {
	d := newDiary(t)
	dry, foreman := d.s.Door("dry enough"), d.s.Bell("foreman")
	rack := des.NewRack[string](d.s, "rack", 5)
	crew := d.s.Places("crew", 1)
	crew.TryTake(1)
	d.s.Go("puncher", func(p *des.Process) {
		for range 6 {
			got := des.WaitAny(p, 10*sec, dry, foreman, rack, crew)
			d.note("%d", got)
			switch got {
			case 0:
				dry.Shut()
			case 2:
				rack.TryGet()
			case 3:
				d.note("takes the place: %v", crew.TryTake(1))
			}
		}
	})
	d.at(sec, foreman.Ring)
	d.at(2*sec, func() { rack.TryPut("bowl") })
	d.at(3*sec, dry.Open)
	d.at(4*sec, func() { crew.Give(1) })
	d.at(14*sec, foreman.Ring) // in the last instant
	d.run(des.Never)
	d.wants(`
		1: 1
		2: 2
		3: 0
		4: 3
		4: takes the place: true
		14: 1
		24: -1
	`)
	if n := crew.Waiting(); n != 0 {
		t.Errorf("%d wait for the crew, want none", n)
	}
}

// Whoever watches a place does not bar those who want it, and sees it only if nobody
// in line takes it.
func TestWatchersTakeNothing(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 1)
	d.user("a", crew, 1, 0, 0, 5*sec)
	d.s.Go("watcher", func(p *des.Process) {
		p.Pass(sec)
		d.note("watcher: %d", des.WaitAny(p, des.Never, crew))
	})
	d.user("b", crew, 1, 0, 2*sec, 5*sec)
	d.run(des.Never)
	d.wants(`
		0: a has 1
		5: b has 1
		10: watcher: 0
	`)
}

// A place that is kept for somebody in line is no place to take.
func TestWatchersRespectTheLine(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 2)
	d.user("one", crew, 1, 0, 0, 5*sec)
	gang := d.s.Go("gang", func(p *des.Process) { d.note("gang has 2: %v", p.Take(crew, 2, 0)) })
	d.s.Go("watcher", func(p *des.Process) {
		p.Pass(sec)
		got := des.WaitAny(p, des.Never, crew)
		d.note("watcher: %d, takes it: %v", got, crew.TryTake(1))
	})
	d.at(3*sec, func() { gang.Cut("sent home") })
	d.run(des.Never)
	d.wants(`
		0: one has 1
		3: watcher: 0, takes it: true
		3: gang has 2: false
	`)
}
