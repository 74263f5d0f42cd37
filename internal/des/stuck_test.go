package des_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"potbank/internal/des"
)

// A stuck run says who waits for what, who holds it, and since when.
func TestStuck(t *testing.T) {
	s := des.New()
	defer s.Close()
	crew, kiln := s.Places("crew", 3), s.Places("kiln", 1)
	door, bell := s.Door("drying room"), s.Bell("foreman")
	rack := des.NewRack[int](s, "glazed ware", 1)
	load := des.NewLoad[int](s, "kiln car", 40, des.Never)
	kiln.TryTake(1) // by nobody in particular
	s.Go("firing", func(p *des.Process) {
		p.Take(crew, 2, 0)
		p.Pass(sec)
		p.Take(kiln, 1, 0)
	})
	s.Go("loading", func(p *des.Process) {
		p.Take(crew, 1, 0)
		p.Pass(2 * sec)
		p.TakeAll(des.Want{crew, 2}, des.Want{kiln, 1})
	})
	wait := func(name string, body func(p *des.Process)) { s.Go(name, body) }
	wait("dipper", func(p *des.Process) { rack.Put(p, 1); rack.Put(p, 2) })
	wait("sorter", func(p *des.Process) { rack.GetIf(p, func(x int) bool { return x > 9 }) })
	wait("packer", func(p *des.Process) { load.Take(p) })
	wait("puncher", func(p *des.Process) { des.WaitAny(p, des.Never, door, bell, crew) })
	wait("sleeper", func(p *des.Process) { p.PassUntil(des.Never) })
	wait("server", func(p *des.Process) { p.Standby(); door.WaitOpen(p) })

	err := s.Run(des.Hour)
	var stuck *des.StuckError
	if !errors.As(err, &stuck) {
		t.Fatalf("Run: %v, want a StuckError", err)
	}
	want := `stuck at 0d 00:00:02: nothing is left to happen, but
	firing waits for 1 of kiln (0 of 1 free) since 0d 00:00:01
	loading waits for 2 of crew (0 of 3 free) and 1 of kiln (0 of 1 free) since 0d 00:00:02, held by firing (2), loading
	dipper waits for room in rack glazed ware since 0d 00:00:00
	sorter waits for something in rack glazed ware since 0d 00:00:00
	packer waits for a load of kiln car since 0d 00:00:00
	puncher waits for door drying room or bell foreman or a free place of crew since 0d 00:00:00
	sleeper waits for an instant that never comes since 0d 00:00:00`
	if got := err.Error(); got != want {
		t.Errorf("error\n%s\nwant\n%s", got, want)
	}
	if stuck.At != 2*sec || s.Now() != 2*sec {
		t.Errorf("stuck at %v, clock at %v, want 2 s", stuck.At, s.Now())
	}
	if n := len(s.Waiters()); n != 8 { // and the one on standby
		t.Errorf("%d waiters, want 8", n)
	}
	// Help from outside gets it going again.
	s.At(3*sec, des.Start, des.TimerFunc(func(des.Time) { kiln.Give(1) }))
	if err := s.Run(des.Hour); !errors.As(err, &stuck) || stuck.At != 3*sec || len(stuck.Waiters) != 6 {
		t.Errorf("after help: %v, want 6 stuck at 3 s", err)
	}
}

// Processes that serve others may wait when all is done.
func TestStandbyIsNotStuck(t *testing.T) {
	d := newDiary(t)
	rack := des.NewRack[int](d.s, "rack", 9)
	d.s.Go("server", func(p *des.Process) {
		p.Standby()
		for {
			d.note("serves %d", rack.Get(p))
		}
	})
	d.at(sec, func() { rack.TryPut(1) })
	d.run(5 * sec)
	if now := d.s.Now(); now != 5*sec {
		t.Errorf("clock at %v, want 5 s", now)
	}
	d.wants(`1: serves 1`)
}

// Places are put down to those who took them, as well as can be known.
func TestHolders(t *testing.T) {
	s := des.New()
	defer s.Close()
	pl := s.Places("dryer", 9)
	holders := func() string {
		if len(s.Waiters()) == 0 {
			return "nobody waits"
		}
		return s.Waiters()[0].Holder
	}
	step := func(at des.Time, what, want string, do func()) {
		s.At(at, des.Start, des.TimerFunc(func(des.Time) { do() }))
		s.At(at, des.Close, des.TimerFunc(func(des.Time) {
			if got := holders(); got != want {
				t.Errorf("after %s: held by %q, want %q", what, got, want)
			}
		}))
	}
	body := func(p *des.Process) {
		p.Take(pl, 2, 0)
		p.Take(pl, 1, 0)
		p.PassUntil(5 * sec)
		pl.Give(2)
		p.PassUntil(8 * sec)
		pl.Give(1)
		p.Pass(des.Hour)
	}
	s.Go("waiter", func(p *des.Process) { p.PassUntil(1); p.Take(pl, 9, -1) })
	s.Go("a", body)
	s.Go("b", body)
	s.At(0, des.Start, des.TimerFunc(func(des.Time) { pl.TryTake(2) }))
	step(1*sec, "both took three and a timer two", "a (3), b (3)", func() {})
	step(2*sec, "a timer gave one back, its own", "a (3), b (3)", func() { pl.Give(1) })
	step(3*sec, "a timer gave two back, of which one its own", "a (2), b (3)", func() { pl.Give(2) })
	step(5*sec, "both gave two back themselves", "b", func() {})
	step(6*sec, "timers took all", "b", func() { pl.Resize(3); pl.TryTake(2) })
	if err := s.Run(7 * sec); err != nil {
		t.Fatal(err)
	}
	if pl.Busy() != 1 {
		t.Errorf("%d taken, want 1: TryTake passed by a process of lower rank that waits", pl.Busy())
	}
}

