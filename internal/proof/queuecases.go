package proof

import (
	"fmt"
	"math"

	"potbank/internal/des"
	"potbank/internal/random"
)

// singleQueue is what the queues of one line are run through.
const singleQueue = "kernel: rack, timer, server process"

// queueing is the rows on queues, lines and networks.
var queueing = []method{
	{id: "A01", path: singleQueue, run: heavyQueue},
	{id: "A02", path: singleQueue, run: lightQueue},
	{id: "A03", path: singleQueue, run: fillingQueue},
	{id: "A04", path: singleQueue, run: eyeClinic},
	{id: "A05", path: singleQueue, run: erlangC},
	{id: "A06", path: "kernel: timers", run: erlangB},
	{id: "A07", path: singleQueue, run: limitedQueue},
	{id: "A09", path: singleQueue, run: fixedServices},
	{id: "A10", path: singleQueue, run: generalServices},
	{id: "A11", path: "kernel: timers", run: ampleDryer},
	{id: "A12", path: singleQueue, run: fixedServicesByMany},
	{id: "A13", path: singleQueue, run: failingServer},
	{id: "A15", path: singleQueue, run: vacations},
	{id: "A16", path: singleQueue + ", bell", run: lateStart},
	{id: "A18", path: "plant: works/door.yaml", run: kilnWithDoor},
	{id: "A20", path: "kernel: rack, places, process", run: sharedService},
	{id: "A21", path: "plant: works/door.yaml", run: fillingALoad},
	{id: "A22", path: singleQueue, run: batchArrivals},
	{id: "A23", path: "kernel: places, machine processes", run: fiveMachines},
	{id: "A24", path: "kernel: places, machine processes", run: moreMachines},
	{id: "A25", path: singleQueue, run: generalArrivals},
	{id: "A27", path: "kernel: places with ranks, customer processes", run: twoClasses},
	{id: "A28", path: singleQueue, run: rework},
	{id: "A29", path: "kernel: places, job processes", run: closedLines},
	{id: "A30", path: "kernel: places, piece processes", run: tightLines},
	{id: "A31", path: "kernel: racks, station processes", run: lineWithRacks},
	{id: "A33", path: "kernel: racks and places, processes", run: flowLine},
	{id: "A34", path: "kernel: rack, machine processes", run: twoLikeMachines},
	{id: "A35", path: "kernel: rack, machine processes", run: twoUnlikeMachines},
	{id: "A37", path: "kernel: door, cut, station processes", run: lineThatStops},
	{id: "A38", path: "kernel: part processes", run: assembly},
	{id: "A39", path: "plant: works/pipeline-refire.yaml", run: refireYield},
	{id: "A40", path: "kernel: process", run: manyJobs},
}

// heavyQueue: M/M/1 at load 0.9. L = rho / (1 - rho), W = L / lambda by Little's
// law, and the time in the system is exponential, so 90 % of the customers stay
// at most W ln 10.
func heavyQueue(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1), exponential(0.9))
		q.histo = make([]int, 40_000)
		q.run(1, 2_000, 40_000)
		return q.yields(q.wait(), q.sojourn(), q.present.mean(), q.quantile(0.9))
	}, wanted{"Wq", "8.1", heavy, false}, wanted{"W", "9.0", heavy, false}, wanted{"L", "9.0", heavy, false},
		wanted{"90 % point", "20.72326584", heavy, false})
}

// lightQueue: M/M/1 at load 0.8. The server is idle for a share 1 - rho of the
// time, and the line has rho^2 / (1 - rho) in it.
func lightQueue(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1), exponential(0.8))
		q.run(1, 500, 30_000)
		return q.yields(q.wait(), q.sojourn(), q.waiting.mean(), q.present.share(0))
	}, wanted{"Wq", "3.2", 0, false}, wanted{"W", "4.0", 0, false}, wanted{"Lq", "3.2", 0, false}, wanted{"P(empty)", "0.2", 0, false})
}

