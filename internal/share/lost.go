package share

import (
	"context"
	"errors"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// watch looks for jobs that the broker has lost, with its folder or its
// machine, and asks for them again: what was asked for and has not come is
// pending, whatever the broker says.
func (d *Desk) watch() {
	defer d.ended.Done()
	for {
		d.pause(d.c.lease() / 6)
		if d.ctx.Err() != nil {
			return
		}
		ctx, cancel := context.WithTimeout(d.ctx, 5*time.Second)
		d.look(ctx)
		cancel()
	}
}

func (d *Desk) look(ctx context.Context) {
	d.mutex.Lock()
	jobs, sent := d.jobs, map[uint64]*message{}
	for number, m := range d.messages {
		if m.seq > 0 {
			sent[number] = m
		}
	}
	d.mutex.Unlock()
	info, err := jobs.Info(ctx)
	switch {
	case errors.Is(err, jetstream.ErrStreamNotFound):
		if d.lay(ctx) == nil {
			d.say("the broker has lost its queue; %d jobs are handed out again", len(sent))
			d.askAgain(sent)
		}
		return
	case err != nil: // not reached: it goes on when it is
		return
	}
	if _, err := jobs.Consumer(ctx, workers); errors.Is(err, jetstream.ErrConsumerNotFound) && d.lay(ctx) == nil {
		d.askAgain(sent)
		return
	}
	if info.State.Msgs >= uint64(len(sent)) {
		return // all can be there
	}
	lost := map[uint64]*message{}
	for number, m := range sent {
		if _, err := jobs.GetMsg(ctx, m.seq); !errors.Is(err, jetstream.ErrMsgNotFound) {
			m.missing = 0
		} else if m.missing++; m.missing > 2 { // its result may be on the way
			lost[number] = m
		}
	}
	d.askAgain(lost)
}

// askAgain puts what is still wanted of messages back into the queue.
func (d *Desk) askAgain(lost map[uint64]*message) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for number, m := range lost {
		if d.messages[number] != m {
			continue
		}
		delete(d.messages, number)
		if m.job.Not != "" {
			d.release(m.job.Works)
		}
		for _, a := range m.asks {
			if a.open() {
				d.enqueue(a)
			}
		}
	}
}
