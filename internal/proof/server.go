package proof

import (
	"potbank/internal/des"
	"potbank/internal/random"
)

// failingServer: M/M/1 whose server breaks while it works, and only then. A
// service goes on where it was interrupted. To the queue a service is then as
// long as until it is complete, 1 + failure rate x mean repair on average.
//
// The body shows how to share time between two clocks without an event for each
// tick: work until whichever of need and life ends first, take it off both.
func failingServer(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(2), exponential(1))
		lives, repairs := newStream(s, "life"), newStream(s, "repair")
		life, repair := exponential(10), exponential(2)
		q.extra = make([]float64, 4)
		completion, completed := 0.0, 0
		left := lives.span(life)
		q.work = func(p *des.Process, need des.Time) {
			begun := p.Now()
			for need > 0 {
				worked := min(need, left)
				p.Pass(worked)
				need -= worked
				if left -= worked; left > 0 {
					continue
				}
				mend := repairs.span(repair)
				q.extra[0] += float64(mend) - repair.Mean()
				q.extra[1] += (float64(mend) - repair.Mean()) * float64(q.present.value)
				p.Pass(mend)
				left = lives.span(life)
				q.extra[2] += float64(left) - life.Mean()
				q.extra[3] += (float64(left) - life.Mean()) * float64(q.present.value)
			}
			completion += units(float64(p.Now() - begun))
			completed++
		}
		q.run(1, 1_000, 140_000)
		return q.yields(completion/float64(completed), q.wait(), q.sojourn())
	}, wanted{"mean completion", "1.2", 0, false}, wanted{"Wq", "2.3", 0, false}, wanted{"W", "3.5", 0, false})
}

// vacations: a server who finds nobody goes away, and again until somebody
// waits. The wait is that of M/M/1 and E[V^2] / (2 E[V]), what is left of a
// vacation for who comes in the middle of it.
func vacations(t *trial) {
	for _, c := range []struct {
		name string
		away random.Law
		want string
	}{{"(a) fixed", fixed(3), "2.5"}, {"(b) exponential", exponential(3), "4.0"}} {
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(2), exponential(1))
			d, vacation := newStream(s, "vacation"), spreadOf(c.away)
			q.extra = make([]float64, 2)
			q.rest = func(p *des.Process) {
				for q.line.Len() == 0 {
					away := d.span(c.away)
					q.extra[0] += float64(away) - c.away.Mean()
					q.extra[1] += vacation.excess(away)
					p.Pass(away)
				}
			}
			q.run(1, 500, 20_000)
			return q.yields(q.wait())
		}, wanted{"Wq " + c.name, c.want, 0, false})
	}
}

// lateStart: a server who has become idle begins again when five wait: as M/M/1,
// and (5 - 1) / 2 more in the system on average. The bell is rung at each arrival
// and the server looks again; he does not look every minute.
func lateStart(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(2), exponential(1))
		come := q.s.Bell("somebody came")
		q.came = come.Ring
		q.rest = func(p *des.Process) {
			if q.line.Len() > 0 {
				return
			}
			for q.line.Len() < 5 {
				come.WaitFor(p)
			}
		}
		q.run(1, 500, 8_000)
		return q.yields(q.present.mean(), q.wait())
	}, wanted{"L", "3.0", 0, false}, wanted{"Wq", "5.0", 0, false})
}

// sharedService: a wash for two cars at once. One that comes while a single car
// is washed joins it, and both are done together. The unit is an hour.
//
// Joining is done by who arrives, not by the wash, which waits for time to pass:
// a process in Pass need not be woken to take note of something.
func sharedService(t *trial) {
	t.chance(func(s random.Source) sample {
		q := newQueue(s, exponential(1.0/20), exponential(5.0/60))
		inside := make([]customer, 0, 2)
		q.came = func() {
			if len(inside) == 1 {
				q.join(&inside)
			}
		}
		q.s.Go("wash", func(p *des.Process) {
			for {
				inside = append(inside[:0], q.line.Get(p))
				q.begin(inside[0])
				if q.line.Len() > 0 {
					q.join(&inside)
				}
				p.Pass(q.need(float64(q.present.value)))
				for _, x := range inside {
					q.leave(float64(p.Now() - x.arrived))
				}
				inside = inside[:0]
			}
		})
		q.run(0, 100, 4_500)
		// The chance of n in the system falls by r0 from one n to the next,
		// from n = 2 on; shares far from the end are known best.
		ratio := q.present.share(4) / q.present.share(3)
		return q.yields(ratio, q.present.mean(), q.waiting.mean(), q.sojourn())
	}, wanted{"r0", "0.8844373105", 0, false}, wanted{"L", "7.653311932", 0, false}, wanted{"Lq", "5.986645265", 0, false},
		wanted{"W, h", "0.3826655966", 0, false})
}

// join takes the next in line into a service under way.
func (q *queue) join(inside *[]customer) {
	x, _ := q.line.TryGet()
	q.begin(x)
	*inside = append(*inside, x)
}