// fillingQueue: M/M/1 at load 0.9 from empty, many times over. Its expected
// delays rise so slowly that whoever starts empty sees a better works than he
// will have.
func fillingQueue(t *trial) {
	few := fillingSample(25, 2_500, []int{2, 3, 5, 10, 25})
	t.exact("delay of customer 1", 0, "0", 0)
	t.chance(few, wanted{"of 2", "0.426315789", filling, false}, wanted{"of 3", "0.734538562", filling, false},
		wanted{"of 5", "1.196518323", filling, false}, wanted{"of 10", "1.975503093", filling, false},
		wanted{"of 25", "3.300508622", filling, false}, wanted{"mean of first 25", "2.124489347", filling, false})
	t.chance(fillingSample(200, 650, []int{50, 100, 200}), wanted{"of 50", "4.498606149", filling, false},
		wanted{"of 100", "5.759310353", filling, false}, wanted{"of 200", "6.892567038", filling, false})
}

// filling is the half-width allowed for the delay of one customer.
const filling = 0.025

// fillingSample averages the delays of the customers of given numbers, and that
// of all, over queues that start empty.
func fillingSample(customers, queues int, numbers []int) func(random.Source) sample {
	return func(s random.Source) sample {
		arrivals, services := newStream(s, "arrival"), newStream(s, "service")
		delays := make([]float64, customers+1)
		var controls [9]float64
		for range queues {
			q := newQueue(s, exponential(1), exponential(0.9))
			q.arrivals, q.services = arrivals, services
			q.s.Go("server", func(p *des.Process) {
				for n := 1; n <= customers; n++ {
					x := q.line.Get(p)
					wait := float64(p.Now() - x.arrived)
					delays[n] += units(wait)
					need := services.span(q.service.law)
					off := float64(need) - q.service.mean
					q.counts.controls[2] += off * float64(customers-n)
					q.counts.controls[3] += off * wait
					q.counts.controls[5] += off
					p.Pass(need)
				}
				p.Sim().Stop()
			})
			q.next()
			pass(q.s, des.Never-1)
			q.s.Close()
			for i, c := range q.counts.controls {
				controls[i] += c
			}
		}
		var values []float64
		total := 0.0
		for _, d := range delays {
			total += d
		}
		for _, n := range numbers {
			values = append(values, delays[n]/float64(queues))
		}
		return sample{append(values, total/float64(customers*queues)), controls[:]}
	}
}

// eyeClinic: M/M/3, six patients an hour, 20 minutes each. The unit is an hour.
// Three servers in one line are another thing than three lines: nobody waits
// while somebody is idle.
func eyeClinic(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1.0/6), exponential(1.0/3))
		q.run(3, 100, 12_000)
		return q.yields(q.present.share(0), q.delayed(), q.waiting.mean(), q.wait(), 60*q.sojourn())
	}, wanted{"p0", "1/9", 0, false}, wanted{"P(wait)", "4/9", 0, false}, wanted{"Lq", "8/9", 0, false},
		wanted{"Wq, h", "4/27", 0, false}, wanted{"W, min", "28.889", 0, false})
}

// erlangC: the chance of waiting, and the wait, for several servers. Of two works
// with the same load the one with more servers has its customers wait less: the
// wait in service times is C / (c - a).
func erlangC(t *trial) {
	for _, c := range []struct {
		servers       int
		load, length  float64
		delayed, wait string
	}{
		{2, 1.8, 10_000, "0.8526315789", "4.2631578947"}, {5, 4, 34_000, "0.5541125541", "0.5541125541"},
		{10, 8, 18_000, "0.4091801508", "0.2045900754"}, {10, 9, 3_400, "0.6687315241", "0.6687315241"},
		{20, 18, 5_400, "0.5507690048", "0.2753845025"},
	} {
		width := 0.0
		if c.load >= 0.9*float64(c.servers) {
			width = heavy
		}
		name := fmt.Sprintf("C(%d, %g)", c.servers, c.load)
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(1/c.load), exponential(1))
			q.run(c.servers, 200, c.length)
			return q.yields(q.delayed(), q.wait())
		}, wanted{name, c.delayed, width, false}, wanted{name + ": Wq", c.wait, width, false})
	}
}

