package proof

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// ampleDryer: pieces come at random, 20 an hour, and each stays its own 24
// hours, since there is always a place. What is inside at an instant is Poisson,
// whatever the law of the stay: 20 x 24 on average, with a variance as large.
// While it fills, it has taken in what came: rate x time for a fixed stay. The
// unit is an hour.
func ampleDryer(t *trial) {
	fill := []wanted{{name: "after 6 h", want: "120"}, {name: "after 12 h", want: "240"}, {name: "after 24 h", want: "480"}}
	t.chance(fillingDryer(100), fill...)
	for _, c := range []struct {
		name  string
		stay  random.Law
		looks int
	}{{"fixed stay", fixed(24), 1_400}, {"exponential stay", exponential(24), 1_000}} {
		t.chance(settledDryer(c.stay, c.looks), wanted{name: "mean, " + c.name, want: "480"},
			wanted{name: "variance, " + c.name, want: "480", width: 0.05})
	}
}

// fillingDryer counts what is inside at three instants after the start, on
// average over so many starts.
func fillingDryer(starts int) func(random.Source) sample {
	return func(s random.Source) sample {
		arrivals := newStream(s, "arrival")
		values := make([]float64, 3)
		for range starts {
			d := newDryer(s, fixed(24))
			d.arrivals = arrivals
			d.next()
			for i, at := range []des.Time{6 * unit, 12 * unit, 24*unit - 1} {
				pass(d.s, at-d.s.Now())
				values[i] += float64(d.inside.value) / float64(starts)
			}
			d.s.Close()
		}
		return sample{values: values}
	}
}

// settledDryer looks into a dryer every six hours.
func settledDryer(stay random.Law, looks int) func(random.Source) sample {
	return func(s random.Source) sample {
		d := newDryer(s, stay)
		defer d.s.Close()
		d.next()
		pass(d.s, 200*unit)
		d.restart()
		squares := 0.0
		for range looks {
			pass(d.s, 6*unit)
			off := float64(d.inside.value) - 480
			squares += off * off
		}
		return sample{[]float64{d.inside.mean(), squares / float64(looks)}, d.controls[:]}
	}
}

// A dryer has a place for all who come, or so many places; who finds none goes
// away. Pieces are timers: what only waits out its time needs no process.
type dryer struct {
	s               *des.Sim
	arrivals, stays *stream
	gap, stay       random.Law
	places          int // 0: no limit
	inside          level
	leave           des.TimerFunc
	came, refused   int
	controls        [5]float64
}

// restart forgets what was counted.
func (d *dryer) restart() {
	d.inside.restart()
	d.came, d.refused, d.controls = 0, 0, [5]float64{}
}

func newDryer(s random.Source, stay random.Law) *dryer {
	d := &dryer{s: des.New(), arrivals: newStream(s, "arrival"), stays: newStream(s, "stay"), gap: exponential(1.0 / 20), stay: stay}
	d.inside.s = d.s
	d.leave = func(des.Time) { d.inside.add(-1) }
	return d
}

// next draws when the next piece will come.
func (d *dryer) next() {
	gap := d.arrivals.span(d.gap)
	d.s.After(gap, des.Start, d)
	off, inside := float64(gap)-d.gap.Mean(), float64(d.inside.value)
	d.controls[0] += off
	d.controls[1] += off * inside
	d.controls[2] += off * inside * inside
}

// Fire is an arrival.
func (d *dryer) Fire(des.Time) {
	if d.came++; d.places > 0 && d.inside.value == d.places {
		d.refused++
	} else {
		d.inside.add(1)
		stay := d.stays.span(d.stay)
		d.s.After(stay, des.Finish, d.leave)
		off := float64(stay) - d.stay.Mean()
		d.controls[3] += off
		d.controls[4] += off * float64(d.inside.value)
	}
	d.next()
}

// twoClasses: one server, and customers of whom some go before others in line,
// though nobody is interrupted. The favour is paid for by the others: the sum of
// load x Wq is that of one line. Here every customer is a process: that costs more
// than a customer who is data, and reads well where places have ranks.
func twoClasses(t *trial) {
	rates := [2]float64{0.3, 0.4}
	t.chance(func(s random.Source) sample {
		sim := des.New()
		defer sim.Close()
		server, service := sim.Places("server", 1), exponential(1)
		services := newStream(s, "service")
		var waits [2]float64
		var served [2]int
		controls := make([]float64, 6)
		present := 0
		for class, rate := range rates {
			gaps, gap := newStream(s, []string{"first", "second"}[class]), exponential(1/rate)
			customer := func(p *des.Process) {
				present++
				came := p.Now()
				p.Take(server, 1, class)
				wait := float64(p.Now() - came)
				waits[class] += wait
				served[class]++
				need := services.span(service)
				off := float64(need) - service.Mean()
				controls[0] += off
				controls[1] += off * float64(present)
				p.Pass(need)
				server.Give(1)
				present--
			}
			sim.Go("source", func(p *des.Process) {
				for {
					span := gaps.span(gap)
					off := float64(span) - gap.Mean()
					controls[2+2*class] += off
					controls[3+2*class] += off * float64(present)
					p.Pass(span)
					sim.Go("customer", customer)
				}
			})
		}
		pass(sim, 1_000*unit)
		waits, served = [2]float64{}, [2]int{}
		clear(controls)
		pass(sim, 60_000*unit)
		first, second := units(waits[0])/float64(served[0]), units(waits[1])/float64(served[1])
		return sample{[]float64{first, second, 0.3*first + 0.4*second}, controls}
	}, wanted{name: "Wq of the first", want: "1.0"}, wanted{name: "Wq of the second", want: "3.3333333"},
		wanted{name: "sum of load x Wq", want: "1.6333333"})
}

