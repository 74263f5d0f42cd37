package proof

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/random"
)

// factory is the rows on the laws of factories.
var factory = []method{
	{id: "B01", path: "kernel: places, job processes", run: pennyFabOne},
	{id: "B02", path: "kernel: places, job processes", run: bestCase},
	{id: "B03", path: "kernel: places, job processes", run: worstCase},
	{id: "B04", path: "kernel: places, job processes", run: closedLines},
	{id: "B05", path: "kernel: places, job processes", run: pennyFabTwo},
	{id: "B06", path: "plant: works/line.yaml", run: pennyFabTwoByLittle},
	{id: "B09", path: "random: gamma laws, gate", run: setUps},
	{id: "B10", not: "an approximation that potbank does not use; where it is exact it is the queue of row A10"},
	{id: "B12", path: "kernel: racks, process", run: diceGame},
	{id: "B13", path: "plant: works/tunnel.yaml", run: tunnelPipeline},
	{id: "B14", path: "plant: works/shuttles.yaml", run: shuttleRounds},
}

// pennyFabOne: four stations of two hours. The unit is an hour.
func pennyFabOne(t *trial) {
	line := calm(pennyFab, 5040, 2, 2, 2, 2)
	t0, _ := line.run(1)
	_, rb := line.run(10)
	t.exact("rb, 1/h", rb, "0.5", 1e-12)
	t.exact("T0, h", t0, "8", 1e-12)
	t.exact("W0", rb*t0, "4", 1e-12)
}

// bestCase: no variability at all. The run is a multiple of every cycle time.
func bestCase(t *trial) {
	cycles := []string{"8", "8", "8", "8", "10", "12", "14", "16", "18", "20"}
	rates := []string{".125", ".25", ".375", ".5", ".5", ".5", ".5", ".5", ".5", ".5"}
	for i := range cycles {
		cycle, rate := calm(pennyFab, 5040, 2, 2, 2, 2).run(i + 1)
		t.exact(fmt.Sprintf("cycle time with %d, h", i+1), cycle, cycles[i], 1e-12)
		t.exact("throughput, 1/h", rate, rates[i], 1e-12)
	}
}

// worstCase: one pallet needs all the time, and the others wait for it.
func worstCase(t *trial) {
	for _, c := range []struct {
		jobs  int
		cycle string
	}{{4, "32"}, {1, "8"}, {2, "16"}, {7, "56"}} {
		line := circuit{machines: pennyFab, warmUp: 5600, length: 5600, work: func(job, _ int) des.Time {
			if job > 0 {
				return 0
			}
			return 2 * des.Time(c.jobs) * unit
		}}
		cycle, rate := line.run(c.jobs)
		t.exact(fmt.Sprintf("cycle time with %d, h", c.jobs), cycle, c.cycle, 1e-12)
		t.exact("throughput, 1/h", rate, "0.125", 1e-12)
	}
}

// pennyFabTwo: stations of several machines.
func pennyFabTwo(t *trial) {
	machines, times := []int{1, 2, 6, 2}, []float64{2, 5, 10, 3}
	for i, want := range []string{"0.5", "0.4", "0.6", "0.667"} {
		_, rate := calm(machines[i:i+1], 300, times[i]).run(12)
		t.printed(fmt.Sprintf("rate of station %d, 1/h", i+1), rate, want)
	}
	line := calm(machines, 3000, times...)
	t0, _ := line.run(1)
	_, rb := line.run(30)
	t.exact("rb, 1/h", rb, "0.4", 1e-12)
	t.exact("T0, h", t0, "20", 1e-12)
	t.exact("W0", rb*t0, "8", 1e-12)
	t.same("machines", machines[0]+machines[1]+machines[2]+machines[3], "11")
}

// setUps: the effective time of a job on a machine that is set up, at no
// particular moment, after ten jobs on average, or five. Two machines of the same
// mean can differ threefold in the square of their spread, and so in the queue.
func setUps(t *trial) {
	for _, c := range []struct {
		name           string
		job, cv        float64
		between        float64 // jobs between set-ups; 0: none
		setUp          float64
		mean, squareCV string
	}{
		{"flexible", 1.2, 0.5, 0, 0, "1.2", ".25"},
		{"fast, every 10", 1.0, 0.25, 10, 2, "1.2", ".3107639"},
		{"fast, every 5", 1.0, 0.25, 5, 1, "1.2", ".1631944"},
	} {
		t.chance(func(s random.Source) sample {
			job, setUp := law(random.Gamma(c.job, c.job*c.cv)), law(random.Gamma(max(c.setUp, 1), 0.25*max(c.setUp, 1)))
			jobs, sets, chances := newStream(s, "job"), newStream(s, "set-up"), newStream(s, "chance")
			const n = 40_000
			var sum, squares, off float64
			for range n {
				span := job.Quantile(jobs.uniform())
				if c.between > 0 {
					yes := chances.yes(1 / c.between)
					off += excessOf(yes, 1/c.between)
					if yes {
						span += setUp.Quantile(sets.uniform())
					}
				}
				sum += span
				squares += float64(span * span)
			}
			mean := sum / n
			return sample{[]float64{mean, (squares/n - float64(mean*mean)) / (mean * mean)}, []float64{off}}
		}, wanted{name: "te, h, " + c.name, want: c.mean}, wanted{name: "ce^2", want: c.squareCV})
	}
}

// diceGame: a line of dice. In a round each passes on what it throws, but no
// more than it has been passed; the line begins empty. What comes out of the
// first round is the least of the throws: the sum of (j/6)^n over j = 1 to 6.
func diceGame(t *trial) {
	for _, c := range []struct {
		dice int
		want string
	}{{1, "3.5"}, {2, "2.5277778"}, {3, "2.0416667"}, {5, "1.5690586"}} {
		t.chance(func(s random.Source) sample {
			sim, d := des.New(), newStream(s, "die")
			defer sim.Close()
			racks := make([]*des.Rack[int], c.dice+1)
			for i := range racks {
				racks[i] = des.NewRack[int](sim, "bowl", 6)
			}
			const rounds = 12_000
			out, off := 0, 0.0
			sim.Go("players", func(p *des.Process) {
				for range rounds {
					for racks[0].TryPut(0) {
					}
					for i := range c.dice {
						thrown := 1 + int(6*d.uniform())
						off += float64(thrown) - 3.5
						for range min(thrown, racks[i].Len()) {
							piece, _ := racks[i].TryGet()
							racks[i+1].Put(p, piece)
						}
					}
					out += racks[c.dice].Len()
					for _, bowl := range racks {
						for bowl.Len() > 0 {
							bowl.TryGet()
						}
					}
					p.Pass(unit)
				}
			})
			pass(sim, des.Never-1)
			return sample{[]float64{float64(out) / rounds}, []float64{off}}
		}, wanted{name: fmt.Sprintf("output of round 1, %d dice", c.dice), want: c.want})
	}
}
