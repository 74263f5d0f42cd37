package des_test

import (
	"testing"

	"potbank/internal/des"
)

func TestCutLeavesTime(t *testing.T) {
	d := newDiary(t)
	press := d.s.Go("press", func(p *des.Process) {
		for left := 10 * sec; left > 0; {
			if left = p.Pass(left); left > 0 {
				d.note("%v with %v left", p.Cause(), left)
				p.Pass(5 * sec) // repair
			}
		}
		d.note("done, cause %v", p.Cause())
	})
	d.at(4*sec, func() { press.Cut("breakdown") })
	d.at(12*sec, func() { press.Cut("power cut") })
	d.run(des.Never)
	d.wants(`
		4: breakdown with 0d 00:00:06 left
		12: power cut with 0d 00:00:03 left
		20: done, cause <nil>
	`)
}

// Whatever a process waits for, a cut ends the wait and leaves no trace in the queue.
func TestCutAnyWait(t *testing.T) {
	d := newDiary(t)
	s := d.s
	crew, kiln := s.Places("crew", 1), s.Places("kiln", 1)
	door, bell := s.Door("door"), s.Bell("bell")
	full, empty := des.NewRack[int](s, "full", 1), des.NewRack[int](s, "empty", 1)
	load := des.NewLoad[int](s, "load", 2, des.Never)
	full.TryPut(7)
	crew.TryTake(1)
	waits := []struct {
		name string
		wait func(p *des.Process) any
	}{
		{"Pass", func(p *des.Process) any { return p.Pass(des.Hour) }},
		{"PassUntil(Never)", func(p *des.Process) any { return p.PassUntil(des.Never) > 0 }},
		{"Work", func(p *des.Process) any { return p.Work(des.Hour, des.Always(des.Day), des.PauseIt) }},
		{"Take", func(p *des.Process) any { return p.Take(crew, 1, 0) }},
		{"TakeAll", func(p *des.Process) any { return p.TakeAll(des.Want{kiln, 1}, des.Want{crew, 1}) }},
		{"Put", func(p *des.Process) any { return full.Put(p, 8) }},
		{"Get", func(p *des.Process) any { return empty.Get(p) }},
		{"GetIf", func(p *des.Process) any { return full.GetIf(p, func(x int) bool { return x > 7 }) }},
		{"WaitOpen", func(p *des.Process) any { return door.WaitOpen(p) }},
		{"WaitFor", func(p *des.Process) any { return bell.WaitFor(p) }},
		{"Load.Take", func(p *des.Process) any { return len(load.Take(p)) }},
		{"WaitAny", func(p *des.Process) any { return des.WaitAny(p, des.Hour, door, bell, empty, crew, load) }},
	}
	p := s.Go("p", func(p *des.Process) {
		for _, w := range waits {
			d.note("%s: %v, cause %v", w.name, w.wait(p), p.Cause())
		}
	})
	for i := range waits {
		d.at(des.Time(i+1)*sec, func() { p.Cut(i) })
	}
	d.run(des.Hour)
	d.wants(`
		1: Pass: 0d 00:59:59, cause 0
		2: PassUntil(Never): true, cause 1
		3: Work: 0d 00:59:59, cause 2
		4: Take: false, cause 3
		5: TakeAll: false, cause 4
		6: Put: false, cause 5
		7: Get: 0, cause 6
		8: GetIf: 0, cause 7
		9: WaitOpen: false, cause 8
		10: WaitFor: false, cause 9
		11: Load.Take: 0, cause 10
		12: WaitAny: -2, cause 11
	`)
	// Were p still in some queue, it would be handed things now.
	crew.Give(1)
	door.Open()
	bell.Ring()
	load.Add(1)
	load.Add(2)
	if x, _ := full.TryGet(); x != 7 || full.Len() != 0 {
		t.Errorf("rack held %d and %d more, want 7 and none: the put that was cut went in", x, full.Len())
	}
	if empty.TryPut(1); empty.Len() != 1 {
		t.Error("what was put went to a process that no longer waits")
	}
	if crew.Free() != 1 || kiln.Free() != 1 || load.Len() != 2 {
		t.Errorf("free: crew %d, kiln %d, want 1, 1; load %d, want 2", crew.Free(), kiln.Free(), load.Len())
	}
}

