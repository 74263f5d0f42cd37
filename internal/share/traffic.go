package share

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"potbank/internal/ledger"
)

// A message should take so long that its way does not matter, and no longer,
// since a worker that dies loses it; and it never holds more than so many
// replications.
const (
	messageMillis = 1500
	mostTasks     = 64
)

// again is the pause before something that failed is tried again.
const again = 250 * time.Millisecond

// sendAll sends what is in the queue.
func (d *Desk) sendAll() {
	defer d.ended.Done()
	for {
		select {
		case <-d.ctx.Done():
			return
		case <-d.changed:
		}
		for m := d.next(); m != nil; m = d.next() {
			d.send(m)
		}
	}
}

// next makes a message of the beginning of the queue; nil: there is none.
func (d *Desk) next() *message {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for len(d.queue) > 0 && !d.queue[0].open() {
		d.queue = d.queue[1:]
	}
	if len(d.queue) == 0 {
		return nil
	}
	m := d.newMessage(d.queue[0].works, "")
	for most := d.together(); len(d.queue) > 0 && len(m.asks) < most && d.queue[0].works == m.job.Works; d.queue = d.queue[1:] {
		m.add(d.queue[0])
	}
	return m
}

// together is how many replications go into one message: so many that it takes a
// second or so, if there is enough for every core; the caller holds the mutex.
func (d *Desk) together() int {
	if d.millis == 0 {
		return 1
	}
	cores := 0
	for _, n := range d.crew {
		cores += n
	}
	return max(1, min(int(messageMillis/d.millis), len(d.asks)/max(1, 2*cores), mostTasks))
}

// newMessage enters an empty message in the list; the caller holds the mutex.
func (d *Desk) newMessage(works, not string) *message {
	d.number++
	m := &message{job: job{Kind: string(d.kind), Desk: d.c.Name, Works: works, Number: d.number, Not: not}}
	d.messages[d.number] = m
	return m
}

func (m *message) add(a *ask) {
	m.asks = append(m.asks, a)
	m.job.Tasks = append(m.job.Tasks, a.task)
}

// send puts a message into the stream, however long that takes.
func (d *Desk) send(m *message) {
	text := squeeze(&m.job)
	for told := false; d.ctx.Err() == nil; {
		ctx, cancel := context.WithTimeout(d.ctx, 5*time.Second)
		ack, err := d.js.Publish(ctx, jobsOf+d.c.Name, text, jetstream.WithMsgID(messageID(d.c.Name, m.job.Number)))
		cancel()
		if err == nil {
			d.mutex.Lock()
			m.seq = ack.Sequence
			d.mutex.Unlock()
			return
		}
		if !told && d.ctx.Err() == nil {
			told = true
			d.say("no job can be handed out (%v); it is tried again until it can", err)
		}
		d.pause(again)
	}
}

// pause waits, or until the desk closes.
func (d *Desk) pause(t time.Duration) {
	select {
	case <-d.ctx.Done():
	case <-time.After(t):
	}
}

// receiveAll takes in what comes back.
func (d *Desk) receiveAll() {
	defer d.ended.Done()
	for d.ctx.Err() == nil {
		results, err := d.js.CreateOrUpdateConsumer(d.ctx, resultsStream, jetstream.ConsumerConfig{
			Durable: d.c.Name, FilterSubject: resultsOf + d.c.Name, AckPolicy: jetstream.AckExplicitPolicy, AckWait: d.c.lease(), MaxAckPending: unacked,
		})
		for err == nil && d.ctx.Err() == nil {
			err = d.receive(results)
		}
		d.pause(again)
	}
}

// glance is how long a fetch waits for something to come: so long the end of a
// study may have to wait for it.
const glance = 300 * time.Millisecond

// receive takes in what comes.
func (d *Desk) receive(results jetstream.Consumer) error {
	batch, err := results.Fetch(100, jetstream.FetchMaxWait(glance))
	if err != nil {
		return err
	}
	for m := range batch.Messages() {
		var o outcome
		if err := expand(m.Data(), &o); err == nil { // what cannot be read is asked for again
			d.take(&o)
		}
		m.Ack() // one that is lost brings the result once more
	}
	return batch.Error()
}

