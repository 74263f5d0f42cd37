package des_test

import (
	"testing"

	"potbank/internal/des"
)

// user takes n places of pl at an instant, keeps them for a while, and notes both.
func (d *diary) user(name string, pl *des.Places, n, rank int, from, keep des.Time) {
	d.s.Go(name, func(p *des.Process) {
		p.PassUntil(from)
		p.Take(pl, n, rank)
		d.note("%s has %d", name, n)
		p.Pass(keep)
		pl.Give(n)
	})
}

func TestPlacesInOrderOfComing(t *testing.T) {
	d := newDiary(t)
	booth := d.s.Places("booth", 2)
	for i, name := range []string{"a", "b", "c", "d"} {
		d.user(name, booth, 1, 0, des.Time(i)*sec, 10*sec)
	}
	d.run(des.Never)
	d.wants(`
		0: a has 1
		1: b has 1
		10: c has 1
		11: d has 1
	`)
}

func TestPlacesByRank(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 1)
	d.user("first", crew, 1, 0, 0, 10*sec)
	d.user("later", crew, 1, 5, sec, 10*sec)
	d.user("normal", crew, 1, 0, 2*sec, 10*sec)
	d.user("urgent", crew, 1, -1, 3*sec, 10*sec)
	d.user("normal too", crew, 1, 0, 4*sec, 10*sec)
	d.run(des.Never)
	d.wants(`
		0: first has 1
		10: urgent has 1
		20: normal has 1
		30: normal too has 1
		40: later has 1
	`)
}

// A large want is not starved by small ones behind it, but gives way to a lower rank.
func TestPlacesKeepStrictOrder(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 3)
	d.user("two", crew, 2, 0, 0, 10*sec)
	d.user("three", crew, 3, 0, sec, 10*sec)
	d.user("one", crew, 1, 0, 2*sec, 10*sec)
	d.user("urgent", crew, 1, -1, 3*sec, 10*sec)
	d.at(4*sec, func() {
		d.note("try 1: %v; free %d, busy %d, waiting %d", crew.TryTake(1), crew.Free(), crew.Busy(), crew.Waiting())
	})
	d.run(des.Never)
	d.wants(`
		0: two has 2
		3: urgent has 1
		4: try 1: false; free 0, busy 3, waiting 2
		13: three has 3
		23: one has 1
	`)
}

// Between being given a place and going on, a process cannot lose it.
func TestNoJumpingBetweenGrantAndResume(t *testing.T) {
	d := newDiary(t)
	booth := d.s.Places("booth", 1)
	d.user("holder", booth, 1, 0, 0, 10*sec)
	d.user("waiter", booth, 1, 0, sec, 10*sec)
	d.s.At(10*sec, des.Start, des.TimerFunc(func(des.Time) { d.note("timer takes: %v", booth.TryTake(1)) }))
	d.s.At(20*sec, des.Start, des.TimerFunc(func(des.Time) { d.note("timer takes: %v", booth.TryTake(1)) }))
	d.run(des.Never)
	d.wants(`
		0: holder has 1
		10: timer takes: false
		10: waiter has 1
		20: timer takes: true
	`)
}

func TestTakeWithin(t *testing.T) {
	d := newDiary(t)
	booth := d.s.Places("booth", 1)
	d.user("holder", booth, 1, 0, 0, 10*sec)
	try := func(name string, limit des.Time) {
		d.s.Go(name, func(p *des.Process) {
			p.Pass(sec)
			if ok := p.TakeWithin(booth, 1, 0, limit); ok {
				d.note("%s has it", name)
				booth.Give(1)
			} else {
				d.note("%s gives up, cause %v", name, p.Cause())
			}
		})
	}
	try("impatient", 8*sec)
	try("just in time", 9*sec)
	try("patient", des.Never)
	try("not at all", 0)
	d.at(sec, func() { d.note("others start") })
	d.run(des.Never)
	d.wants(`
		0: holder has 1
		1: not at all gives up, cause <nil>
		1: others start
		9: impatient gives up, cause <nil>
		10: just in time has it
		10: patient has it
	`)
}

func TestResize(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 0)
	for _, name := range []string{"a", "b", "c"} {
		d.user(name, crew, 1, 0, 0, 10*sec)
	}
	d.at(sec, func() { crew.Resize(2) })
	d.at(2*sec, func() {
		crew.Resize(1)
		d.note("size %d, busy %d, free %d", crew.Size(), crew.Busy(), crew.Free())
	})
	d.at(30*sec, func() { d.note("busy %d of %s", crew.Busy(), crew.Name()) })
	d.run(des.Never)
	d.wants(`
		1: a has 1
		1: b has 1
		2: size 1, busy 2, free 0
		11: c has 1
		30: busy 0 of crew
	`)
}

