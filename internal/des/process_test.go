package des_test

import (
	"fmt"
	"testing"

	"potbank/internal/des"
)

func TestProcesses(t *testing.T) {
	d := newDiary(t)
	for _, name := range []string{"bench", "booth"} {
		d.s.Go(name, func(p *des.Process) {
			d.note("%s starts", p.Name())
			if left := p.Pass(2 * sec); left != 0 {
				t.Errorf("Pass = %v, want 0", left)
			}
			d.note("%s half way", p.Name())
			p.PassUntil(5 * sec)
			p.PassUntil(sec) // past: no time passes
			d.note("%s ends", p.Name())
		})
	}
	d.run(2 * sec)
	d.note("a pause of the run")
	d.run(des.Never)
	d.wants(`
		0: bench starts
		0: booth starts
		2: bench half way
		2: booth half way
		2: a pause of the run
		5: bench ends
		5: booth ends
	`)
}

func TestProcessStartsProcess(t *testing.T) {
	d := newDiary(t)
	var child *des.Process
	parent := d.s.Go("parent", func(p *des.Process) {
		p.Pass(sec)
		child = p.Sim().Go("child", func(p *des.Process) {
			d.note("child starts")
			p.Pass(sec)
			d.note("child ends")
		})
		d.note("parent goes on first")
		p.Pass(10 * sec)
	})
	d.run(5 * sec)
	d.wants(`
		1: parent goes on first
		1: child starts
		2: child ends
	`)
	if !child.Ended() || parent.Ended() {
		t.Errorf("Ended: child %v, parent %v; want true, false", child.Ended(), parent.Ended())
	}
}

// Coroutines are used again; nothing of the process before may show.
func TestManyShortProcesses(t *testing.T) {
	s := des.New()
	defer s.Close()
	sum := 0
	s.Go("source", func(p *des.Process) {
		for i := range 1000 {
			s.Go(fmt.Sprint("piece ", i), func(p *des.Process) {
				p.Pass(3 * sec)
				sum += i
			})
			p.Pass(sec)
		}
	})
	if err := s.Run(des.Never); err != nil {
		t.Fatal(err)
	}
	if want := 999 * 1000 / 2; sum != want {
		t.Errorf("sum of the pieces = %d, want %d", sum, want)
	}
	// A source, then 3 events a piece: start, end of its Pass, the source's Pass.
	if want := uint64(1 + 3*1000); s.Events() != want {
		t.Errorf("%d events, want %d", s.Events(), want)
	}
}

func TestStop(t *testing.T) {
	d := newDiary(t)
	d.s.Go("order", func(p *des.Process) {
		p.Pass(2 * sec)
		d.note("filled")
		p.Sim().Stop()
		p.Pass(sec)
		d.note("gone on")
	})
	d.at(2*sec, func() { d.note("same instant") })
	d.run(10 * sec)
	if now := d.s.Now(); now != 2*sec {
		t.Errorf("clock at %v after Stop at 2s", now)
	}
	d.wants(`2: filled`)
	d.run(10 * sec)
	d.wants(`
		2: filled
		2: same instant
		3: gone on
	`)
}

// Tracing must see every event and change none.
func TestTrace(t *testing.T) {
	model := func(trace bool) (*diary, []string) {
		d := newDiary(t)
		var seen []string
		if trace {
			d.s.Trace(func(now des.Time, r des.Rank, who string) {
				seen = append(seen, fmt.Sprintf("%d %v %s", now/sec, r, who))
			})
		}
		door := d.s.Door("kiln")
		d.s.Go("loner", func(p *des.Process) {
			p.Pass(sec)
			p.Pass(sec)
			p.Pass(sec) // alone; untraced, it moves the clock itself
			d.note("open: %v", door.WaitOpenWithin(p, sec))
		})
		d.s.At(sec, des.Calendar, d.timer("shift"))
		d.run(10 * sec)
		return d, seen
	}
	plain, _ := model(false)
	traced, seen := model(true)
	if fmt.Sprint(plain.lines) != fmt.Sprint(traced.lines) || plain.s.Events() != traced.s.Events() {
		t.Errorf("traced run %q, %d events; plain run %q, %d events",
			traced.lines, traced.s.Events(), plain.lines, plain.s.Events())
	}
	want := "[0 start loner 1 finish loner 1 calendar des.TimerFunc 2 finish loner 3 finish loner 4 lapse loner]"
	if got := fmt.Sprint(seen); got != want {
		t.Errorf("trace\n got %s\nwant %s", got, want)
	}
}

func TestProcessMisuse(t *testing.T) {
	d := newDiary(t)
	other := d.s.Go("other", func(p *des.Process) { p.Pass(des.Hour) })
	open := d.s.Door("open")
	open.Open()
	d.s.Go("meddler", func(p *des.Process) {
		mustPanic(t, "negative time", func() { p.Pass(-1) })
		mustPanic(t, "wait of process other called from outside its body", func() { other.Pass(sec) })
		mustPanic(t, "wait of process other called from outside its body", func() { des.WaitAny(other, sec, open) })
		mustPanic(t, "Run called from within the run", func() { p.Sim().Run(des.Hour) })
		mustPanic(t, "Close called from within the run", func() { p.Sim().Close() })
	})
	d.at(sec, func() {
		mustPanic(t, "called from outside its body", func() { other.Pass(sec) })
		mustPanic(t, "Run called from within the run", func() { d.s.Run(des.Hour) })
		mustPanic(t, "Close called from within the run", func() { d.s.Close() })
	})
	d.run(2 * sec)
	mustPanic(t, "until 0d 00:00:01, which is past", func() { d.s.Run(sec) })
	d.s.Close()
	mustPanic(t, "after Close", func() { d.s.Run(des.Hour) })
}