// take hands results to whoever waits for them. One that nobody waits for came
// once too often, and must be the same.
func (d *Desk) take(o *outcome) {
	d.mutex.Lock()
	if o.Worker != "" && d.crew[o.Worker] == 0 {
		d.crew[o.Worker] = max(1, o.Cores)
		if len(d.crew) > 1 || o.Worker != hereName {
			defer d.say("%s has joined with %d cores", o.Worker, max(1, o.Cores))
		}
	}
	m := d.messages[o.Number]
	delete(d.messages, o.Number)
	if m != nil && m.job.Not != "" && o.Back == "" {
		d.release(m.job.Works)
	}
	if o.Back != "" {
		d.takeBack(m, o)
		d.mutex.Unlock()
		return
	}
	if n := len(o.Parts); n > 0 {
		took := max(0.1, float64(o.Millis)/float64(n))
		if d.millis == 0 {
			d.millis = took
		}
		d.millis += (took - d.millis) / 8
	}
	var repeats []part
	for _, p := range o.Parts {
		a := d.asks[p.Key]
		switch {
		case a == nil:
			repeats = append(repeats, p)
		case p.Err != "":
			d.settle(a, p, o.Worker, errors.New(p.Err))
		default:
			d.recheck(a, o.Worker)
			d.settle(a, p, o.Worker, nil)
		}
	}
	d.mutex.Unlock()
	d.compare(repeats, o.Worker)
}

// compare holds results that came again against the first.
func (d *Desk) compare(repeats []part, worker string) {
	for _, p := range repeats {
		if p.Err != "" || d.c.Repeat == nil {
			continue
		}
		if err := d.c.Repeat(p.Key, []byte(p.Packed), worker); err != nil {
			d.fail(err)
		}
	}
}

// takeBack sends what a worker did not do to others, one by one if it may have
// cost a life: then it is known which. The caller holds the mutex.
func (d *Desk) takeBack(m *message, o *outcome) {
	if m == nil {
		return
	}
	if m.job.Not != "" {
		d.passOn(m)
		return
	}
	for _, a := range m.asks {
		switch {
		case !a.open():
		case o.Deaths >= mostDeaths && len(m.asks) == 1:
			d.settle(a, part{}, "", fmt.Errorf("%w: it has ended %d workers, the last time before %s had it", ledger.ErrGivenUp, o.Deaths, o.Worker))
		case o.Deaths > 0:
			single := d.newMessage(a.works, "")
			single.add(a)
			d.sendApart(single, 0)
		default:
			d.enqueue(a)
		}
	}
}

// recheckOne of so many results is made a second time by somebody else, since a
// worker may have a fault that nobody sees.
const recheckOne = 100

// recheck asks somebody else for a result that has come, for one in a hundred.
// Nobody waits for it. The caller holds the mutex.
func (d *Desk) recheck(a *ask, worker string) {
	if len(d.crew) < 2 || (int(a.task.Key[0])<<8|int(a.task.Key[1]))%d.recheckOne() != 0 {
		return
	}
	again := d.newMessage(a.works, worker)
	again.job.Tasks = []task{a.task}
	if s := d.works[a.works]; s != nil { // kept for it, and let go at the end
		s.asks++
	}
	d.sendApart(again, 0)
}

// passOn offers a comparison anew that was handed back: by the maker of the
// result, mostly, who is as likely to fetch it as anybody. While there is nobody
// else it comes back each time, so the pauses grow. The caller holds the mutex.
func (d *Desk) passOn(m *message) {
	next := d.newMessage(m.job.Works, m.job.Not)
	next.job.Tasks, next.back = m.job.Tasks, m.back+1
	d.sendApart(next, again<<min(m.back, 5))
}

// sendApart sends a message after a pause, and holds nobody up.
func (d *Desk) sendApart(m *message, after time.Duration) {
	d.ended.Add(1)
	go func() {
		defer d.ended.Done()
		if after > 0 {
			d.pause(after)
		}
		d.send(m)
	}()
}

func (d *Desk) recheckOne() int {
	if d.c.recheckOne > 0 {
		return d.c.recheckOne
	}
	return recheckOne
}

func removeFolder(folder string) error {
	if folder == "" {
		return nil
	}
	return os.RemoveAll(folder)
}