// shop is machines that run, fail, and wait for a fitter.
type shop struct {
	machines, fitters int
	up, repair        random.Law
	length            float64
}

// fiveMachines: five machines and one fitter. The unit is an hour. A machine that
// is down does not fail, so failures slacken as the queue grows.
func fiveMachines(t *trial) {
	m := shop{5, 1, exponential(30), exponential(3), 400_000}
	t.chance(func(s random.Source) sample {
		down, controls := m.run(s)
		values := []float64{down.mean(), 1 - down.mean()/5}
		for n := range 6 {
			values = append(values, down.share(n))
		}
		return sample{values, controls}
	}, wanted{name: "mean down", want: "0.6395217686"}, wanted{name: "availability", want: "0.8720956463"},
		wanted{name: "p0", want: "0.5640", print: true}, wanted{name: "p1", want: "0.2820", print: true}, wanted{name: "p2", want: "0.1128", print: true},
		wanted{name: "p3", want: "0.0338", print: true, width: 0.02}, wanted{name: "p4", want: "0.0068", print: true, width: 0.05},
		wanted{name: "p5", want: "0.0007", print: true, width: 0.1})
}

// moreMachines: more of both. The unit is the mean time to repair.
func moreMachines(t *trial) {
	for _, c := range []struct {
		name               string
		machines, fitters  int
		length             float64
		idle, down, uptime string
	}{
		{"10 machines, 1 fitter", 10, 1, 8_000, "0.2145823431", "2.145823431", "0.7854176569"},
		{"20 machines, 3 fitters", 20, 3, 8_000, "0.1362497935", "2.126231622", "0.8936884189"},
		{"6 machines, 2 fitters", 6, 2, 4_000, "0.5602327207", "0.5660507375", "0.9056582104"},
	} {
		m := shop{c.machines, c.fitters, exponential(10), exponential(1), c.length}
		t.chance(func(s random.Source) sample {
			down, controls := m.run(s)
			return sample{[]float64{down.share(0), down.mean(), 1 - down.mean()/float64(c.machines)}, controls}
		}, wanted{name: "p0: " + c.name, want: c.idle}, wanted{name: "mean down", want: c.down}, wanted{name: "availability", want: c.uptime})
	}
}

// run runs the shop and returns the number of machines down.
func (m *shop) run(s random.Source) (down *level, controls []float64) {
	sim := des.New()
	defer sim.Close()
	down, controls = &level{s: sim}, make([]float64, 4)
	fitters := sim.Places("fitters", m.fitters)
	lives, repairs := newStream(s, "life"), newStream(s, "repair")
	// draw draws a time and keeps by how much it deviates, alone and times the
	// number of machines that were down.
	draw := func(d *stream, l random.Law, k int) des.Time {
		span := d.span(l)
		off := float64(span) - l.Mean()
		controls[k] += off
		controls[k+1] += off * float64(down.value)
		return span
	}
	for range m.machines {
		sim.Go("machine", func(p *des.Process) {
			for {
				p.Pass(draw(lives, m.up, 0))
				down.add(1)
				p.Take(fitters, 1, 0)
				p.Pass(draw(repairs, m.repair, 2))
				fitters.Give(1)
				down.add(-1)
			}
		})
	}
	pass(sim, des.Time(m.length/50*float64(unit)))
	down.restart()
	clear(controls)
	pass(sim, des.Time(m.length*float64(unit)))
	down.settle()
	return down, controls
}

// assembly: n parts are made at once, and the last decides: 1 + 1/2 + ... + 1/n
// times as long as for one part. The parts start as processes and meet in a rack.
func assembly(t *trial) {
	for _, c := range []struct {
		parts, rounds int
		want          string
	}{{2, 1_200, "1.5"}, {3, 1_000, "1.8333333"}, {5, 800, "2.2833333"}, {10, 600, "2.9289683"}} {
		t.chance(func(s random.Source) sample {
			sim := des.New()
			defer sim.Close()
			d, one := newStream(s, "part"), exponential(1)
			off, end := 0.0, des.Time(0)
			sim.Go("assembler", func(p *des.Process) {
				made := des.NewRack[int](sim, "made", c.parts)
				for range c.rounds {
					for part := range c.parts {
						sim.Go("part", func(p *des.Process) {
							span := d.span(one)
							off += float64(span) - one.Mean()
							p.Pass(span)
							made.Put(p, part)
						})
					}
					for range c.parts {
						made.Get(p)
					}
				}
				end = p.Now()
			})
			pass(sim, des.Never-1)
			return sample{[]float64{units(float64(end)) / float64(c.rounds)}, []float64{off}}
		}, wanted{name: "mean of the last of " + digits(float64(c.parts), 3), want: c.want})
	}
}