func TestPanicReachesCaller(t *testing.T) {
	s := des.New()
	defer s.Close()
	s.Go("bystander", func(p *des.Process) { p.Pass(des.Hour) })
	s.Go("kiln", func(p *des.Process) {
		p.Pass(sec)
		explode(io.ErrUnexpectedEOF)
	})
	err := s.Run(des.Hour)
	var panicked *des.PanicError
	if !errors.As(err, &panicked) {
		t.Fatalf("Run: %v, want a PanicError", err)
	}
	if panicked.Process != "kiln" || panicked.At != sec || panicked.Value != any(io.ErrUnexpectedEOF) {
		t.Errorf("got %+v", panicked)
	}
	if !strings.Contains(string(panicked.Stack), "explode") {
		t.Errorf("the stack does not show where it happened:\n%s", panicked.Stack)
	}
	if want := "process kiln panicked at 0d 00:00:01: unexpected EOF"; err.Error() != want {
		t.Errorf("error %q, want %q", err, want)
	}
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the error that was panicked with is not in the chain")
	}
	if again := s.Run(des.Week); again != err || s.Now() != sec {
		t.Errorf("second Run: %v at %v, want the same error at 1 s", again, s.Now())
	}
}

//go:noinline
func explode(value any) { panic(value) }

func TestTimerPanicReachesCaller(t *testing.T) {
	s := des.New()
	defer s.Close()
	s.At(sec, des.Start, des.TimerFunc(func(des.Time) { explode("cracked") }))
	err := s.Run(des.Hour)
	if want := "a timer panicked at 0d 00:00:01: cracked"; err == nil || err.Error() != want {
		t.Fatalf("Run: %v, want %q", err, want)
	}
	var panicked *des.PanicError
	if errors.As(err, &panicked); !strings.Contains(string(panicked.Stack), "explode") {
		t.Errorf("the stack does not show where it happened:\n%s", panicked.Stack)
	}
	if errors.Unwrap(err) != nil {
		t.Error("a value that is no error was unwrapped")
	}
}

// A process that lets no time pass must not hang the program.
func TestLivelock(t *testing.T) {
	s := des.New()
	defer s.Close()
	s.LimitInstant(1000)
	bell := s.Bell("bell")
	s.Go("busy 1000", func(p *des.Process) { // as many as are permitted
		for i := range 100 {
			for range 9 {
				p.Pass(0)
			}
			p.Pass(des.Time(i % 2)) // 1 event more, though it lets time pass every other time
		}
		p.Pass(5 * sec)
		for {
			p.PassAt(p.Now(), des.Start)
			bell.Ring()
		}
	})
	s.Go("called", func(p *des.Process) {
		for {
			bell.WaitFor(p)
		}
	})
	err := s.Run(des.Hour)
	var livelock *des.LivelockError
	if !errors.As(err, &livelock) {
		t.Fatalf("Run: %v, want a LivelockError", err)
	}
	want := "time stands still at 0d 00:00:05.050: 1000 events, the latest of " +
		"called, busy 1000, called, busy 1000, called, busy 1000, called, busy 1000"
	if err.Error() != want {
		t.Errorf("error\n%s\nwant\n%s", err, want)
	}
	if again := s.Run(des.Week); again != err {
		t.Errorf("second Run: %v, want the same error", again)
	}
}

func TestLivelockOfTimers(t *testing.T) {
	s := des.New()
	defer s.Close()
	s.LimitInstant(3)
	var again des.TimerFunc
	again = func(des.Time) { s.After(0, des.Start, again) }
	s.At(sec, des.Start, again)
	var livelock *des.LivelockError
	if err := s.Run(des.Hour); !errors.As(err, &livelock) {
		t.Fatalf("Run: %v, want a LivelockError", err)
	}
	if got := fmt.Sprint(livelock.Latest); got != "[des.TimerFunc des.TimerFunc des.TimerFunc]" || s.Events() != 4 {
		t.Errorf("latest %s, %d events; want three timers, and a fourth event refused", got, s.Events())
	}
}
