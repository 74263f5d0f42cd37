package proof

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/random"
)

// cycler is one of two machines in step, with a buffer between them. It may fail
// in a cycle in which it has work, and may be repaired in any other.
type cycler struct {
	d               *stream
	failing, mended float64     // probabilities in a cycle
	hasWork         func() bool // at the start of a cycle: neither starved nor blocked
	work            func()      // moves the piece, at the end of the cycle
	stored          *level
	produced        int
	controls        [4]float64 // failures and repairs above what was to be expected, alone and by level
}

// note keeps by how much an outcome deviates.
func (m *cycler) note(k int, yes bool, p float64) {
	off := excessOf(yes, p)
	m.controls[k] += off
	m.controls[k+1] += off * float64(m.stored.value)
}

// body is the life of the machine, cycle by cycle. All look before any begins:
// cycles end at rank Finish and begin at rank Start.
func (m *cycler) body(p *des.Process) {
	up := true
	for {
		working := m.hasWork()
		switch {
		case !up:
			up = m.d.yes(m.mended)
			m.note(2, up, m.mended)
		case working:
			failed := m.d.yes(m.failing)
			m.note(0, failed, m.failing)
			up = !failed
		}
		p.PassAt(p.Now()+unit, des.Finish)
		if working && up {
			m.work()
			m.produced++
		}
		p.PassAt(p.Now(), des.Start)
	}
}

// excessOf is by how much the outcome of a trial is above its probability.
func excessOf(yes bool, p float64) float64 {
	if yes {
		return 1 - p
	}
	return -p
}

// twoMachines is a synchronous line of two unreliable machines.
type twoMachines struct {
	failing           float64 // of either
	mended            [2]float64
	storage           int
	efficiency, level string
	cycles            des.Time
}

// twoLikeMachines: both are repaired as fast. A buffer lets one machine work while
// the other is down; with any buffer the line stays below the 0.909 of a single
// machine.
func twoLikeMachines(t *trial) {
	for _, c := range []twoMachines{
		{storage: 4, efficiency: "0.8409361365", level: "2", cycles: 6_000},
		{storage: 5, efficiency: "0.8440575322", level: "2.5", cycles: 6_000},
		{storage: 10, efficiency: "0.8561749307", level: "5", cycles: 8_000},
		{storage: 20, efficiency: "0.8705407225", level: "10", cycles: 7_000},
		{storage: 50, efficiency: "0.8878446890", level: "25", cycles: 45_000},
	} {
		c.failing, c.mended = 0.01, [2]float64{0.1, 0.1}
		c.judge(t)
	}
}

// twoUnlikeMachines: the second takes twice as long to repair.
func twoUnlikeMachines(t *trial) {
	for _, c := range []twoMachines{
		{storage: 4, efficiency: "0.7760633286", level: "2.168872", cycles: 7_000},
		{storage: 10, efficiency: "0.7906258288", level: "5.681163", cycles: 9_000},
		{storage: 20, efficiency: "0.8055684708", level: "12.139288", cycles: 12_000},
	} {
		c.failing, c.mended = 0.01, [2]float64{0.1, 0.05}
		c.judge(t)
	}
}

// judge runs the line. Efficiency must be known to 0.2 %; the mean level moves
// more slowly.
func (c *twoMachines) judge(t *trial) {
	t.chance(func(s random.Source) sample {
		sim := des.New()
		defer sim.Close()
		buffer := des.NewRack[int](sim, "buffer", c.storage)
		stored := level{s: sim}
		first := &cycler{
			d: newStream(s, "first"), failing: c.failing, mended: c.mended[0], stored: &stored,
			hasWork: func() bool { return buffer.Room() > 0 },
			work:    func() { buffer.TryPut(0); stored.add(1) },
		}
		second := &cycler{
			d: newStream(s, "second"), failing: c.failing, mended: c.mended[1], stored: &stored,
			hasWork: func() bool { return buffer.Len() > 0 },
			work:    func() { buffer.TryGet(); stored.add(-1) },
		}
		sim.Go("first machine", first.body)
		sim.Go("second machine", second.body)
		pass(sim, 1_000*unit)
		second.produced, first.controls, second.controls = 0, [4]float64{}, [4]float64{}
		stored.restart()
		pass(sim, c.cycles*unit)
		return sample{
			[]float64{float64(second.produced) / float64(c.cycles), stored.mean()},
			append(first.controls[:], second.controls[:]...),
		}
	}, wanted{name: fmt.Sprintf("efficiency, storage %d", c.storage), want: c.efficiency, width: 0.002},
		wanted{name: "mean level", want: c.level, width: 0.02})
}

// unreliable gives the mean times to failure and to repair of three stations.
var unreliable = []struct{ failure, repair float64 }{{90, 10}, {95, 5}, {180, 20}}

// lineThatStops: a line without buffers, whose stations fail only while they
// work; and, for contrast, one whose stations fail when idle too, so that each
// lives its own life.
func lineThatStops(t *trial) {
	t.chance(stoppingLine, wanted{name: "availability", want: "0.7844036697"})
	t.chance(func(s random.Source) sample {
		sim := des.New()
		defer sim.Close()
		down := level{s: sim}
		for i, u := range unreliable {
			d, life, repair := newStream(s, fmt.Sprint("station ", i)), exponential(u.failure), exponential(u.repair)
			sim.Go("station", func(p *des.Process) {
				for {
					p.Pass(d.span(life))
					down.add(1)
					p.Pass(d.span(repair))
					down.add(-1)
				}
			})
		}
		return availability(sim, &down)
	}, wanted{name: "failures when idle too", want: "0.7695"})
}

// stoppingLine: a station that fails cuts the work of the others, which keep what
// is left of their lives: Pass returns the time left when it is cut. The line is
// up for 1 / (1 + sum of repair / failure) of the time.
func stoppingLine(s random.Source) sample {
	sim := des.New()
	defer sim.Close()
	running, down := sim.Door("line running"), level{s: sim}
	running.Open()
	var stations []*des.Process
	for i, u := range unreliable {
		d, failure, repair := newStream(s, fmt.Sprint("station ", i)), exponential(u.failure), exponential(u.repair)
		stations = append(stations, sim.Go("station", func(p *des.Process) {
			for {
				for life := d.span(failure); life > 0; {
					running.WaitOpen(p)
					life = p.Pass(life)
				}
				running.Shut()
				down.add(1)
				for _, other := range stations {
					if other != p {
						other.Cut("line stopped")
					}
				}
				p.Pass(d.span(repair))
				down.add(-1)
				running.Open()
			}
		}))
	}
	return availability(sim, &down)
}

// availability runs a line and returns the share of time in which nothing is
// down.
func availability(sim *des.Sim, down *level) sample {
	pass(sim, 2_000*unit)
	down.restart()
	pass(sim, 40_000*unit)
	return sample{values: []float64{down.share(0)}}
}