// A cut that meets a process between waits cuts the next one.
func TestCutIsNotLost(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 1)
	crew.TryTake(1)
	early := d.s.Go("early", func(p *des.Process) {
		d.note("early: %v left, %v", p.Pass(sec), p.Cause())
	})
	early.Cut("before it starts")

	p := d.s.Go("p", func(p *des.Process) {
		d.note("first pass: %v left, %v", p.Pass(2*sec), p.Cause())
		d.note("second pass: %v left, %v", p.Pass(3*sec), p.Cause())
		d.note("took crew: %v, %v", p.Take(crew, 1, 0), p.Cause())
		d.note("nothing passed: %v, %v", p.Pass(0), p.Cause())
		d.note("third pass: %v left, %v", p.Pass(3*sec), p.Cause())
		d.note("fourth pass: %v left, %v", p.Pass(3*sec), p.Cause())
		d.note("fifth pass: %v left, %v", p.Pass(3*sec), p.Cause())
	})
	// The pass ends at 2 s anyway; the cut is for the next wait.
	d.s.At(sec, des.Start, des.TimerFunc(func(des.Time) {
		d.s.At(2*sec, des.Finish, des.TimerFunc(func(des.Time) { d.note("not yet cut") }))
	}))
	d.s.At(2*sec, des.Finish, des.TimerFunc(func(des.Time) { p.Cut("at the end of a pass") }))
	// At 4 s p is given the crew and cut, twice, before it goes on.
	d.at(4*sec, func() {
		crew.Give(1)
		p.Cut("once")
		p.Cut("twice")
	})
	d.run(des.Never)
	d.wants(`
		0: early: 0d 00:00:01 left, before it starts
		2: first pass: 0d 00:00:00 left, <nil>
		2: second pass: 0d 00:00:03 left, at the end of a pass
		2: not yet cut
		4: took crew: true, <nil>
		4: nothing passed: 0d 00:00:00, <nil>
		4: third pass: 0d 00:00:03 left, once
		4: fourth pass: 0d 00:00:03 left, twice
		7: fifth pass: 0d 00:00:00 left, <nil>
	`)
}

func TestCutOfNothing(t *testing.T) {
	d := newDiary(t)
	p := d.s.Go("p", func(*des.Process) {})
	d.run(sec)
	p.Cut("too late") // no effect
	mustPanic(t, "without a cause", func() { p.Cut(nil) })
	d.run(2 * sec)
	if p.Cause() != nil {
		t.Errorf("cause %v of a process that had ended", p.Cause())
	}
}

// If the first in line gives up, those behind it may have what it was too big for.
func TestGivingUpServesThoseBehind(t *testing.T) {
	d := newDiary(t)
	crew := d.s.Places("crew", 2)
	crew.TryTake(1)
	gang := d.s.Go("gang", func(p *des.Process) { d.note("gang: %v", p.Take(crew, 2, 0)) })
	d.s.Go("lone", func(p *des.Process) { d.note("lone: %v", p.Take(crew, 1, 0)) })
	d.at(sec, func() { gang.Cut("sent home") })
	d.run(2 * sec)
	d.s.Go("gang 2", func(p *des.Process) { d.note("gang 2: %v", p.TakeWithin(crew, 1, 0, 3*sec)) })
	d.s.Go("gang 3", func(p *des.Process) { d.note("gang 3: %v", p.TakeWithin(crew, 2, 0, 5*sec)) })
	d.s.Go("lone 2", func(p *des.Process) { d.note("lone 2: %v", p.Take(crew, 1, 0)) })
	d.at(6*sec, func() { crew.Give(1) })
	d.run(10 * sec)
	d.wants(`
		1: lone: true
		1: gang: false
		5: gang 2: false
		7: gang 3: false
		7: lone 2: true
	`)
}
