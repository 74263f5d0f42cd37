package des_test

import (
	"math"
	"testing"

	"potbank/internal/des"
)

// B13: a tunnel kiln is a pipeline. Every push sends one car in and one out.
func TestB13(t *testing.T) {
	// Source: Little's law; computed.
	const cars, pieces, push = 60, 24, 20 * des.Minute
	s := des.New()
	defer s.Close()
	kiln := des.NewRack[des.Time](s, "kiln", cars)
	inside := level{s: s}
	var out int
	var transit des.Time
	s.Go("pusher", func(p *des.Process) {
		for {
			if kiln.Room() == 0 {
				entered, _ := kiln.TryGet()
				transit = p.Now() - entered
				out++
				inside.add(-pieces)
			}
			kiln.Put(p, p.Now())
			inside.add(pieces)
			p.Pass(push)
		}
	})
	mustRun(s, 2*des.Day)
	out = 0
	inside.restart()
	mustRun(s, des.Week)
	if transit != 20*des.Hour {
		t.Errorf("B13: transit %v, want 20 h", transit)
	}
	hours := float64(des.Week / des.Hour)
	exactly(t, "B13", "cars per hour", float64(out)/hours, 3)
	exactly(t, "B13", "pieces per hour", float64(out*pieces)/hours, 72)
	exactly(t, "B13", "pieces inside", inside.mean(), 1440)
}

// B14: 10,000 pieces stand ready for two intermittent kilns.
func TestB14(t *testing.T) {
	// Source: ceiling arithmetic; computed.
	const size, firing = 240, 24 * des.Hour
	s := des.New()
	defer s.Close()
	ware := des.NewLoad[int](s, "ware", size, des.Hour)
	for i := range 10_000 {
		ware.Add(i)
	}
	var loads []int
	var end des.Time
	for range 2 {
		s.Go("kiln", func(p *des.Process) {
			p.Standby()
			for {
				loads = append(loads, len(ware.Take(p)))
				p.Pass(firing)
				end = p.Now()
			}
		})
	}
	mustRun(s, 30*des.Day)
	if got, want := len(loads), int(math.Ceil(10_000.0/size)); got != want || want != 42 {
		t.Errorf("B14: %d loads, want 42", got)
	}
	if got := loads[len(loads)-1]; got != 160 {
		t.Errorf("B14: last load of %d pieces, want 160", got)
	}
	if rounds := end / firing; end != 504*des.Hour || rounds != 21 {
		t.Errorf("B14: done after %v, %d rounds; want 504 h, 21 rounds", end, rounds)
	}
}