// limitedQueue: M/M/1 with room for 5 in the system. P(n) falls by rho from one n
// to the next, and who comes finds what a clock would find.
func limitedQueue(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1.25), exponential(1))
		q.room = 5
		q.run(1, 100, 50_000)
		return q.yields(float64(q.counts.refused)/float64(q.counts.came), q.present.mean(), q.sojourn())
	}, wanted{"P(blocked)", "0.08881949866", 0, false}, wanted{"L", "1.868332032", 0, false}, wanted{"W of accepted", "2.563065207", 0, false})
}

// fixedServices: M/D/1. Without chance in the service customers wait half as long
// as with exponential services: Wq = rho / (2 (1 - rho)).
func fixedServices(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1.25), fixed(1))
		q.run(1, 500, 24_000)
		return q.yields(q.wait(), q.present.mean(), q.present.share(0), q.present.share(1), q.present.share(2))
	}, wanted{"Wq", "2.0", 0, false}, wanted{"L", "2.4", 0, false}, wanted{"p0", "0.2", 0, false},
		wanted{"p1", "0.2451081857", 0, false}, wanted{"p2", "0.1894117506", 0, false})
}

// generalServices: M/G/1, whose wait depends on the spread of the services and on
// nothing else of their law: Wq = lambda E[S^2] / (2 (1 - rho)).
func generalServices(t *trial) {
	of := func(l random.Law, err error) random.Law { return random.Scaled(law(l, err), float64(unit)) }
	for _, c := range []struct {
		name         string
		service      random.Law
		rate, length float64
		want         string
	}{
		{"(a) Erlang-4", of(random.Erlang(4, 1)), 0.75, 30_000, "1.875"},
		{"(b) lognormal", of(random.LogNormal(1, 1.5)), 0.8, 70_000, "6.5"},
		{"(c) uniform", of(random.Uniform(0, 2)), 0.8, 30_000, "2.6666667"},
		{"(d) mixture", of(random.Empirical([]float64{1, 5}, []float64{90, 10})), 0.6, 60_000, "6.375"},
	} {
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(1/c.rate), c.service)
			q.run(1, 2_000, c.length)
			return q.yields(q.wait())
		}, wanted{"Wq " + c.name, c.want, 0, false})
	}
}

// fixedServicesByMany: M/D/c, the queue of Crommelin. With fixed services the
// number present at t + D follows from that at t and the arrivals between.
func fixedServicesByMany(t *trial) {
	for _, c := range []struct {
		servers       int
		load, length  float64
		wait, delayed string
	}{
		{2, 0.5, 32_000, "0.1767410562", "0.3232589"}, {2, 0.7, 15_000, "0.4936104623", "0.5653672"},
		{2, 0.8, 13_000, "0.9032838796", "0.7018983"}, {2, 0.9, 4_000, "2.1469232134", "0.8471076"},
		{5, 0.8, 9_000, "0.2890600072", "0.5336151"}, {5, 0.9, 3_800, "0.7766951582", "0.7478285"},
		{10, 0.8, 8_500, "0.1098277897", "0.3847173"}, {10, 0.9, 2_000, "0.3445820504", "0.6468613"},
	} {
		width := 0.0
		if c.load >= 0.9 {
			width = heavy
		}
		name := fmt.Sprintf("%d servers, load %g", c.servers, c.load)
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(1/(c.load*float64(c.servers))), fixed(1))
			q.run(c.servers, 300, c.length)
			return q.yields(q.wait(), q.delayed())
		}, wanted{"Wq: " + name, c.wait, width, false}, wanted{"P(wait): " + name, c.delayed, width, false})
	}
}

// batchArrivals: customers come together, as ware does on a car. L = rho (1 +
// E[X^2] / E[X]) / (2 (1 - rho)) for batches of X.
func batchArrivals(t *trial) {
	together := func(n float64) random.Law { return law(random.Constant(n)) }
	for _, c := range []struct {
		name           string
		batch          random.Law
		rate, length   float64
		number, inside string
	}{
		{"(a) twos", together(2), 0.4, 45_000, "6.0", "7.5"}, {"(b) fours", together(4), 0.2, 45_000, "10.0", "12.5"},
		{"(c) geometric", geometric(3), 0.2, 90_000, "4.5", "7.5"},
	} {
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(1/c.rate), exponential(1))
			q.arriveIn(c.batch)
			q.run(1, 1_000, c.length)
			return q.yields(q.present.mean(), q.sojourn())
		}, wanted{"L " + c.name, c.number, 0, false}, wanted{"W " + c.name, c.inside, 0, false})
	}
}