func TestPlacesMisuse(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 2)
	if !crew.TryTake(1) {
		t.Fatal("no place in an empty crew")
	}
	mustPanic(t, "2 places of crew given back, but only 1 are taken", func() { crew.Give(2) })
	mustPanic(t, "0 places of crew wanted or given", func() { crew.Give(0) })
	mustPanic(t, "-1 places of crew wanted or given", func() { crew.TryTake(-1) })
	mustPanic(t, "crew resized to -1", func() { crew.Resize(-1) })
	mustPanic(t, "-3 places of nothing", func() { d.s.Places("nothing", -3) })
	d.s.Go("p", func(p *des.Process) {
		mustPanic(t, "0 places of crew wanted", func() { p.Take(crew, 0, 0) })
		mustPanic(t, "without wants", func() { p.TakeAll() })
		mustPanic(t, "wants crew twice", func() { p.TakeAll(des.Want{crew, 1}, des.Want{crew, 1}) })
	})
	d.run(sec)
}

func TestTakeAllHoldsAllOrNothing(t *testing.T) {
	d := newDiary(t)
	crew, kiln, crane := d.s.Places("crew", 2), d.s.Places("kiln", 1), d.s.Places("crane", 1)
	d.user("firing", kiln, 1, 0, 0, 10*sec)
	d.s.Go("loading", func(p *des.Process) {
		p.TakeAll(des.Want{crew, 2}, des.Want{kiln, 1}, des.Want{crane, 1})
		d.note("loading begins")
		p.Pass(5 * sec)
		crew.Give(2)
		kiln.Give(1)
		crane.Give(1)
	})
	d.at(sec, func() { d.note("free: crew %d, crane %d", crew.Free(), crane.Free()) })
	d.user("repair", crane, 1, 0, 2*sec, 10*sec) // has it, though loading waits for it
	d.user("sweeper", crew, 1, 0, 11*sec, 10*sec)
	d.at(22*sec, func() { d.note("free: crew %d, kiln %d, crane %d", crew.Free(), kiln.Free(), crane.Free()) })
	d.run(des.Never)
	d.wants(`
		0: firing has 1
		1: free: crew 2, crane 1
		2: repair has 1
		11: sweeper has 1
		21: loading begins
		22: free: crew 0, kiln 0, crane 0
	`)
}

func TestTakeAllAtOnce(t *testing.T) {
	d := newDiary(t)
	crew, kiln := d.s.Places("crew", 2), d.s.Places("kiln", 1)
	d.s.Go("loading", func(p *des.Process) {
		d.note("%v", p.TakeAll(des.Want{crew, 2}, des.Want{kiln, 1}))
		d.note("waiting for crew %d, kiln %d", crew.Waiting(), kiln.Waiting())
	})
	d.run(sec)
	d.wants(`
		0: true
		0: waiting for crew 0, kiln 0
	`)
}

// Two that want the same two things in opposite order block each other if they take
// one after the other. With TakeAll they cannot.
func TestTakeAllCannotDeadlock(t *testing.T) {
	d := newDiary(t)
	a, b := d.s.Places("a", 1), d.s.Places("b", 1)
	use := func(name string, first, second *des.Places) {
		d.s.Go(name, func(p *des.Process) {
			for range 2 {
				p.TakeAll(des.Want{first, 1}, des.Want{second, 1})
				d.note("%s", name)
				p.Pass(sec)
				first.Give(1)
				second.Give(1)
			}
		})
	}
	use("x", a, b)
	use("y", b, a)
	d.run(des.Never)
	d.wants(`
		0: x
		1: y
		2: x
		3: y
	`)
}

// In its turn TakeAll does not overtake a process that stands before it and wants more
// than is free.
func TestTakeAllKeepsItsTurn(t *testing.T) {
	d := newDiary(t)
	crew, kiln := d.s.Places("crew", 3), d.s.Places("kiln", 1)
	d.user("holder", crew, 1, 0, 0, 10*sec)
	d.user("gang", crew, 3, 0, sec, 10*sec)
	d.s.Go("loading", func(p *des.Process) {
		p.Pass(2 * sec)
		p.TakeAll(des.Want{crew, 1}, des.Want{kiln, 1})
		d.note("loading begins")
		kiln.Give(1)
		p.TakeAll(des.Want{kiln, 1})
		crew.Give(1)
	})
	d.run(des.Never)
	d.wants(`
		0: holder has 1
		10: gang has 3
		20: loading begins
	`)
}
