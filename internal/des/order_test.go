package des_test

import (
	"testing"

	"potbank/internal/des"
)

// The order of events is a promise: answers of earlier runs rest on it. Do not change
// what this test expects.
func TestOrderIsFrozen(t *testing.T) {
	d := newDiary(t)
	s := d.s
	ranks := []des.Rank{des.Close, des.Lapse, des.Start, des.Calendar, des.Finish}
	for _, round := range []string{"first", "second"} {
		for _, r := range ranks {
			s.At(2*sec, r, d.timer(round+" "+r.String()))
		}
	}
	s.At(sec, des.Close, d.timer("earlier, though it closes"))
	s.At(2*sec, des.Start, des.TimerFunc(func(now des.Time) {
		d.note("schedules for this instant")
		for _, r := range ranks {
			s.At(now, r, d.timer("late "+r.String()))
		}
		s.Go("process", func(p *des.Process) {
			d.note("process starts")
			p.Pass(0)
			d.note("process after passing nothing")
			p.PassAt(now, des.Close)
			d.note("process closes")
		})
	}))
	s.At(2*sec, des.Start, d.timer("third start"))
	cancelled := s.At(2*sec, des.Start, d.timer("cancelled"))
	s.At(2*sec, des.Calendar, des.TimerFunc(func(des.Time) { s.Cancel(cancelled) }))
	s.Go("early bird", func(p *des.Process) {
		p.PassUntil(2 * sec)
		d.note("early bird finishes")
	})
	d.run(3 * sec)
	d.wants(`
		1: earlier, though it closes
		2: first finish
		2: second finish
		2: early bird finishes
		2: first calendar
		2: second calendar
		2: first start
		2: second start
		2: schedules for this instant
		2: late finish
		2: late calendar
		2: third start
		2: late start
		2: process starts
		2: process after passing nothing
		2: first lapse
		2: second lapse
		2: late lapse
		2: first close
		2: second close
		2: late close
		2: process closes
	`)
}

func TestRankNames(t *testing.T) {
	for r, want := range map[des.Rank]string{
		des.Finish: "finish", des.Calendar: "calendar", des.Start: "start",
		des.Lapse: "lapse", des.Close: "close", 9: "rank?",
	} {
		if got := r.String(); got != want {
			t.Errorf("Rank(%d).String() = %q, want %q", r, got, want)
		}
	}
}
