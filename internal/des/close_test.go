package des_test

import (
	"errors"
	"fmt"
	"runtime"
	"testing"
	"time"

	"potbank/internal/des"
)

// goroutines waits for the count to settle at want: a goroutine that has ended may be
// counted for a moment longer.
func goroutines(t *testing.T, want int) {
	t.Helper()
	for range 200 {
		if runtime.NumGoroutine() <= want {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Errorf("%d goroutines, want %d", runtime.NumGoroutine(), want)
}

func TestCloseUnwinds(t *testing.T) {
	before := runtime.NumGoroutine()
	s := des.New()
	crew, door, bell := s.Places("crew", 1), s.Door("door"), s.Bell("bell")
	rack := des.NewRack[int](s, "rack", 1)
	var unwound []string
	var started []*des.Process
	start := func(name string, wait func(p *des.Process)) {
		started = append(started, s.Go(name, func(p *des.Process) {
			defer func() { unwound = append(unwound, name) }()
			wait(p)
			t.Errorf("%s went on", name)
		}))
	}
	start("passes", func(p *des.Process) { p.Pass(des.Hour) })
	start("holds", func(p *des.Process) {
		p.Take(crew, 1, 0)
		defer crew.Give(1)
		p.Pass(des.Hour)
	})
	start("gave already", func(p *des.Process) { // what is not held cannot be given; now it is no matter
		defer crew.Give(1)
		p.Pass(des.Hour)
	})
	start("waits for places", func(p *des.Process) { p.Take(crew, 1, 0) })
	start("waits for a door", func(p *des.Process) { door.WaitOpen(p) })
	start("waits for a bell, within limits", func(p *des.Process) { bell.WaitWithin(p, des.Hour) })
	start("waits for any", func(p *des.Process) { des.WaitAny(p, des.Hour, door, bell, rack) })
	start("waits to get", func(p *des.Process) { rack.Get(p) })
	start("wakes others as it goes", func(p *des.Process) {
		defer door.Open()
		defer bell.Ring()
		defer rack.TryPut(1)
		defer s.Go("too late", func(*des.Process) { t.Error("a process started while closing") })
		defer func() {
			if e := s.At(des.Hour, des.Start, des.TimerFunc(nil)); e != (des.Event{}) {
				t.Errorf("At while closing scheduled %v", e)
			}
		}()
		p.Pass(des.Hour)
	})
	start("waits as it goes", func(p *des.Process) {
		defer func() {
			p.Pass(des.Hour)
			t.Error("a wait while closing came back")
		}()
		p.Pass(des.Hour)
	})
	start("will not hear of it", func(p *des.Process) {
		for range 3 { // each wait panics anew
			func() {
				defer func() { recover() }()
				rack.Get(p)
				t.Error("a wait while closing came back")
			}()
		}
		p.Take(crew, 1, 0)
	})
	s.Go("ends by itself", func(*des.Process) {})
	if err := s.Run(sec); err != nil {
		t.Fatal(err)
	}
	start("never started", nil)
	s.Close()
	s.Close()
	want := "[passes holds gave already waits for places waits for a door waits for a bell, within limits " +
		"waits for any waits to get wakes others as it goes waits as it goes will not hear of it]"
	if got := fmt.Sprint(unwound); got != want {
		t.Errorf("unwound\n%s\nwant\n%s", got, want)
	}
	for _, p := range started {
		if !p.Ended() {
			t.Errorf("%s has not ended", p.Name())
		}
	}
	goroutines(t, before)
}

func TestCloseLeavesNoGoroutines(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, run := range []des.Time{-1, 0, sec, des.Hour} { // not run, started, half way, ended
		s := des.New()
		for range 100 {
			s.Go("p", func(p *des.Process) {
				for range 5 {
					p.Pass(sec)
				}
			})
		}
		if run >= 0 {
			if err := s.Run(run); err != nil {
				t.Fatal(err)
			}
		}
		s.Close()
		goroutines(t, before)
	}
}

func TestCloseAfterPanic(t *testing.T) {
	before := runtime.NumGoroutine()
	s := des.New()
	s.Go("bystander", func(p *des.Process) { p.Pass(des.Hour) })
	s.Go("kiln", func(p *des.Process) { panic("cracked") })
	if err := s.Run(sec); err == nil {
		t.Error("Run after a panic: no error")
	}
	s.Close()
	goroutines(t, before)
}

// A deferred call that panics on its own account must not be swallowed, nor keep the
// others from being unwound.
func TestCloseReportsPanics(t *testing.T) {
	before := runtime.NumGoroutine()
	s := des.New()
	unwound := false
	s.Go("bad", func(p *des.Process) {
		defer panic("in a deferred call")
		p.Pass(des.Hour)
	})
	s.Go("good", func(p *des.Process) {
		defer func() { unwound = true }()
		p.Pass(des.Hour)
	})
	if err := s.Run(sec); err != nil {
		t.Fatal(err)
	}
	func() {
		defer func() {
			err, _ := recover().(error)
			var panicked *des.PanicError
			if !errors.As(err, &panicked) || panicked.Process != "bad" {
				t.Errorf("Close panicked with %v, want a PanicError of process bad", err)
			}
		}()
		s.Close()
	}()
	if !unwound {
		t.Error("the other process was not unwound")
	}
	s.Close()
	goroutines(t, before)
}

// A test may end with t.FailNow in a process, which is runtime.Goexit: it ends the
// goroutine of Run, whose deferred Close must still work.
func TestGoexitInProcess(t *testing.T) {
	before := runtime.NumGoroutine()
	closed := make(chan bool)
	go func() {
		defer close(closed)
		s := des.New()
		defer s.Close()
		s.Go("bystander", func(p *des.Process) { p.Pass(des.Hour) })
		s.Go("test", func(p *des.Process) {
			p.Pass(sec)
			runtime.Goexit()
		})
		s.Run(des.Hour)
		t.Error("Run came back")
	}()
	<-closed
	goroutines(t, before)
}