// geometric is the law of the number of trials up to the first success, at a
// mean number. What lies beyond 120 trials is below 1e-20 for a mean of 3.
func geometric(mean float64) random.Law {
	values, weights := make([]float64, 120), make([]float64, 120)
	for k := range values {
		values[k], weights[k] = float64(k+1), math.Pow(1-1/mean, float64(k))
	}
	return law(random.Empirical(values, weights))
}

// generalArrivals: GI/M/1. The share of customers who wait is the root sigma of
// sigma = A*(mu (1 - sigma)), with A* the transform of the gaps, and Wq is sigma /
// (mu (1 - sigma)). Regular arrivals are worth as much as a faster server.
func generalArrivals(t *trial) {
	for _, c := range []struct {
		name         string
		gap          func(mean float64) random.Law
		load, length float64
		sigma, wait  string
	}{
		{"D", fixed, 0.5, 12_000, "0.2031878700", "0.2550009749"}, {"D", fixed, 0.8, 8_000, "0.6286297965", "1.6927308399"}, {"D", fixed, 0.9, 10_000, "0.8068998329", "4.1786594222"},
		{"E2", twoStages, 0.5, 32_000, "0.3819660113", "0.6180339887"}, {"E2", twoStages, 0.8, 20_000, "0.7398529491", "2.8439797670"}, {"E2", twoStages, 0.9, 12_000, "0.8682178937", "6.5882836286"},
	} {
		width := 0.0
		if c.load >= 0.9 {
			width = heavy
		}
		name := fmt.Sprintf("%s/M/1 at %g", c.name, c.load)
		t.chance(func(s random.Source) sample {
			q := newQueue(s, c.gap(1/c.load), exponential(1))
			q.run(1, 1_000, c.length)
			return q.yields(q.delayed(), q.wait())
		}, wanted{"sigma: " + name, c.sigma, width, false}, wanted{"Wq: " + name, c.wait, width, false})
	}
}

// twoStages is the Erlang law of two stages of a mean in units.
func twoStages(mean float64) random.Law { return law(random.Erlang(2, mean*float64(unit))) }

// rework: a fifth of the work comes back to the only server. What is served once
// more loads him as if 1 / (1 - 0.2) as many had come.
func rework(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1/0.6), exponential(1))
		q.comeBack(0.2)
		q.run(1, 1_000, 80_000)
		return q.yields(1-q.present.share(0), q.present.mean(), q.sojourn())
	}, wanted{"effective load", "0.75", 0, false}, wanted{"L", "3.0", 0, false}, wanted{"W", "5.0", 0, false})
}

// erlangB: calls that find every line taken are lost. The published traffic is
// what a table gives for the share lost, so the share is what is run. It depends
// on the mean of the calls only; they are drawn exponential.
func erlangB(t *trial) {
	for _, c := range []struct {
		lines         int
		traffic, lost string
		length        float64 // in services
	}{
		{1, "0.0101", "1%", 4_000_000}, {2, "0.1526", "1%", 360_000}, {5, "1.361", "1%", 65_000}, {10, "4.461", "1%", 22_000},
		{20, "12.03", "1%", 10_000}, {10, "5.084", "2%", 11_000}, {10, "6.216", "5%", 5_000}, {20, "13.18", "2%", 6_000},
	} {
		t.chance(func(s random.Source) sample {
			d := newDryer(s, exponential(1))
			defer d.s.Close()
			d.gap, d.places = exponential(1/number(c.traffic)), c.lines
			d.next()
			pass(d.s, 50*unit)
			d.restart()
			pass(d.s, des.Time(c.length*float64(unit)))
			return sample{[]float64{float64(d.refused) / float64(d.came)}, d.controls[:]}
		}, wanted{fmt.Sprintf("lost with %d lines, %s erlang", c.lines, c.traffic), c.lost, 0.03, false})
	}
	t.leave("the entries for 30, 50 and 100 lines and for 0.1 % are left out: to tell them from 5 % off takes 10^8 calls each")
}
