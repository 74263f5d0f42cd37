package des_test

import (
	"fmt"
	"testing"

	"potbank/internal/des"
)

// machine is one of two machines in step, with a buffer between them. It may fail in a
// cycle in which it has work, and may be repaired in any other. One process each.
type machine struct {
	d        dice
	hasWork  func() bool // at the start of a cycle: neither starved nor blocked
	work     func()      // moves the piece, at the end of the cycle
	produced int

	atRisk, failed, down, repaired float64 // cycles
}

// Probabilities, per cycle, of a machine at work failing and of one that is down being
// repaired.
const (
	failing   = 0.01
	repairing = 0.1
)

// body is the life of the machine, cycle by cycle. All look before any begins: cycles end
// at rank Finish and begin at rank Start.
func (m *machine) body(p *des.Process) {
	up := true
	for {
		working := m.hasWork()
		switch {
		case !up:
			m.down++
			if up = m.d.uniform() < repairing; up {
				m.repaired++
			}
		case working:
			m.atRisk++
			if up = m.d.uniform() >= failing; !up {
				m.failed++
			}
		}
		p.PassAt(p.Now()+unit, des.Finish)
		if working && up {
			m.work()
			m.produced++
		}
		p.PassAt(p.Now(), des.Start)
	}
}

// restart forgets what was counted.
func (m *machine) restart() { m.produced, m.atRisk, m.failed, m.down, m.repaired = 0, 0, 0, 0, 0 }

// controls gives by how much failures and repairs, per cycle, deviated from what was to
// be expected. Differences have a mean of 0 whatever ends the run; ratios would not.
func (m *machine) controls(run des.Time) []float64 {
	return []float64{
		(m.failed - failing*m.atRisk) / float64(run),
		(m.repaired - repairing*m.down) / float64(run),
	}
}

// A34: two unreliable machines with a buffer between them.
func TestA34(t *testing.T) {
	t.Parallel()
	const source = "Buzacott, Int. J. Prod. Res. 6 (1967); Gershwin, Manufacturing Systems Engineering (1994) ch. 3; computed"
	for _, tt := range []struct {
		storage           int
		efficiency, level float64
		cycles            des.Time
	}{
		{4, 0.8409361365, 2, 15_000},
		{5, 0.8440575322, 2.5, 15_000},
		{10, 0.8561749307, 5, 26_000},
		{20, 0.8705407225, 10, 38_000},
		{50, 0.8878446890, 25, 70_000},
	} {
		check(t, "A34", source, []quantity{
			{fmt.Sprintf("efficiency with storage %d", tt.storage), tt.efficiency, 0.002},
			{"mean level", tt.level, 0.02}, // which moves slowly
		}, func(seed uint64) sample {
			s := des.New()
			defer s.Close()
			buffer := des.NewRack[int](s, "buffer", tt.storage)
			stored := level{s: s}
			first := &machine{
				d:       newDice(seed, 1),
				hasWork: func() bool { return buffer.Room() > 0 },
				work:    func() { buffer.TryPut(0); stored.add(1) },
			}
			second := &machine{
				d:       newDice(seed, 2),
				hasWork: func() bool { return buffer.Len() > 0 },
				work:    func() { buffer.TryGet(); stored.add(-1) },
			}
			s.Go("first machine", first.body)
			s.Go("second machine", second.body)
			mustRun(s, 1000*unit)
			first.restart()
			second.restart()
			stored.restart()
			run := tt.cycles / shorter
			mustRun(s, run*unit)
			return sample{
				[]float64{float64(second.produced) / float64(run), stored.mean()},
				append(first.controls(run), second.controls(run)...),
			}
		})
	}
}

// unreliable gives the mean times to failure and to repair of a station.
type unreliable struct{ failure, repair des.Time }

var unreliableLine = []unreliable{{90 * unit, 10 * unit}, {95 * unit, 5 * unit}, {180 * unit, 20 * unit}}

// A37: a line without buffers, whose stations fail only while they work. One that fails
// stops the others, which keep what is left of their lives.
func TestA37(t *testing.T) {
	t.Parallel()
	const source = "Buzacott 1967/68; Buzacott & Shanthikumar, Stochastic Models of Manufacturing Systems (1993); from memory (high)"
	check(t, "A37", source, []quantity{{"availability", 0.7844036697, 0}}, func(seed uint64) sample {
		s := des.New()
		defer s.Close()
		running, moves := s.Door("line running"), level{s: s, value: 1}
		running.Open()
		var stations []*des.Process
		for i, u := range unreliableLine {
			d := newDice(seed, uint64(i))
			stations = append(stations, s.Go("station", func(p *des.Process) {
				for {
					for life := d.exp(u.failure); life > 0; {
						running.WaitOpen(p)
						life = p.Pass(life)
					}
					running.Shut()
					moves.add(-1)
					for _, other := range stations {
						if other != p {
							other.Cut("line stopped")
						}
					}
					p.Pass(d.exp(u.repair))
					moves.add(1)
					running.Open()
				}
			}))
		}
		return availability(s, &moves, 1)
	})
}

// The contrast to A37: failures strike idle stations too, so each station lives its own
// life and the line moves while all are up.
func TestA37Contrast(t *testing.T) {
	t.Parallel()
	want := 1.0
	for _, u := range unreliableLine {
		want *= float64(u.failure) / float64(u.failure+u.repair)
	}
	check(t, "A37", "product of the availabilities; computed", []quantity{{"availability", want, 0}}, func(seed uint64) sample {
		s := des.New()
		defer s.Close()
		up := level{s: s, value: len(unreliableLine)}
		for i, u := range unreliableLine {
			d := newDice(seed, uint64(i))
			s.Go("station", func(p *des.Process) {
				for {
					p.Pass(d.exp(u.failure))
					up.add(-1)
					p.Pass(d.exp(u.repair))
					up.add(1)
				}
			})
		}
		return availability(s, &up, len(unreliableLine))
	})
}

// availability runs a line and gives the share of time its level is at the value at
// which it moves.
func availability(s *des.Sim, up *level, moving int) sample {
	mustRun(s, 2_000*unit)
	up.restart()
	mustRun(s, 40_000/shorter*unit)
	return sample{values: []float64{up.share(moving)}}
}
