//go:build !race

package des_test

import (
	"math"
	"testing"

	"potbank/internal/des"
)

// again is a timer that schedules itself.
type again struct{ s *des.Sim }

func (a *again) Fire(des.Time) { a.s.After(sec, des.Finish, a) }

// In steady running nothing is allocated: neither by timers nor by any kind of wait.
func TestNoAllocations(t *testing.T) {
	for name, model := range map[string]func(s *des.Sim){
		"timer":       func(s *des.Sim) { s.After(sec, des.Finish, &again{s}) },
		"pass, alone": func(s *des.Sim) { s.Go("p", func(p *des.Process) { passForEver(p) }) },
		"pass": func(s *des.Sim) {
			for range 10 {
				s.Go("p", func(p *des.Process) { passForEver(p) })
			}
		},
		"work": func(s *des.Sim) {
			h := des.Always(des.Never)
			for range 2 {
				s.Go("p", func(p *des.Process) {
					for {
						p.Work(sec, h, des.PauseIt)
					}
				})
			}
		},
		"cut": func(s *des.Sim) {
			p := s.Go("p", func(p *des.Process) { passForEver(p) })
			s.Go("q", func(q *des.Process) {
				var cause any = "fault"
				for {
					q.Pass(sec / 2)
					p.Cut(cause)
				}
			})
		},
		"places":      placesModel,
		"all places":  takeAllModel,
		"rack":        rackModel,
		"load":        loadModel,
		"any":         anyModel,
		"door, limit": doorModel,
	} {
		s := des.New()
		model(s)
		run := func() {
			if err := s.Run(s.Now() + 100*sec); err != nil {
				t.Fatal(err)
			}
		}
		run() // fills pools
		before := s.Events()
		if n := testing.AllocsPerRun(10, run); n != 0 {
			t.Errorf("%s: %v allocations in 100 s", name, n)
		}
		if n := s.Events() - before; n < 1000 {
			t.Errorf("%s: only %d events", name, n)
		}
		s.Close()
	}
}

func passForEver(p *des.Process) {
	for {
		p.Pass(sec)
	}
}

func placesModel(s *des.Sim) {
	crew := s.Places("crew", 2)
	for i := range 5 {
		s.Go("p", func(p *des.Process) {
			for {
				if p.TakeWithin(crew, 1+i%2, i%3, 3*sec) {
					p.Pass(sec)
					crew.Give(1 + i%2)
				}
			}
		})
	}
}

func takeAllModel(s *des.Sim) {
	a, b := s.Places("a", 1), s.Places("b", 1)
	for range 3 {
		s.Go("p", func(p *des.Process) {
			for {
				p.TakeAll(des.Want{a, 1}, des.Want{b, 1})
				p.Pass(sec)
				a.Give(1)
				b.Give(1)
			}
		})
	}
}

func rackModel(s *des.Sim) {
	rack := des.NewRack[int](s, "rack", 2)
	even := func(x int) bool { return x%2 == 0 }
	for i := range 3 {
		s.Go("put", func(p *des.Process) {
			for j := i; ; j++ {
				rack.Put(p, j)
				p.Pass(sec)
			}
		})
	}
	s.Go("even", func(p *des.Process) {
		for {
			rack.GetIfWithin(p, even, sec)
			p.Pass(sec / 2)
		}
	})
	s.Go("any", func(p *des.Process) {
		for {
			rack.Get(p)
			p.Pass(sec)
		}
	})
}

func loadModel(s *des.Sim) {
	car := des.NewLoad[int](s, "car", 3, 2*sec)
	s.Go("source", func(p *des.Process) {
		for i := range math.MaxInt {
			car.Add(i)
			p.Pass(des.Time(i%4) * sec / 2)
		}
	})
	s.Go("kiln", func(p *des.Process) {
		buf := make([]int, 0, 3)
		for {
			buf = car.TakeInto(p, buf)
			p.Pass(sec)
		}
	})
}

func anyModel(s *des.Sim) {
	door, bell := s.Door("door"), s.Bell("bell")
	rack := des.NewRack[int](s, "rack", 2)
	s.Go("any", func(p *des.Process) {
		for {
			des.WaitAny(p, sec, door, bell, rack)
			rack.TryGet()
		}
	})
	s.Go("ringer", func(p *des.Process) {
		for {
			p.Pass(sec / 4)
			bell.Ring()
			p.Pass(sec / 4)
			rack.TryPut(1)
			p.Pass(2 * sec)
		}
	})
	s.Go("clock", func(p *des.Process) { // makes up the number of events
		for {
			p.Pass(sec / 10)
		}
	})
}

func doorModel(s *des.Sim) {
	door := s.Door("door")
	for range 3 {
		s.Go("p", func(p *des.Process) {
			for {
				door.WaitOpenWithin(p, sec)
				p.Pass(sec / 10)
			}
		})
	}
	s.Go("porter", func(p *des.Process) {
		for {
			door.Open()
			p.Pass(sec / 2)
			door.Shut()
			p.Pass(2 * sec)
		}
	})
}
