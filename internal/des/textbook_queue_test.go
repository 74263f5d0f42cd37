package des_test

import (
	"math"
	"testing"

	"potbank/internal/des"
)

// counter is a queue before one or more servers. Customers come from a timer and are
// passive; each server is a process.
type counter struct {
	s       *des.Sim
	waiting *des.Rack[customer]
	arrive  dice
	between des.Time // mean time between arrivals
	serve   func() des.Time
	mean    des.Time // of the service
	again   float64  // probability of another service
	choose  dice

	present level // customers in the system
	inLine  level // of these, those that wait

	came, left       int // customers counted
	gaps             float64
	services         float64
	served           int
	waits, sojourns  float64
	waited           int // customers that had to wait
	sojournHistogram [sojournBins]int
}

// Sojourns are counted in bins of a hundredth of a unit, up to 400 units.
const sojournBins = 40_000

type customer struct {
	arrived des.Time
	first   bool // this is its first service
}

// newCounter makes a counter with Poisson arrivals.
func newCounter(seed uint64, between des.Time, servers int, serve func(dice) des.Time, mean des.Time) *counter {
	s := des.New()
	c := &counter{
		s: s, waiting: des.NewRack[customer](s, "waiting", math.MaxInt),
		arrive: newDice(seed, 1), between: between, mean: mean, choose: newDice(seed, 3),
		present: level{s: s}, inLine: level{s: s},
	}
	d := newDice(seed, 2)
	c.serve = func() des.Time { return serve(d) }
	for range servers {
		s.Go("server", c.server)
	}
	s.After(c.gap(), des.Start, c)
	return c
}

// gap draws the time to the next arrival.
func (c *counter) gap() des.Time {
	gap := c.arrive.exp(c.between)
	c.gaps += float64(gap)
	c.came++
	return gap
}

// Fire is an arrival.
func (c *counter) Fire(now des.Time) {
	c.present.add(1)
	c.inLine.add(1)
	c.waiting.TryPut(customer{now, true})
	c.s.After(c.gap(), des.Start, c)
}

// server is the body of a server.
func (c *counter) server(p *des.Process) {
	for {
		x := c.waiting.Get(p)
		c.inLine.add(-1)
		if x.first {
			c.waits += float64(p.Now() - x.arrived)
			if p.Now() > x.arrived {
				c.waited++
			}
		}
		span := c.serve()
		c.services += float64(span)
		c.served++
		p.Pass(span)
		if c.again > 0 && c.choose.uniform() < c.again {
			c.inLine.add(1)
			c.waiting.TryPut(customer{x.arrived, false})
			continue
		}
		c.present.add(-1)
		c.leave(float64(p.Now() - x.arrived))
	}
}

// leave counts a customer that leaves.
func (c *counter) leave(sojourn float64) {
	c.left++
	c.sojourns += sojourn
	c.sojournHistogram[min(int(100*units(sojourn)), sojournBins-1)]++
}

// run runs the counter for so many customers after a warm-up of so many.
func (c *counter) run(warmUp, customers int) {
	defer c.s.Close()
	if err := c.s.Run(des.Time(warmUp) * c.between); err != nil {
		panic(err)
	}
	c.present.restart()
	c.inLine.restart()
	c.came, c.left, c.served, c.waited = 0, 0, 0, 0
	c.gaps, c.services, c.waits, c.sojourns = 0, 0, 0, 0
	c.sojournHistogram = [sojournBins]int{}
	if err := c.s.Run(c.s.Now() + des.Time(customers/shorter)*c.between); err != nil {
		panic(err)
	}
}

// controls gives by how much gaps and services, per time, deviated from their means.
func (c *counter) controls() []float64 {
	run := float64(c.s.Now() - c.present.from)
	return []float64{
		(c.gaps - float64(c.came)*float64(c.between)) / run,
		(c.services - float64(c.served)*float64(c.mean)) / run,
	}
}

// quantile gives the time in system that a share of the customers did not exceed, in
// units.
func (c *counter) quantile(share float64) float64 {
	left := share * float64(c.left)
	for bin, n := range c.sojournHistogram {
		if left -= float64(n); left <= 0 {
			return (float64(bin) + 1 + left/float64(n)) / 100
		}
	}
	return math.Inf(1)
}

// wait and sojourn give means per customer, in units.
func (c *counter) wait() float64    { return units(c.waits) / float64(c.served) }
func (c *counter) sojourn() float64 { return units(c.sojourns) / float64(c.left) }

// exponential gives exponential services.
func exponential(mean des.Time) func(dice) des.Time {
	return func(d dice) des.Time { return d.exp(mean) }
}

// A01: M/M/1 at load 0.9.
func TestA01(t *testing.T) {
	t.Parallel()
	check(t, "A01", "Law & Kelton, Simulation Modeling and Analysis, 3rd ed. 2000, the M/M/1 delay d = 8.1 of the output-analysis chapter; from memory (high)",
		[]quantity{
			{"Wq", 8.1, 0.02},
			{"W", 9.0, 0.02},
			{"L", 9.0, 0.02},
			{"90 % point of the time in system", 20.72326584, 0.02},
		},
		func(seed uint64) sample {
			service := 9 * unit / 10
			c := newCounter(seed, unit, 1, exponential(service), service)
			c.run(5_000, 250_000)
			return sample{[]float64{c.wait(), c.sojourn(), c.present.mean(), c.quantile(0.9)}, c.controls()}
		})
}

