package proof

import (
	"fmt"
	"hash/fnv"
	"io/fs"
	"math"
	"strings"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// works reads one of the small works, free to be altered before a plant is made
// of it.
func works(name string) *plant.Works {
	top, err := fs.Sub(files, "works")
	if err != nil {
		panic(err)
	}
	return read(top, name)
}

// read reads a scenario that must be without fault.
func read(top fs.FS, name string) *plant.Works {
	f, faults := scenario.ReadIn(top, name)
	if f == nil {
		panic(scenario.Faults(faults))
	}
	return f.Works
}

// build makes a plant of a works that must be possible.
func build(w *plant.Works) *plant.Plant {
	p, faults := plant.New(w)
	if p == nil {
		panic(fmt.Sprint(faults))
	}
	return p
}

// An outcome is a replication of a plant.
type outcome struct {
	*plant.Plant
	*plant.Result
}

// figure is the value of a measure over weeks [from, to).
func (r outcome) figure(name string, from, to int) float64 {
	for _, m := range r.Measures() {
		if m.Name == name {
			num, den := m.Of(r.Result, from, to)
			return num / den
		}
	}
	panic("the plant has no measure " + name)
}

// simulate runs a replication. A broken law spoils every figure.
func simulate(p *plant.Plant, o plant.Options) outcome {
	r, err := p.Simulate(o)
	if err != nil {
		panic(err)
	}
	for _, l := range r.Audit {
		if l.Broken > 0 {
			panic(l.Name + " broken: " + l.First)
		}
	}
	return outcome{p, r}
}

// still runs a plant with randomness off, told to an observer.
func still(p *plant.Plant, weeks int, watch func(plant.Observation)) outcome {
	return simulate(p, plant.Options{Source: random.New(1, 0), Fixed: true, Weeks: weeks, Observer: watch})
}

// takes is the law of a fixed time.
func takes(span des.Time) random.Law { return law(random.Constant(float64(span))) }

// hours is a span in hours.
func hours(t des.Time) float64 { return float64(t) / float64(des.Hour) }

// A diary is what was observed of a run, in order.
type diary []plant.Observation

func (d *diary) write(o plant.Observation) { *d = append(*d, o) }

// of returns the observations of one event.
func (d diary) of(event string) diary {
	var some diary
	for _, o := range d {
		if o.Event == event {
			some = append(some, o)
		}
	}
	return some
}

// spans returns the time of each piece from one event to another, the first of
// each.
func (d diary) spans(from, to string) []des.Time {
	begun, ended := map[uint64]des.Time{}, map[uint64]bool{}
	var all []des.Time
	for _, o := range d {
		start, known := begun[o.Piece]
		switch {
		case o.Event == from && !known:
			begun[o.Piece] = o.At
		case o.Event == to && known && !ended[o.Piece]:
			ended[o.Piece] = true
			all = append(all, o.At-start)
		}
	}
	return all
}

// only returns the one value that all are, or panics.
func only(values []des.Time) des.Time {
	for _, v := range values {
		if v != values[0] {
			panic(fmt.Sprintf("times differ: %v and %v", values[0], v))
		}
	}
	return values[0]
}

// plants is the rows worked through a whole works by hand.
var plants = []method{
	{id: "K01", path: "plant: works/pipeline.yaml", run: plainPipeline},
	{id: "K02", path: "plant: works/pipeline-refire.yaml", run: pipelineRefire},
	{id: "K03", path: "plant: works/station.yaml", run: shiftCapacity},
	{id: "K05", path: "plant: works/bench.yaml", run: benchCycle},
	{id: "K06", path: "plant: works/bench.yaml, pipeline.yaml", run: mouldStock},
	{id: "K08", path: "plant: works/door.yaml", run: sharedLuck},
}

// plainPipeline: 120 moulds a day through five days of drying, glazing and
// firing.
func plainPipeline(t *trial) {
	p := build(works("pipeline.yaml"))
	var d diary
	r := still(p, 14, d.write)
	t.exact("packed a day", r.figure("packed.total", 2, 14)/7, "120", 1e-12)
	t.exact("lead time, d", float64(only(d.spans("filled", "packed")))/float64(des.Day), "6", 0)
	t.exact("work in process", r.figure("wip.total", 2, 14), "720", 1e-12)
	last := d.of("packed")[10_000-1]
	for _, o := range d.of("filled") {
		if o.Piece == last.Piece {
			t.same("casting days", 1+int(o.At/des.Day), "84")
		}
	}
	t.same("the last piece is packed at the end of day", int(r.Orders[0].Done/des.Day), "89")
	t.same("the order is done with it", r.Orders[0].Done == last.At, "true")
}

// pipelineRefire: the same with losses and one refire, every yield at its
// expected value, so that each count is within one of its share.
func pipelineRefire(t *trial) {
	var d diary
	still(build(works("pipeline-refire.yaml")), 16, d.write)
	firings, good := map[uint64]int{}, map[uint64]bool{}
	for _, o := range d {
		switch o.Event {
		case "into the kiln":
			firings[o.Piece]++
		case "packed":
			good[o.Piece] = true
		}
	}
	starts, fired, want := 0, 0, 10_000
	for _, o := range d.of("filled") {
		starts++
		fired += firings[o.Piece]
		if good[o.Piece] {
			if want--; want == 0 {
				break
			}
		}
	}
	t.within("starts", float64(starts), "10,870", 3)
	t.same("casting days", (starts+119)/120, "91")
	t.within("firings", float64(fired), "11,957", 4)
}

// refireYield: the same by chance, and with refires without end, of which five
// are as good.
func refireYield(t *trial) {
	once := works("pipeline-refire.yaml")
	p := build(once)
	t.chance(func(s random.Source) sample {
		r := simulate(p, plant.Options{Source: s, Weeks: 10})
		packed, cast := r.figure("packed.total", 2, 10), r.figure("cast.total", 2, 10)
		return sample{values: []float64{packed / cast, r.figure("firings.per_good", 2, 10), 10_000 * cast / packed}}
	}, wanted{name: "yield", want: "0.92"}, wanted{name: "firings per good piece", want: "1.195652174"}, wanted{name: "starts for 10,000", want: "10869.57"})
	endless := works("pipeline-refire.yaml")
	endless.Refire.Most = 5
	endless.Kilns[1].Count = 2
	endless.Ware[0].Yields.LaterFire = endless.Ware[0].Yields.FirstFire
	q := build(endless)
	t.chance(func(s random.Source) sample {
		r := simulate(q, plant.Options{Source: s, Weeks: 10})
		return sample{values: []float64{r.figure("packed.total", 3, 10) / r.figure("cast.total", 3, 10), r.figure("firings.per_good", 3, 10)}}
	}, wanted{name: "yield, unlimited refires", want: "0.9444444444"}, wanted{name: "firings per good piece", want: "1.176470588"})
}

// shiftCapacity: one sorter on two shifts, six minutes a piece at 90 %.
func shiftCapacity(t *trial) {
	p := build(works("station.yaml"))
	var d diary
	r := still(p, 15, d.write)
	for _, week := range []int{0, 6, 12} {
		t.exact(fmt.Sprintf("pieces in week %d", week+1), r.figure("packed.total", week, week+1), "720", 1e-12)
	}
	// Two shifts a day on five days: what is left after whole weeks is told as
	// the share of 80 hours that it takes.
	done := d.of("packed")[10_000-1].At
	day, rest := des.Time(done%des.Week)/des.Day, des.Time(done%des.Week)%des.Day
	weeks := float64(done/des.Week) + (float64(day)*16+hours(rest))/80
	t.printed("weeks", weeks, "13.889")
	t.exact("load of the sorter, %", r.figure("load.sorters", 0, 13), "100", 1e-12)
}

// kilnWithDoor: a shuttle that takes up to ten, is lit when so many wait, and
// lets nobody join a fire that has begun. A firing takes two hours, in which
// eight pieces come; waits are told in firings.
func kilnWithDoor(t *trial) {
	const weeks, warmUp, firing = 30, 2, 2.0
	for _, c := range []struct {
		least                int
		line, wait, load, on string
	}{
		{1, "4.878475", "0.609809", "8.000241", "0.999970"}, {5, "4.858233", "0.607279", "8.120527", "0.985158"},
		{8, "4.981742", "0.622718", "8.888923", "0.899997"}, {10, "5.378622", "0.672328", "10", "0.8"},
	} {
		w := works("door.yaml")
		w.Kilns[0].Least = share(c.least, 10)
		p := build(w)
		t.chance(func(s random.Source) sample {
			r := simulate(p, plant.Options{Source: s, Weeks: weeks})
			value := func(name string) float64 { return r.figure(name, warmUp, weeks) }
			came, lit := value("cast.total"), value("state.kiln.firing")/100
			return sample{
				// Pieces x hours before the kiln over pieces is their wait, by
				// Little's law; firings are counted by the time that they took.
				[]float64{value("wip.buffer"), value("wip.buffer") * 168 / came / firing, came / (168 * lit / firing), lit},
				[]float64{came - 4*168},
			}
		}, wanted{name: fmt.Sprintf("Lq, from %d", c.least), want: c.line}, wanted{name: "Wq", want: c.wait},
			wanted{name: "mean load", want: c.load}, wanted{name: "share firing", want: c.on})
	}
}

// fillingALoad: loads of 20 that fill at random, four pieces an hour, and leave
// as soon as they are full.
func fillingALoad(t *trial) {
	w := works("door.yaml")
	w.Kilns[0].Start, w.Kilns[0].Count = "full", 20
	w.Kilns[0].Load = plant.PerWare[int]{"": 20}
	p, last := build(w), 0.0
	t.chance(func(s random.Source) sample {
		came := map[uint64]des.Time{}
		var sums [2]float64 // of all, of the first
		loads, inLoad, load := 0, 0, ""
		simulate(p, plant.Options{Source: s, Weeks: 26, Observer: func(o plant.Observation) {
			switch o.Event {
			case "in the buffer":
				came[o.Piece] = o.At
			case "into the kiln":
				if o.Detail != load {
					load, inLoad = o.Detail, 0
					loads++
				}
				wait := hours(o.At - came[o.Piece])
				delete(came, o.Piece)
				sums[0] += wait / 20
				if inLoad++; inLoad == 1 {
					sums[1] += wait
				} else if inLoad == 20 {
					last = max(last, wait)
				}
			}
		}})
		n := float64(loads)
		return sample{values: []float64{sums[0] / n, sums[1] / n}}
	}, wanted{name: "mean wait, h", want: "2.375"}, wanted{name: "of the first, h", want: "4.75"})
	t.exact("longest of the last, h", last, "0", 0)
}

// tunnelPipeline: a tunnel kiln of 60 cars, pushed every 20 minutes.
func tunnelPipeline(t *trial) {
	p := build(works("tunnel.yaml"))
	var d diary
	r := still(p, 3, d.write)
	t.exact("transit, h", hours(only(d.spans("into the kiln", "out of the kiln"))), "20", 0)
	t.exact("cars an hour", r.figure("kiln.tunnel.firings", 1, 3)/168, "3", 1e-12)
	t.exact("pieces an hour", r.figure("packed.total", 1, 3)/168, "72", 1e-12)
	t.exact("pieces inside", r.figure("wip.kiln", 1, 3), "1440", 1e-12)
	late := 0
	for k, o := range d.of("into the kiln") {
		if o.At != des.Time(k/24)*20*des.Minute {
			late++
		}
	}
	t.same("pieces not on the car of their turn", late, "0")
}

// shuttleRounds: 10,000 pieces stand ready for two shuttle kilns of 240.
func shuttleRounds(t *trial) {
	p := build(works("shuttles.yaml"))
	var d diary
	still(p, 4, d.write)
	loads := map[string]int{}
	for _, o := range d.of("into the kiln") {
		loads[o.Detail]++
	}
	t.same("loads", len(loads), "42")
	packed := d.of("packed")
	t.exact("all drawn after, h", hours(packed[10_000-1].At), "504", 0)
	t.same("rounds of 24 h", int(packed[10_000-1].At/(24*des.Hour)), "21")
	t.same("last load", loads["load 42"], "160")
}

// pennyFabTwoByLittle: four stations of unlike crews, fed at the rate of the
// slowest. The third station of the book, of six machines, is the tests.
func pennyFabTwoByLittle(t *trial) {
	p := build(works("line.yaml"))
	r := still(p, 6, nil)
	t.exact("jobs at station 1", r.figure("wip.white", 1, 6), "0.8", 1e-12)
	t.exact("use of station 1, %", r.figure("load.first", 1, 6), "80", 1e-12)
	t.exact("jobs at station 3", r.figure("wip.test", 1, 6), "4", 1e-12)
	t.printed("use of station 3, %", r.figure("load.third", 1, 6), "66.7")
	t.exact("jobs an hour", r.figure("packed.total", 1, 6)/168, ".4", 1e-12)
}

// benchCycle: a wall of 10 mm round the clock, and on one shift.
func benchCycle(t *trial) {
	w := works("bench.yaml")
	p := build(w)
	var d diary
	r := still(p, 4, d.write)
	// In the mould: 20 min of filling, the build, 30 min of draining, 120 of
	// stiffening.
	build10 := only(d.spans("filled", "demoulded")) - 170*des.Minute
	t.exact("cast time, min", 60*hours(build10), "93.75", 1e-6)
	fills := d.of("filled")
	t.exact("mould cycle, min", 60*hours(fills[1].At-fills[0].At), "1223.75", 1e-6)
	t.printed("mould cycle, h", hours(fills[1].At-fills[0].At), "20.396")
	t.within("casts a day round the clock", r.figure("cast.pan", 0, 4)/7, "1.1767", 1.0/28) // one at the end
	w = works("bench.yaml")
	w.Hours[0].Weeks = []string{"daily 06:00-14:00"}
	p = build(w)
	t.exact("casts a day on one shift", still(p, 4, nil).figure("cast.pan", 1, 4)/7, "1", 1e-12)
}

// mouldStock: moulds that last 100 casts.
func mouldStock(t *trial) {
	life := law(random.Constant(100))
	w := works("bench.yaml")
	b := &w.Benches[0]
	b.Life, b.DryBack, b.Fill, b.Build, b.Drain, b.Set = life, 0, 1*des.Minute, 5*des.Minute, 1*des.Minute, 1*des.Minute
	w.Run.Length = 12 * des.Week
	var d diary
	still(build(w), 9, d.write)
	wrong := 0
	for k, o := range d.of("filled")[:10_870] {
		if !strings.HasPrefix(o.Detail, fmt.Sprintf("working mould %d (cast %d of 100)", k/100+1, k%100+1)) {
			wrong++
		}
	}
	mould, _, _ := strings.Cut(d.of("filled")[10_870-1].Detail, " (")
	t.same("cast 10,870 comes from", mould, "working mould 109")
	t.same("casts from another mould than by hand", wrong, "0")

	w = works("pipeline.yaml")
	w.Benches[0].Life = life
	p := build(w)
	d = nil
	r := still(p, 13, d.write)
	t.same("moulds of two benches of 60", w.Benches[0].Moulds, "120")
	t.same("worn in 91 days", 13*r.figure("moulds.worn.pan", 0, 13), "0")
	fills := d.of("filled")
	_, casts, _ := strings.Cut(fills[len(fills)-1].Detail, "(cast ")
	t.same("most casts of a mould", casts[:2], "91")
}

// sharedLuck: two works that differ in the rule of the kiln. Under one seed
// every cast is the same, draw by draw; so the difference between the two varies
// less than that of two works with luck of their own.
func sharedLuck(t *trial) {
	run := func(least int, s random.Source) (casts uint64, stock float64) {
		w := works("door.yaml")
		w.Kilns[0].Least = share(least, 10)
		p := build(w)
		log := fnv.New64a()
		r := simulate(p, plant.Options{Source: s, Weeks: 8, Observer: func(o plant.Observation) {
			if o.Event == "filled" {
				fmt.Fprintln(log, o.At, o.Piece, o.Detail)
			}
		}})
		return log.Sum64(), r.figure("wip.buffer", 1, 8)
	}
	alike, runs := 0, 30
	var shared, apart []float64
	for i := range runs {
		full, a := run(10, t.source("luck", i))
		early, b := run(1, t.source("luck", i))
		_, c := run(1, t.source("other luck", i))
		if full == early {
			alike++
		}
		shared, apart = append(shared, a-b), append(apart, a-c)
	}
	t.same("runs with the same casts, of 30", alike, "30")
	ratio := math.Pow(tallied(shared).SD()/tallied(apart).SD(), 2)
	t.report(Figure{Name: "Var(difference), shared over independent", Want: "< 1", Got: digits(ratio, 3), Held: ratio < 1})
}
