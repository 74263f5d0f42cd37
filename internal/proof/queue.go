package proof

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/random"
)

// A queue is customers who come, wait in one line, are served and go. It is the
// first model to read: customers are data in a rack, their coming is a timer,
// and each server is a process whose body is its working day.
type queue struct {
	s        *des.Sim
	line     *des.Rack[customer]
	arrivals *stream
	services *stream
	choices  *stream
	gap      spread // between arrivals
	service  spread

	batch random.Law // customers in an arrival; nil: one. Set by arriveIn
	room  int        // customers that the system holds; 0: no limit
	again float64    // chance that a customer served stays for another service. Set by comeBack

	came func()                              // called after each arrival
	rest func(p *des.Process)                // what a server does before he takes the next customer
	work func(p *des.Process, need des.Time) // how a service goes; p.Pass unless told otherwise

	present level // customers in the system
	waiting level // of these, those in line
	counts  tallies
	histo   []int     // sojourns by hundredth of a unit, if they are wanted
	extra   []float64 // controls of the model beyond arrivals and services
}

// A customer knows when he came and what was there.
type customer struct {
	arrived des.Time
	first   bool // this will be his first service
}

// tallies are the sums over customers, cleared after the warm-up.
//
// The controls are sums of deviations of draws, alone, squared, and weighted by
// what was present when the draw was made. A draw does not know that, so each
// product is 0 on average; but what a late customer or a long service does to the
// waits of others is in proportion to it. Taking them out leaves a tenth of the
// variance or less, so as small a part of the customers will do.
type tallies struct {
	came, refused, served, waited, left int
	waits, sojourns                     float64
	controls                            [9]float64
}

// newQueue makes a queue with one server.
func newQueue(s random.Source, gap, service random.Law) *queue {
	q := &queue{
		s: des.New(), arrivals: newStream(s, "arrival"), services: newStream(s, "service"), choices: newStream(s, "choice"),
		gap: spreadOf(gap), service: spreadOf(service),
	}
	q.line = des.NewRack[customer](q.s, "line", math.MaxInt)
	q.present.s, q.waiting.s = q.s, q.s
	q.work = func(p *des.Process, need des.Time) { p.Pass(need) }
	return q
}

// arriveIn has customers come in batches.
func (q *queue) arriveIn(batch random.Law) {
	q.batch, q.extra = batch, make([]float64, 2)
}

// Fire is an arrival.
func (q *queue) Fire(now des.Time) {
	n := 1
	if q.batch != nil {
		n = int(q.batch.Quantile(q.choices.uniform()))
		off := float64(n) - q.batch.Mean()
		q.extra[0] += off
		q.extra[1] += off * float64(q.present.value)
	}
	for range n {
		q.counts.came++
		if q.room > 0 && q.present.value == q.room {
			q.counts.refused++
			continue
		}
		q.present.add(1)
		q.waiting.add(1)
		q.line.TryPut(customer{now, true})
	}
	if q.came != nil {
		q.came()
	}
	q.next()
}

// next draws when the next customer will come.
func (q *queue) next() {
	gap := q.arrivals.span(q.gap.law)
	q.s.After(gap, des.Start, q)
	off := float64(gap) - q.gap.mean
	q.counts.controls[0] += off
	q.counts.controls[1] += off * float64(q.present.value)
	q.counts.controls[4] += q.gap.excess(gap)
	q.counts.controls[6] += off * float64(q.waiting.value)
}

// serve is the body of a server.
func (q *queue) serve(p *des.Process) {
	for {
		if q.rest != nil {
			q.rest(p)
		}
		x := q.line.Get(p)
		wait := q.begin(x)
		q.work(p, q.need(wait))
		if q.again > 0 && q.stays() {
			q.waiting.add(1)
			q.line.TryPut(customer{x.arrived, false})
			continue
		}
		q.leave(float64(p.Now() - x.arrived))
	}
}

// begin takes a customer out of the line and returns his wait in ms.
func (q *queue) begin(x customer) (wait float64) {
	q.waiting.add(-1)
	wait = float64(q.s.Now() - x.arrived)
	if x.first {
		q.counts.served++
		q.counts.waits += wait
		if wait > 0 {
			q.counts.waited++
		}
	}
	return wait
}

// need draws a service. What is given was known before the draw, such as the
// wait of the customer; it weights one of the controls.
func (q *queue) need(known float64) des.Time {
	need := q.services.span(q.service.law)
	off := float64(need) - q.service.mean
	q.counts.controls[2] += off
	q.counts.controls[3] += off * known
	q.counts.controls[5] += q.service.excess(need)
	q.counts.controls[7] += off * float64(q.waiting.value)
	q.counts.controls[8] += off * float64(q.present.value)
	return need
}

// comeBack has customers stay for another service with a chance.
func (q *queue) comeBack(chance float64) { q.again, q.extra = chance, make([]float64, 2) }

// stays draws whether a customer stays.
func (q *queue) stays() bool {
	yes := q.choices.yes(q.again)
	off := -q.again
	if yes {
		off++
	}
	q.extra[0] += off
	q.extra[1] += off * float64(q.present.value)
	return yes
}

// leave lets a customer go.
func (q *queue) leave(sojourn float64) {
	q.present.add(-1)
	q.counts.left++
	q.counts.sojourns += sojourn
	if q.histo != nil {
		q.histo[min(int(100*units(sojourn)), len(q.histo)-1)]++
	}
}

// run lets servers work for so many units of time after a warm-up of so many.
func (q *queue) run(servers int, warmUp, length float64) {
	defer q.s.Close()
	for range servers {
		q.s.Go("server", q.serve)
	}
	q.next()
	pass(q.s, des.Time(warmUp*float64(unit)))
	q.present.restart()
	q.waiting.restart()
	q.counts = tallies{}
	clear(q.histo)
	clear(q.extra)
	pass(q.s, des.Time(length*float64(unit)))
}

// wait and sojourn are means of a customer, in units.
func (q *queue) wait() float64    { return units(q.counts.waits) / float64(q.counts.served) }
func (q *queue) sojourn() float64 { return units(q.counts.sojourns) / float64(q.counts.left) }

// delayed is the share of customers who had to wait.
func (q *queue) delayed() float64 { return float64(q.counts.waited) / float64(q.counts.served) }

// yields puts values together with the controls of the queue and those of its
// own that a model has kept since.
func (q *queue) yields(values ...float64) sample {
	return sample{values, slices.Concat(q.counts.controls[:], q.extra)}
}

// quantile is the time in the system that a share of the customers did not
// exceed, in units.
func (q *queue) quantile(share float64) float64 {
	left := share * float64(q.counts.left)
	for bin, n := range q.histo {
		if left -= float64(n); left <= 0 {
			return (float64(bin) + 1 + left/float64(n)) / 100
		}
	}
	return math.Inf(1)
}
