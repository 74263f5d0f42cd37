package des_test

import (
	"testing"

	"potbank/internal/des"
)

func TestTimers(t *testing.T) {
	d := newDiary(t)
	d.s.After(3*sec, des.Finish, d.timer("c"))
	d.s.At(sec, des.Finish, d.timer("a"))
	b := d.s.At(2*sec, des.Finish, d.timer("b"))
	if !d.s.Cancel(b) {
		t.Error("Cancel of a pending event = false")
	}
	if d.s.Cancel(b) {
		t.Error("second Cancel of an event = true")
	}
	d.run(2 * sec)
	if now := d.s.Now(); now != 2*sec {
		t.Errorf("clock at %v after Run(2s)", now)
	}
	d.run(3 * sec)
	d.wants(`
		1: a
		3: c
	`)
	if n := d.s.Events(); n != 2 {
		t.Errorf("%d events handled, want 2", n)
	}
}

// A handle must not reach the event that has its slot now.
func TestStaleHandle(t *testing.T) {
	d := newDiary(t)
	first := d.s.At(sec, des.Finish, d.timer("first"))
	d.run(sec)
	second := d.s.At(2*sec, des.Finish, d.timer("second"))
	if first == second {
		t.Error("two events share a handle")
	}
	if d.s.Cancel(first) {
		t.Error("Cancel of an event that has happened = true")
	}
	if d.s.Cancel(des.Event{}) {
		t.Error("Cancel of no event = true")
	}
	d.run(2 * sec)
	d.wants(`
		1: first
		2: second
	`)
}

func TestNeverHappens(t *testing.T) {
	d := newDiary(t)
	for _, e := range []des.Event{
		d.s.At(des.Never, des.Finish, d.timer("never")),
		d.s.After(des.Never, des.Finish, d.timer("never")),
	} {
		if e != (des.Event{}) {
			t.Errorf("event at Never has handle %v, want none", e)
		}
	}
	d.run(des.Never)
	d.wants(``)
	d.run(des.Hour)
	d.s.After(des.Never-1, des.Finish, d.timer("beyond the end of time"))
	d.run(des.Never)
	if now := d.s.Now(); now != des.Hour {
		t.Errorf("clock at %v after Run(Never), want it at the last event", now)
	}
}

func TestTimerMisuse(t *testing.T) {
	d := newDiary(t)
	d.run(sec)
	mustPanic(t, "event at 0d 00:00:00, which is past at 0d 00:00:01", func() { d.s.At(0, des.Start, d.timer("")) })
	mustPanic(t, "past", func() { d.s.After(-1, des.Start, d.timer("")) })
	mustPanic(t, "without a timer", func() { d.s.At(sec, des.Start, nil) })
}
