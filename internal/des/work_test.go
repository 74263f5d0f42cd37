package des_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/des"
)

// Shifts from 10 to 20, 30 to 40 and 50 to 70.
func shifts(t testing.TB) *des.Hours {
	return mustHours(t, 10, 20, 30, 40, 50, 70)
}

func TestPlan(t *testing.T) {
	tests := []struct {
		rule       des.InHand
		now, d     des.Time
		begin, end des.Time
	}{
		{des.FinishIt, 0, 5, 10, 15},
		{des.FinishIt, 19, 5, 19, 24}, // past the close
		{des.FinishIt, 20, 5, 30, 35},
		{des.FinishIt, 70, 5, des.Never, des.Never},
		{des.PauseIt, 0, 5, 10, 15},
		{des.PauseIt, 19, 5, 19, 34},
		{des.PauseIt, 15, 20, 15, 55}, // across two closes
		{des.PauseIt, 15, 5, 15, 20},  // ends with the shift
		{des.PauseIt, 65, 6, 65, des.Never},
		{des.PauseIt, 25, 0, 25, 25},
		{des.OnlyIfFits, 0, 10, 10, 20},
		{des.OnlyIfFits, 11, 10, 30, 40}, // not in what is left of this shift
		{des.OnlyIfFits, 0, 11, 50, 61},  // only the long one will do
		{des.OnlyIfFits, 51, 20, des.Never, des.Never},
		{des.HalfFits, 0, 20, 10, 30}, // half of it by 20
		{des.HalfFits, 11, 18, 11, 29},
		{des.HalfFits, 11, 19, 30, 49}, // 9 left, 9.5 needed
		{des.HalfFits, 51, 40, des.Never, des.Never},
	}
	h := shifts(t)
	for _, tt := range tests {
		if begin, end := h.Plan(tt.now, tt.d, tt.rule); begin != tt.begin || end != tt.end {
			t.Errorf("%v: work of %d at %d from %d to %d, want %d to %d", tt.rule, tt.d, tt.now, begin, end, tt.begin, tt.end)
		}
	}
	mustPanic(t, "negative work", func() { h.Plan(0, -1, des.FinishIt) })
	mustPanic(t, "no rule 9", func() { h.Plan(0, 1, 9) })
	if got := des.InHand(9).String(); got != "rule?" {
		t.Errorf("InHand(9).String() = %q", got)
	}
}

// Work must come back when Plan says, in one event.
func TestWorkKeepsToPlan(t *testing.T) {
	for _, rule := range []des.InHand{des.FinishIt, des.PauseIt, des.OnlyIfFits, des.HalfFits} {
		d := newDiary(t)
		h := shifts(t)
		d.s.Go("bench", func(p *des.Process) {
			for _, length := range []des.Time{8, 7, 9} {
				_, end := h.Plan(p.Now(), length, rule)
				if left := p.Work(length, h, rule); left != 0 || p.Now() != end {
					t.Errorf("%v: work of %d left %d at %d, want it done at %d", rule, length, left, p.Now(), end)
				}
			}
		})
		d.run(des.Never)
		if n := d.s.Events(); n != 4 {
			t.Errorf("%v: %d events, want 4", rule, n)
		}
	}
}

func TestWorkCut(t *testing.T) {
	tests := []struct {
		rule      des.InHand
		d, cut    des.Time // length of the work, ready at 0, and when it is cut
		left      des.Time
		situation string
	}{
		{des.FinishIt, 15, 5, 15, "before it begins"},
		{des.FinishIt, 15, 10, 15, "as it begins"},
		{des.FinishIt, 15, 12, 13, "within the shift"},
		{des.FinishIt, 15, 22, 3, "past the close"},
		{des.FinishIt, 15, 24, 1, "a tick before its end"},
		{des.PauseIt, 15, 5, 15, "before it begins"},
		{des.PauseIt, 15, 12, 13, "within the shift"},
		{des.PauseIt, 15, 25, 5, "while it pauses"},
		{des.PauseIt, 15, 33, 2, "in the second shift"},
		{des.PauseIt, 99, 60, 69, "though the hours are too short"},
		{des.OnlyIfFits, 15, 33, 15, "while it waits for an opening"},
		{des.OnlyIfFits, 15, 55, 10, "within the shift"},
		{des.HalfFits, 19, 22, 7, "past the close"},
	}
	for _, tt := range tests {
		d := newDiary(t)
		h := shifts(t)
		bench := d.s.Go("bench", func(p *des.Process) {
			if left := p.Work(tt.d, h, tt.rule); left != tt.left || p.Now() != tt.cut || p.Cause() != "fault" {
				t.Errorf("%v, cut %s: %d left at %d because of %v, want %d at %d because of a fault",
					tt.rule, tt.situation, left, p.Now(), p.Cause(), tt.left, tt.cut)
			}
		})
		d.at(tt.cut, func() { bench.Cut("fault") })
		d.run(des.Never)
		if !bench.Ended() {
			t.Errorf("%v, cut %s: the process still waits", tt.rule, tt.situation)
		}
	}
}

func TestWorkThatNeverFits(t *testing.T) {
	for rule, d := range map[des.InHand]des.Time{des.OnlyIfFits: 21, des.HalfFits: 41} {
		s := des.New()
		defer s.Close()
		h := shifts(t)
		s.Go("bench", func(p *des.Process) { p.Work(d, h, rule) })
		err := s.Run(des.Never)
		var never *des.NeverFitsError
		if !errors.As(err, &never) {
			t.Fatalf("%v: work of %d: error %v, want a NeverFitsError", rule, d, err)
		}
		if want := (des.NeverFitsError{Work: d, Longest: 20, Rule: rule}); *never != want {
			t.Errorf("error %+v, want %+v", *never, want)
		}
	}
}

// Work that is cut, repaired and resumed takes as much open time as work left in peace.
func TestWorkIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHours(t)
		d := des.Time(rapid.Int64Range(1, int64(max(1, h.OpenBetween(0, des.Never)))).Draw(t, "work"))
		cuts := rapid.SliceOfN(rapid.Int64Range(0, int64(h.AddWork(0, min(d, h.OpenBetween(0, des.Never))))), 0, 5).Draw(t, "cuts")
		if h.AddWork(0, d) == des.Never {
			return
		}
		s := des.New()
		defer s.Close()
		end := des.Time(-1)
		bench := s.Go("bench", func(p *des.Process) {
			for left := d; left > 0; {
				left = p.Work(left, h, des.PauseIt)
			}
			end = p.Now()
		})
		for _, at := range cuts {
			s.At(des.Time(at), des.Start, des.TimerFunc(func(des.Time) { bench.Cut("inspection") }))
		}
		if err := s.Run(des.Never); err != nil {
			t.Fatal(err)
		}
		if want := h.AddWork(0, d); end != want {
			t.Errorf("work of %d with cuts at %v ended at %d, want %d", d, cuts, end, want)
		}
	})
}
