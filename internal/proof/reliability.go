package proof

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// reliability is the rows on failures and renewals.
var reliability = []method{
	{id: "F01", path: "plant: works/door.yaml, breakdowns of the press", run: steadyAvailability},
	{id: "F02", path: "kernel: machine processes", run: earlyAvailability},
	{id: "F03", path: "random.Weibull", run: weibullMoments},
	{id: "F05", path: "random.Erlang, kernel: process", run: renewals},
	{id: "F06", path: "random.Trial, kernel: part processes", run: twoOfThree},
}

// steadyAvailability: a press that fails after 500 h on average and is repaired
// in 20, by the calendar.
func steadyAvailability(t *trial) {
	const weeks = 700
	w := works("door.yaml")
	w.Run.Length = weeks * des.Week
	press := &w.Presses[0]
	press.Cycle = takes(1 * des.Day)
	press.Breakdowns = &plant.Breakdowns{Between: law(random.Exponential(500 * float64(des.Hour))), Repair: law(random.Exponential(20 * float64(des.Hour))), Clock: "calendar"}
	p := build(w)
	t.chance(func(s random.Source) sample {
		r := simulate(p, plant.Options{Source: s, Weeks: weeks})
		return sample{values: []float64{1 - r.figure("state.release.down", 10, weeks)/100}}
	}, wanted{name: "A", want: "0.9615384615", width: 0.002})
}

// earlyAvailability: machines that are new at the start. The unit is an hour. A(t)
// falls from 1 to its steady value as exp(-(failure rate + repair rate) t).
func earlyAvailability(t *trial) {
	const machines, starts = 50, 22
	t.chance(func(s random.Source) sample {
		lives, repairs := newStream(s, "life"), newStream(s, "repair")
		life, repair := exponential(100), exponential(10)
		var values [2]float64
		for range starts {
			sim := des.New()
			up := level{s: sim, value: machines}
			for range machines {
				sim.Go("machine", func(p *des.Process) {
					for {
						p.Pass(lives.span(life))
						up.add(-1)
						p.Pass(repairs.span(repair))
						up.add(1)
					}
				})
			}
			pass(sim, 10*unit)
			values[0] += float64(up.value) / (machines * starts)
			values[1] += up.mean() / (machines * starts)
			sim.Close()
		}
		return sample{values: values[:]}
	}, wanted{name: "A(10)", want: "0.9393519167"}, wanted{name: "mean over (0, 10)", want: "0.9642255303"})
}

func weibullMoments(t *trial) {
	for _, c := range []struct {
		shape             float64
		mean, scv, median string
	}{
		{.5, "2", "5", ".4804530139"}, {1, "1", "1", ".6931471806"},
		{2, ".8862269255", ".2732395447", ".8325546112"}, {3.5, ".8997471765", ".1001460738", ".9005784703"},
	} {
		l := law(random.Weibull(c.shape, 1))
		t.exact(fmt.Sprintf("shape %g: mean", c.shape), l.Mean(), c.mean, 1e-9)
		t.exact("SCV", l.SD()*l.SD()/(l.Mean()*l.Mean()), c.scv, 1e-9)
		t.exact("median", l.Quantile(.5), c.median, 1e-9)
	}
}

// renewals: how many moulds have been replaced, when each lasts two exponential
// stages of one unit: t/2 - 1/4 + exp(-2t)/4 by the time t.
func renewals(t *trial) {
	const places = 9_000
	life := law(random.Erlang(2, 2*float64(unit)))
	moments := spreadOf(life)
	t.chance(func(s random.Source) sample {
		sim, d := des.New(), newStream(s, "life")
		defer sim.Close()
		values, controls := make([]float64, 3), make([]float64, 3)
		sim.Go("place", func(p *des.Process) {
			for range places {
				start := p.Now()
				for mould := 0; ; mould++ {
					span := d.span(life)
					off := float64(span) - life.Mean()
					controls[0] += off
					if mould == 0 {
						controls[1] += off
						controls[2] += moments.excess(span)
					}
					p.Pass(span)
					age := p.Now() - start
					for k, until := range []des.Time{1 * unit, 5 * unit, 10 * unit} {
						if age <= until {
							values[k] += 1.0 / places
						}
					}
					if age > 10*unit {
						break
					}
				}
			}
		})
		pass(sim, des.Never-1)
		return sample{values, controls}
	}, wanted{name: "M(1)", want: "0.2838338208"}, wanted{name: "M(5)", want: "2.2500113500"}, wanted{name: "M(10)", want: "4.7500000005"})
}

// twoOfThree: a set of three that works while two of them do. It fails with the
// second part, after 1/3 + 1/2 of a mean life.
func twoOfThree(t *trial) {
	const sets = 1_500
	t.chance(func(s random.Source) sample {
		chances, lives, life := newStream(s, "chance"), newStream(s, "life"), exponential(1)
		works, total := 0, 0.0
		controls := make([]float64, 2)
		sim := des.New()
		defer sim.Close()
		failed := des.NewRack[int](sim, "failed", 3)
		sim.Go("set after set", func(p *des.Process) {
			for range sets {
				good := 0
				for part := range 3 {
					yes := chances.yes(.9)
					controls[0] += excessOf(yes, .9)
					if yes {
						good++
					}
					sim.Go("part", func(p *des.Process) {
						span := lives.span(life)
						controls[1] += float64(span) - life.Mean()
						p.Pass(span)
						failed.TryPut(part)
					})
				}
				if good >= 2 {
					works++
				}
				start := p.Now()
				failed.Get(p)
				failed.Get(p)
				total += float64(p.Now() - start)
				failed.Get(p)
			}
		})
		pass(sim, des.Never-1)
		return sample{[]float64{float64(works) / sets, units(total) / sets}, controls}
	}, wanted{name: "R", want: "0.972"}, wanted{name: "mean life", want: "0.8333333"})
}
