package proof

import (
	"fmt"
	"math"

	"potbank/internal/des"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// A circuit keeps a number of jobs going round a line of stations.
type circuit struct {
	machines       []int // at each station
	work           func(job, station int) des.Time
	warmUp, length float64 // in units
}

// run returns the mean time of a round and the rounds per unit of time. Each job
// is a process and each station so many places.
func (c *circuit) run(jobs int) (cycle, throughput float64) {
	s := des.New()
	defer s.Close()
	stations := make([]*des.Places, len(c.machines))
	for i, n := range c.machines {
		stations[i] = s.Places(fmt.Sprint("station ", i+1), n)
	}
	var total float64
	var rounds int
	for job := range jobs {
		s.Go(fmt.Sprint("job ", job), func(p *des.Process) {
			for {
				start := p.Now()
				for i, station := range stations {
					p.Take(station, 1, 0)
					p.Pass(c.work(job, i))
					station.Give(1)
				}
				total += float64(p.Now() - start)
				rounds++
			}
		})
	}
	pass(s, des.Time(c.warmUp*float64(unit)))
	total, rounds = 0, 0
	pass(s, des.Time(c.length*float64(unit)))
	return units(total) / float64(rounds), float64(rounds) / c.length
}

// calm is a circuit in which each station takes a time of its own, in units,
// run for a span after another such span.
func calm(machines []int, length float64, times ...float64) *circuit {
	return &circuit{machines, steady(times...), length, length}
}

// pennyFab is a line of four single machines.
var pennyFab = []int{1, 1, 1, 1}

// steady is work that always takes the same time, in units, by station.
func steady(times ...float64) func(int, int) des.Time {
	return func(_, station int) des.Time { return des.Time(times[station] * float64(unit)) }
}

// practicalWorst is throughput and cycle time of a closed line with exponential
// work, by the number of jobs.
var practicalWorst = []struct {
	jobs              int
	throughput, cycle string
}{
	{1, ".125", "8"}, {2, ".2", "10"}, {3, ".25", "12"}, {4, ".285714286", "14"},
	{8, ".363636364", "22"}, {10, ".384615385", "26"}, {20, ".434782609", "46"},
}

// closedLines: the closed line with exponential work is the practical worst case
// of Hopp and Spearman: throughput w / (W0 + w - 1) x rb and cycle time T0 + (w -
// 1) / rb for w jobs. The unit is an hour.
func closedLines(t *trial) {
	two := exponential(2)
	for _, c := range practicalWorst {
		t.chance(func(s random.Source) sample {
			off := make([]float64, len(pennyFab))
			d := newStream(s, "work")
			line := circuit{machines: pennyFab, warmUp: 300, length: 3_500, work: func(_, station int) des.Time {
				span := d.span(two)
				off[station] += float64(span) - two.Mean()
				return span
			}}
			cycle, throughput := line.run(c.jobs)
			return sample{[]float64{throughput, cycle}, off}
		}, wanted{name: fmt.Sprintf("throughput with %d", c.jobs), want: c.throughput}, wanted{name: "cycle time", want: c.cycle})
	}
}

// tightLines: a line without room between its stations. A piece stays on its
// machine until the next is free, so it is a process that takes the next place
// before it gives its own: the order of these two lines is blocking after service.
func tightLines(t *trial) {
	for m, want := range []string{2: "2/3", 3: "22/39", 4: "0.5147754893", 5: "0.4857981216", 6: "0.4667132630"} {
		if m < 2 {
			continue
		}
		t.chance(func(s random.Source) sample {
			sim := des.New()
			defer sim.Close()
			stations := make([]*des.Places, m)
			for i := range stations {
				stations[i] = sim.Places("station", 1)
			}
			d, one, made, off := newStream(s, "work"), exponential(1), 0, 0.0
			for range m + 1 { // one for each station and one at the entrance
				sim.Go("piece after piece", func(p *des.Process) {
					for {
						for i, station := range stations {
							p.Take(station, 1, 0)
							if i > 0 {
								stations[i-1].Give(1)
							}
							span := d.span(one)
							off += float64(span) - one.Mean()
							p.Pass(span)
						}
						made++
						stations[m-1].Give(1)
					}
				})
			}
			return throughput(sim, &made, &off)
		}, wanted{name: fmt.Sprintf("throughput of %d stations", m), want: want})
	}
}

// lineLength is how long lines are watched, in units.
const lineLength = 2_000

// throughput runs a line and returns what it makes per unit of time.
func throughput(sim *des.Sim, made *int, off *float64) sample {
	pass(sim, 300*unit)
	*made, *off = 0, 0
	pass(sim, lineLength*unit)
	return sample{[]float64{float64(*made) / lineLength}, []float64{*off}}
}

// lineWithRacks: the same with racks between the stations; two stations with room
// for b give (b + 2) / (b + 3). Here the stations are processes, and Put waits
// while the rack is full, which blocks the station with the piece in its hands.
func lineWithRacks(t *trial) {
	for _, c := range []struct {
		stations, room int
		want           string
	}{{2, 1, "3/4"}, {2, 2, "4/5"}, {2, 3, "5/6"}, {2, 5, "7/8"}, {3, 1, "8529/12721"}, {3, 2, "0.7340166721"}, {4, 1, "0.6311526854"}} {
		t.chance(func(s random.Source) sample {
			sim := des.New()
			defer sim.Close()
			racks := make([]*des.Rack[int], c.stations)
			for i := range racks {
				racks[i] = des.NewRack[int](sim, "rack", c.room)
			}
			d, one, made, off := newStream(s, "work"), exponential(1), 0, 0.0
			for i := range c.stations {
				sim.Go("station", func(p *des.Process) {
					for piece := 0; ; piece++ {
						if i > 0 {
							piece = racks[i-1].Get(p)
						}
						span := d.span(one)
						off += float64(span) - one.Mean()
						p.Pass(span)
						if i < c.stations-1 {
							racks[i].Put(p, piece)
						} else {
							made++
						}
					}
				})
			}
			return throughput(sim, &made, &off)
		}, wanted{name: fmt.Sprintf("throughput of %d stations, racks of %d", c.stations, c.room), want: c.want})
	}
}

// flowLine: 100 jobs, all there at the start, over machines of 3, 5 and 4 hours:
// the first is done after 12 hours, each other 5 hours after the one before, with
// any room between. Then the same line kept at three jobs.
func flowLine(t *trial) {
	work := []des.Time{3 * unit, 5 * unit, 4 * unit}
	for _, room := range []int{1, 100} {
		s := des.New()
		racks := []*des.Rack[int]{des.NewRack[int](s, "jobs", 100), des.NewRack[int](s, "first", room), des.NewRack[int](s, "second", room), des.NewRack[int](s, "done", 100)}
		var done []des.Time
		for i, span := range work {
			s.Go("machine", func(p *des.Process) {
				p.Standby()
				for {
					job := racks[i].Get(p)
					p.Pass(span)
					if racks[i+1].Put(p, job); i == len(work)-1 {
						done = append(done, p.Now())
					}
				}
			})
		}
		for job := range 100 {
			racks[0].TryPut(job)
		}
		pass(s, 10_000*unit)
		s.Close()
		t.exact(fmt.Sprintf("makespan, h, racks of %d", room), units(float64(done[99])), "507", 0)
		t.exact("throughput, 1/h", 1/units(float64(done[99]-done[98])), "0.2", 0)
	}
	cycle, _ := calm([]int{1, 1, 1}, 1_500, 3, 5, 4).run(3)
	t.exact("time in line with 3 jobs, h", cycle, "15", 0)
}

// manyJobs: ten thousand jobs one after another. A sum of so many is all but
// normal, and known far better than a single one: its spread grows with the root
// of their number only.
func manyJobs(t *trial) {
	const jobs, runs = 10_000, 25
	l := law(random.Gamma(0.1*float64(unit), 0.08*float64(unit)))
	ends := t.pool("jobs", func(s random.Source) (ends []float64) {
		sim, d := des.New(), newStream(s, "job")
		defer sim.Close()
		sim.Go("machine", func(p *des.Process) {
			for range runs {
				begun := p.Now()
				for range jobs {
					p.Pass(d.span(l))
				}
				ends = append(ends, units(float64(p.Now()-begun)))
			}
		})
		pass(sim, des.Never-1)
		return ends
	})
	point, _ := stats.QuantileInterval(ends, 0.975, sureness)
	t.judge(wanted{name: "mean, h", want: "1000"}, stats.MeanInterval(ends, sureness))
	t.judge(wanted{name: "sd, h", want: "8.0", width: 0.1}, root(stats.VarianceInterval(ends, sureness)))
	t.judge(wanted{name: "upper 97.5 % point, h", want: "1015.68"}, point)
}

// root is the estimate of a standard deviation from that of a variance.
func root(e stats.Estimate) stats.Estimate {
	return stats.Estimate{Value: math.Sqrt(e.Value), Low: math.Sqrt(e.Low), High: math.Sqrt(e.High), SD: e.SD, N: e.N, Level: e.Level}
}