// A02: M/M/1 at load 0.8.
func TestA02(t *testing.T) {
	t.Parallel()
	check(t, "A02", "any queueing text; Law & Kelton, Simulation Modeling and Analysis, 3rd ed. 2000, d = 3.2; from memory (high)",
		[]quantity{
			{"Wq", 3.2, 0},
			{"W", 4.0, 0},
			{"Lq", 3.2, 0},
			{"P(empty)", 0.2, 0},
		},
		func(seed uint64) sample {
			service := 8 * unit / 10
			c := newCounter(seed, unit, 1, exponential(service), service)
			c.run(2_000, 300_000)
			return sample{[]float64{c.wait(), c.sojourn(), c.inLine.mean(), c.present.share(0)}, c.controls()}
		})
}

// A04: M/M/3, an eye clinic.
func TestA04(t *testing.T) {
	t.Parallel()
	const hour = unit
	check(t, "A04", "Gross & Harris, Fundamentals of Queueing Theory, 3rd ed. 1998, eye-clinic example; from memory (high)",
		[]quantity{
			{"p0", 1.0 / 9, 0},
			{"P(wait)", 4.0 / 9, 0},
			{"Lq", 8.0 / 9, 0},
			{"Wq, h", 4.0 / 27, 0},
			{"W, min", 28.889, 0},
		},
		func(seed uint64) sample {
			c := newCounter(seed, hour/6, 3, exponential(hour/3), hour/3)
			c.run(1_000, 230_000)
			return sample{[]float64{
				c.present.share(0), float64(c.waited) / float64(c.served), c.inLine.mean(), c.wait(), 60 * c.sojourn(),
			}, c.controls()}
		})
}

// A09: M/D/1.
func TestA09(t *testing.T) {
	t.Parallel()
	check(t, "A09", "Erlang 1909, any text; computed",
		[]quantity{
			{"Wq", 2.0, 0},
			{"L", 2.4, 0},
			{"p0", 0.2, 0},
			{"p1", 0.2451081857, 0},
			{"p2", 0.1894117506, 0},
		},
		func(seed uint64) sample {
			c := newCounter(seed, 10*unit/8, 1, func(dice) des.Time { return unit }, unit)
			c.run(2_000, 110_000)
			return sample{
				[]float64{c.wait(), c.present.mean(), c.present.share(0), c.present.share(1), c.present.share(2)},
				c.controls()[:1],
			}
		})
}

// A28: rework, a single server from which a fifth of the work comes back.
func TestA28(t *testing.T) {
	t.Parallel()
	check(t, "A28", "Jackson 1957; Gross & Harris, Fundamentals of Queueing Theory, 3rd ed. 1998; computed",
		[]quantity{
			{"effective load", 0.75, 0},
			{"L", 3.0, 0},
			{"W", 5.0, 0},
		},
		func(seed uint64) sample {
			c := newCounter(seed, 10*unit/6, 1, exponential(unit), unit)
			c.again = 0.2
			c.run(2_000, 115_000)
			return sample{[]float64{1 - c.present.share(0), c.present.mean(), c.sojourn()}, c.controls()}
		})
}

// A18: a kiln that is fired with at least a pieces and holds at most 10; nothing goes in
// once it is lit.
func TestA18(t *testing.T) {
	t.Parallel()
	const source = "general bulk service rule, Neuts, Ann. Math. Stat. 38 (1967) 759-770; Chaudhry & Templeton 1983; computed"
	for _, tt := range []struct {
		a                    int
		lq, wq, load, firing float64
	}{
		{1, 4.878475, 0.609809, 8.000241, 0.999970},
		{5, 4.858233, 0.607279, 8.120527, 0.985158},
		{8, 4.981742, 0.622718, 8.888923, 0.899997},
		{10, 5.378622, 0.672328, 10, 0.8},
	} {
		check(t, "A18", source, []quantity{
			{"Lq", tt.lq, 0},
			{"Wq", tt.wq, 0},
			{"mean load", tt.load, 0},
			{"share of time firing", tt.firing, 0},
		}, func(seed uint64) sample { return firedInLoads(seed, tt.a, 30_000) })
	}
}

// source brings pieces to a load at random.
type source struct {
	load *des.Load[des.Time]
	s    *des.Sim
	d    dice
	line *level
	gaps float64
	came int
}

// Fire brings a piece.
func (o *source) Fire(now des.Time) {
	o.load.Add(now)
	o.line.add(1)
	gap := o.d.exp(unit / 8)
	o.gaps += float64(gap)
	o.came++
	o.s.After(gap, des.Start, o)
}

func firedInLoads(seed uint64, least, pieces int) sample {
	s := des.New()
	defer s.Close()
	load := des.NewLoad[des.Time](s, "kiln", least, des.Never)
	load.SetMost(10)
	line, lit := level{s: s}, level{s: s}
	o := &source{load: load, s: s, d: newDice(seed, 1), line: &line}
	s.At(0, des.Start, o)
	var waits float64
	var fired, firings int
	s.Go("kiln", func(p *des.Process) {
		buf := make([]des.Time, 0, 10)
		for {
			buf = load.TakeInto(p, buf)
			for _, arrived := range buf {
				waits += float64(p.Now() - arrived)
			}
			firings++
			fired += len(buf)
			line.add(-len(buf))
			lit.add(1)
			p.Pass(unit)
			lit.add(-1)
		}
	})
	mustRun(s, 200*unit)
	line.restart()
	lit.restart()
	waits, fired, firings, o.gaps, o.came = 0, 0, 0, 0, 0
	mustRun(s, des.Time(pieces/shorter)*unit/8)
	return sample{
		[]float64{line.mean(), units(waits) / float64(fired), float64(fired) / float64(firings), lit.mean()},
		[]float64{(o.gaps - float64(o.came)*float64(unit/8)) / float64(s.Now()-line.from)},
	}
}

// mustRun runs s for a time.
func mustRun(s *des.Sim, d des.Time) {
	if err := s.Run(s.Now() + d); err != nil {
		panic(err)
	}
}
