//go:build unix

package des

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"
)

// The benchmarks report ns/event and, where a bound is set on it, the ratio to the
// bare calendar (pop and push of the heap, steady number pending) measured in the same
// run. Absolute figures depend on the machine and on what else it does; ratios much
// less so.

// draws gives exponential spans by inversion.
type draws struct{ pcg *rand.PCG }

func newDraws(seed uint64) draws { return draws{rand.NewPCG(seed, 1)} }

// exp draws an exponential span with the given mean, at least 1 ms.
func (d draws) exp(mean float64) Time {
	u := float64(d.pcg.Uint64()>>11) / (1 << 53)
	return 1 + Time(-mean*math.Log(1-u))
}

// cpu gives the processor time used by the program so far. It is what a run costs
// even if other programs share the machine.
func cpu() time.Duration {
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		panic(err)
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

// bare is a heap with a steady number of events and nothing around it.
type bare struct {
	heap  heap
	seq   uint64
	d     draws
	spans [1 << 12]Time
}

func newBare(n int) *bare {
	c := &bare{heap: newHeap(), d: newDraws(1)}
	for i := range c.spans {
		c.spans[i] = c.d.exp(1e6)
	}
	for range n {
		c.heap.push(entry{c.d.exp(1e6), makeKey(Finish, c.seq, 0)})
		c.seq++
	}
	return c
}

// popPush pops and pushes, each by itself. The kernel does better than that where an
// event schedules one other, since the pop leaves a hole for the push.
func (c *bare) popPush(times int, draw bool) {
	for range times {
		at := c.heap.pop().at
		c.heap.fill()
		span := c.spans[c.seq%uint64(len(c.spans))]
		if draw {
			span = c.d.exp(1e6)
		}
		c.heap.push(entry{at + span, makeKey(Finish, c.seq%maxSeq, 0)})
		c.seq++
	}
}

func BenchmarkBareCalendar(b *testing.B) {
	for _, n := range []int{100, 1_000, 10_000} {
		for _, draw := range []bool{false, true} {
			b.Run(fmt.Sprintf("pending=%d/draw=%v", n, draw), func(b *testing.B) {
				c := newBare(n)
				b.ReportAllocs()
				c.popPush(b.N, draw)
			})
		}
	}
}

// piece is a passive thing that waits out one delay after another.
type piece struct {
	s *Sim
	d draws
}

func (p *piece) Fire(Time) { p.s.After(p.d.exp(1e6), Finish, p) }

func BenchmarkTimer(b *testing.B) {
	for _, n := range []int{100, 1_000} {
		b.Run(fmt.Sprintf("pending=%d", n), func(b *testing.B) {
			s, d := New(), newDraws(1)
			for range n {
				(&piece{s, d}).Fire(0)
			}
			compare(b, s, newBare(n), true)
		})
	}
}

// BenchmarkHolds is processes that pass time and do nothing else.
func BenchmarkHolds(b *testing.B) {
	for _, n := range []int{1, 100, 10_000} {
		b.Run(fmt.Sprintf("processes=%d", n), func(b *testing.B) {
			s, d := New(), newDraws(1)
			for i := range n {
				s.Go(fmt.Sprint("holder ", i), func(p *Process) {
					for {
						p.Pass(d.exp(1e6))
					}
				})
			}
			compare(b, s, newBare(n), false)
		})
	}
}

// A queueing benchmark counts timed events: arrivals and ends of service. What
// happens in between at no cost of time, such as waking the server, is their cost.

// BenchmarkMM1 is a single-server queue at load 0.8 with 10^6 customers.
func BenchmarkMM1(b *testing.B) {
	models := []struct {
		name  string
		model func(customers int) (mean float64, timed uint64)
	}{
		{"source=timer/server=process", mm1Passive},
		{"source=process/server=process", mm1Stations},
		{"customer=process", mm1Customers},
	}
	const customers = 1_000_000
	for _, m := range models {
		b.Run(m.name, func(b *testing.B) { compareModel(b, 3, m.model, customers) })
	}
}

// arrivals is a source of customers as a timer.
type arrivals struct {
	rack *Rack[Time]
	d    draws
	left int
}

func (a *arrivals) Fire(now Time) {
	a.rack.TryPut(now)
	if a.left--; a.left > 0 {
		a.rack.sim.After(a.d.exp(1250), Start, a)
	}
}

func mm1Passive(customers int) (mean float64, timed uint64) {
	s := New()
	defer s.Close()
	waiting := NewRack[Time](s, "waiting", math.MaxInt)
	s.At(0, Start, &arrivals{waiting, newDraws(1), customers})
	total := serve(s, waiting, customers)
	return float64(total()) / float64(customers), 2 * uint64(customers)
}

func mm1Stations(customers int) (mean float64, timed uint64) {
	s := New()
	defer s.Close()
	waiting, d := NewRack[Time](s, "waiting", math.MaxInt), newDraws(1)
	s.Go("source", func(p *Process) {
		for range customers {
			waiting.Put(p, p.Now())
			p.Pass(d.exp(1250))
		}
	})
	total := serve(s, waiting, customers)
	return float64(total()) / float64(customers), 2 * uint64(customers)
}

// serve has a process serve the customers and returns what runs the model and gives
// the sum of the times in system.
func serve(s *Sim, waiting *Rack[Time], customers int) func() Time {
	var total Time
	d := newDraws(2)
	s.Go("server", func(p *Process) {
		for range customers {
			arrived := waiting.Get(p)
			p.Pass(d.exp(1000))
			total += p.Now() - arrived
		}
	})
	return func() Time {
		if err := s.Run(Never); err != nil {
			panic(err)
		}
		return total
	}
}

func mm1Customers(customers int) (mean float64, timed uint64) {
	s := New()
	defer s.Close()
	server := s.Places("server", 1)
	d, service := newDraws(1), newDraws(2)
	var total Time
	customer := func(p *Process) {
		arrived := p.Now()
		p.Take(server, 1, 0)
		p.Pass(service.exp(1000))
		server.Give(1)
		total += p.Now() - arrived
	}
	s.Go("source", func(p *Process) {
		for range customers {
			s.Go("customer", customer)
			p.Pass(d.exp(1250))
		}
	})
	if err := s.Run(Never); err != nil {
		panic(err)
	}
	return float64(total) / float64(customers), 2 * uint64(customers)
}

// BenchmarkTandem is a line of 8 stations with room for 10 pieces between them.
func BenchmarkTandem(b *testing.B) {
	compareModel(b, 8, tandem, 480_000)
}

func tandem(pieces int) (mean float64, timed uint64) {
	const stations = 8
	s := New()
	defer s.Close()
	racks := make([]*Rack[Time], stations+1)
	for i := range racks {
		racks[i] = NewRack[Time](s, "rack", 10)
	}
	racks[stations] = NewRack[Time](s, "finished", math.MaxInt)
	s.Go("source", func(p *Process) {
		for range pieces {
			racks[0].Put(p, p.Now())
		}
	})
	for i := range stations {
		d := newDraws(uint64(i))
		s.Go(fmt.Sprint("station ", i), func(p *Process) {
			for range pieces {
				x := racks[i].Get(p)
				p.Pass(d.exp(1000))
				racks[i+1].Put(p, x)
			}
		})
	}
	if err := s.Run(Never); err != nil {
		panic(err)
	}
	return float64(s.Now()) / float64(pieces), stations * uint64(pieces)
}

// BenchmarkHours asks a year of shifts at random instants.
func BenchmarkHours(b *testing.B) {
	var intervals []Interval
	for day := range Time(365) {
		if day%7 < 5 {
			intervals = append(intervals, Interval{day*Day + 6*Hour, day*Day + 14*Hour})
			intervals = append(intervals, Interval{day*Day + 15*Hour, day*Day + 22*Hour})
		}
	}
	h, err := NewHours(intervals)
	if err != nil {
		b.Fatal(err)
	}
	var instants [1 << 12]Time
	rng := rand.New(rand.NewPCG(1, 0))
	for i := range instants {
		instants[i] = Time(rng.Int64N(int64(360 * Day)))
	}
	var sum Time
	b.Run("OpenBetween", func(b *testing.B) {
		for i := range b.N {
			t := instants[i%len(instants)]
			sum += h.OpenBetween(t, t+Day)
		}
	})
	b.Run("AddWork", func(b *testing.B) {
		for i := range b.N {
			sum += h.AddWork(instants[i%len(instants)], 10*Hour)
		}
	})
	if sum == 0 {
		b.Error("never open")
	}
}

// compareModel runs whole models and compares the cost of a timed event with a pop and
// push at the number of events usually pending.
func compareModel(b *testing.B, pending int, model func(int) (float64, uint64), size int) {
	c := newBare(pending)
	const slice = 1_000_000
	var ratios, costs []float64
	var mean float64
	b.ReportAllocs()
	for b.Loop() {
		start := cpu()
		m, timed := model(size)
		cost := float64(cpu()-start) / float64(timed)
		b.StopTimer()
		mean = m
		start = cpu()
		c.popPush(slice, false)
		costs = append(costs, cost)
		ratios = append(ratios, cost/(float64(cpu()-start)/slice))
		b.StartTimer()
	}
	slices.Sort(costs)
	slices.Sort(ratios)
	b.ReportMetric(costs[len(costs)/2], "ns/event")
	b.ReportMetric(ratios[len(ratios)/2], "x-bare")
	b.ReportMetric(mean, "mean-ms")
}

// compare runs s for about b.N events and reports what one costs and how that compares
// to a pop and push of c. The two take turns in short slices, so that whatever else
// goes on in the machine strikes both; the median of the ratios counts.
func compare(b *testing.B, s *Sim, c *bare, draw bool) {
	const slice = 20_000
	defer s.Close()
	var ratios []float64
	run := func(events uint64) (spent time.Duration, handled uint64) {
		// Events come at a steady rate; the first slices tell which.
		from, start := s.Events(), cpu()
		if err := s.Run(s.Now() + 1 + Time(float64(events)*pace(s))); err != nil {
			b.Fatal(err)
		}
		return cpu() - start, s.Events() - from
	}
	for range 5 {
		run(uint64(slice)) // fills pools and settles the pace
	}
	var total time.Duration
	var events uint64
	b.ReportAllocs()
	b.ResetTimer()
	for events < uint64(b.N) {
		spent, handled := run(slice)
		total += spent
		events += handled
		b.StopTimer()
		start := cpu()
		c.popPush(slice, draw)
		ratios = append(ratios, float64(spent)/float64(handled)/(float64(cpu()-start)/slice))
		b.StartTimer()
	}
	b.StopTimer()
	slices.Sort(ratios)
	b.ReportMetric(float64(total)/float64(events), "ns/event")
	b.ReportMetric(ratios[len(ratios)/2], "x-bare")
}

// pace gives the time that passes per event.
func pace(s *Sim) float64 {
	if s.Events() == 0 {
		return 1
	}
	return float64(s.Now()) / float64(s.Events())
}
