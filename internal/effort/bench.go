package effort

import (
	"context"
	"slices"
	"time"

	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// Machine is what a bench is told of the machine it runs on.
type Machine struct {
	Now   func() time.Time
	Used  func() time.Duration // processor time of the program so far, all cores together
	Peak  func() int64         // most memory held since Fresh, bytes; 0: not known
	Fresh func()
	Cores int
}

// Bench is what replications of one works take, measured. Intervals are at
// [experiment.Level] over the repeats: how far one measurement can be trusted on a
// machine that does other things as well.
type Bench struct {
	Cores   int // of the machine
	Weeks   int // of one replication
	Repeats int // of every measurement
	Batch   int // replications in each, for one worker
	Year    stats.Estimate
	Events  stats.Estimate // of one replication
	Packed  stats.Estimate // bytes of its result
	Stored  stats.Estimate // bytes that it takes in a ledger
	Points  []Point        // by workers, from 1
}

// Point is what so many workers at once do.
type Point struct {
	Workers int
	Rate    stats.Estimate // replications a second
	Work    stats.Estimate // processor seconds of one replication
	Peak    int64          // bytes held at most; 0: not known
}

// Of a bench: replications of each worker in a measurement, and weeks of a year.
const (
	perWorker = 2
	yearWeeks = 365.25 / 7
)

// Measure simulates the works with 1, 2, ... workers, each repeats times, and with the
// same luck every time, so that what differs is the machine's doing. Progress is told
// how many replications of how many are done. The error is that of ctx or an
// *experiment.ReplicationError.
func Measure(ctx context.Context, p *plant.Plant, o plant.Options, seed uint64, m Machine, workers, repeats int, progress func(done, of int)) (*Bench, error) {
	b := &Bench{Cores: m.Cores, Weeks: o.Weeks, Repeats: repeats, Batch: perWorker}
	if b.Weeks == 0 {
		b.Weeks = p.Weeks()
	}
	curve := Curve(workers)
	done, all := 0, 0
	for _, w := range curve {
		all += perWorker * w * repeats
	}
	var events, packed, stored []float64
	p = p.Recalling(nil)
	for _, w := range curve {
		m.Fresh()
		var rate, work []float64
		for repeat := range repeats {
			n := perWorker * w
			start, used := m.Now(), m.Used()
			err := experiment.Each(ctx, w, n, func(ctx context.Context, number int) (*plant.Result, error) {
				one := o
				one.Source, one.Stopped = random.New(seed, uint32(number)), func() bool { return ctx.Err() != nil }
				return p.Simulate(one)
			}, func(r *plant.Result) bool {
				if done++; w == curve[len(curve)-1] && repeat == 0 {
					events, packed, stored = append(events, float64(r.Events)), append(packed, float64(len(ledger.Pack(r)))), append(stored, float64(ledger.Stored(r)))
				}
				progress(done, all)
				return false
			})
			if err != nil {
				return nil, err
			}
			rate = append(rate, float64(n)/max(m.Now().Sub(start).Seconds(), 1e-9))
			work = append(work, (m.Used()-used).Seconds()/float64(n))
		}
		b.Points = append(b.Points, Point{w, mean(rate), mean(work), m.Peak()})
		if w == 1 {
			for i := range work {
				work[i] *= yearWeeks / float64(b.Weeks)
			}
			b.Year = mean(work)
		}
	}
	b.Events, b.Packed, b.Stored = mean(events), mean(packed), mean(stored)
	return b, nil
}

func mean(xs []float64) stats.Estimate { return stats.MeanInterval(xs, experiment.Level) }

// Curve is the numbers of workers that are tried up to a number: all up to 4, then
// each twice the one before.
func Curve(most int) []int {
	var all []int
	for w := 1; w < most; {
		all = append(all, w)
		if w < 4 {
			w++
		} else {
			w *= 2
		}
	}
	return append(all, most)
}

// Last is the point with the most workers.
func (b *Bench) Last() Point { return b.Points[len(b.Points)-1] }

// A Projection is what a study would take on some cores like those of this machine
// when they are all at work.
type Projection struct {
	Cores       int
	Here        bool          // they are those of this machine
	Least, Most time.Duration // by the replications of the study
	Low, High   time.Duration // of Most, by the spread of the measurements; High below 0: they are too far apart to tell
	Hours       float64       // of all cores, at most
}

// handOver is what it costs the machine that asks to hand out a replication and to
// keep what comes back; see BenchmarkOverhead of package share.
const handOver = 2 * time.Millisecond

// Busy is the share of the cores that the program asked for and got, with the most
// workers: less than 1 where the machine did other things.
func (b *Bench) Busy() float64 {
	last := b.Last()
	return last.Rate.Value * last.Work.Value / float64(min(last.Workers, b.Cores))
}

// Project reckons what a study takes on this machine, at the rate that was measured,
// and on others, which have nothing else to do, by processor time.
func (b *Bench) Project(runs experiment.Runs, cores []int) []Projection {
	last := b.Last()
	here := Projection{Cores: b.Cores, Here: true}
	// So long a core is busy with a replication.
	here.fill(runs, last.Rate, func(rate float64) float64 { return float64(min(last.Workers, b.Cores)) / rate }, 0)
	list := []Projection{here}
	for _, n := range cores {
		p := Projection{Cores: n}
		p.fill(runs, last.Work, func(work float64) float64 { return work }, handOver)
		list = append(list, p)
	}
	slices.SortStableFunc(list, func(a, b Projection) int { return a.Cores - b.Cores })
	return list
}

// fill reckons the times from a measurement, of which each gives the seconds of a
// replication on one core; atLeast is spent on each by one machine.
func (p *Projection) fill(runs experiment.Runs, e stats.Estimate, each func(float64) float64, atLeast time.Duration) {
	on := func(replications int, by float64) time.Duration {
		n := float64(replications)
		t := times((min(1, n)+max(0, n-1)/float64(p.Cores))*each(by), time.Second)
		return max(t, times(n, atLeast))
	}
	p.Least, p.Most = on(runs.Least, e.Value), on(runs.Most, e.Value)
	p.Low, p.High = p.Most, -1
	if e.HasInterval() && e.Low > 0 {
		a, b := on(runs.Most, e.Low), on(runs.Most, e.High)
		p.Low, p.High = min(a, b), max(a, b)
	}
	p.Hours = p.Most.Hours() * float64(p.Cores)
}
