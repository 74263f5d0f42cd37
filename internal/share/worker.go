package share

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"potbank/internal/effort"
	"potbank/internal/ledger"
	"potbank/internal/plant"
)

// hereName is the name of the worker in the desk's own process.
const hereName = "this machine"

// ErrNotLetIn is a broker that does not know the worker's token.
var ErrNotLetIn = errors.New("the broker does not let this worker in; hint: give it the token of the study")

// A Worker takes jobs from whoever shares a study.
type Worker struct {
	URL    string // of the broker
	Token  string
	Secure *tls.Config // nil: in the clear
	Name   string      // told with every result
	Slots  int         // jobs at once
	Idle   time.Duration
	Limit  time.Duration // after which a replication is ended, as one that failed; 0: none
	Say    func(format string, args ...any)

	inProcess *server.Server // nil: by URL
	simulate  func(p *plant.Plant, o plant.Options) (*plant.Result, error)
	kind      Kind

	conn  *nats.Conn
	js    jetstream.JetStream
	mutex sync.Mutex
	lease time.Duration
	known map[string]*plant.Plant
	names []string // of known, the oldest first
	last  time.Time
}

// Run works until ctx ends, or there was nothing to do for as long as Idle, if
// that is not zero. What is being done when ctx ends is handed back at once. The
// error says why it may not work: a *KindError, or ErrNotLetIn.
func (w *Worker) Run(ctx context.Context) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	if w.simulate == nil {
		w.simulate = (*plant.Plant).Simulate
	}
	if simulate := w.simulate; w.Limit > 0 {
		w.simulate = func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
			return effort.Within(w.Limit, time.Now, func(o plant.Options) (*plant.Result, error) { return simulate(p, o) })(o)
		}
	}
	if w.kind == "" {
		w.kind = OwnKind()
	}
	w.known = map[string]*plant.Plant{}
	more := []nats.Option{nats.RetryOnFailedConnect(true), nats.ClosedHandler(func(c *nats.Conn) {
		if errors.Is(c.LastError(), nats.ErrAuthorization) {
			stop(ErrNotLetIn)
		}
	})}
	if w.inProcess != nil {
		more = append(more, nats.InProcessServer(w.inProcess))
	}
	secure := w.Secure
	if w.inProcess != nil {
		secure = nil
	}
	var err error
	if w.conn, err = dial(w.URL, w.Token, w.Name, secure, more...); err != nil {
		return err
	}
	defer w.conn.Close()
	if w.js, err = jetstream.New(w.conn); err != nil {
		return err
	}
	w.busy()
	var all sync.WaitGroup
	for range w.Slots {
		all.Go(func() { w.work(ctx, stop) })
	}
	all.Wait()
	if cause := context.Cause(ctx); !errors.Is(cause, context.Canceled) && !errors.Is(cause, errIdle) {
		return cause
	}
	return nil
}

// errIdle ends a worker that has had nothing to do.
var errIdle = errors.New("nothing to do")

func (w *Worker) busy() {
	w.mutex.Lock()
	w.last = time.Now()
	w.mutex.Unlock()
}

func (w *Worker) idleSince() time.Duration {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return time.Since(w.last)
}

// work takes one job after the other. Whatever goes wrong with the broker is
// tried again: it may come back, or another take its place.
func (w *Worker) work(ctx context.Context, stop context.CancelCauseFunc) {
	for ctx.Err() == nil {
		jobs, err := w.join(ctx)
		for err == nil && ctx.Err() == nil {
			err = w.fetch(ctx, jobs)
			if w.Idle > 0 && w.idleSince() > w.Idle {
				stop(errIdle)
			}
		}
		var unlike *KindError
		if errors.As(err, &unlike) {
			stop(unlike)
		}
		if w.Idle > 0 && w.idleSince() > w.Idle {
			stop(errIdle)
		}
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

// join finds the queue, if it is one for this kind of worker.
func (w *Worker) join(ctx context.Context) (jetstream.Consumer, error) {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	stream, err := w.js.Stream(ctx, jobsStream)
	if err != nil {
		return nil, err
	}
	if desk := Kind(stream.CachedInfo().Config.Metadata[kindKey]); desk != w.kind {
		return nil, &KindError{desk, w.kind}
	}
	jobs, err := stream.Consumer(ctx, workers)
	if err == nil {
		w.mutex.Lock()
		w.lease = jobs.CachedInfo().Config.AckWait
		w.mutex.Unlock()
	}
	return jobs, err
}

// fetch takes one job, if one comes, and does it.
func (w *Worker) fetch(ctx context.Context, jobs jetstream.Consumer) error {
	batch, err := jobs.Fetch(1, jetstream.FetchMaxWait(glance))
	if err != nil {
		return err
	}
	for m := range batch.Messages() {
		w.busy()
		if err := w.do(ctx, m); err != nil {
			return err
		}
		w.busy()
	}
	return batch.Error()
}

// do does a job, hands it back, or drops one that nobody wants.
func (w *Worker) do(ctx context.Context, m jetstream.Msg) error {
	over := w.hold(m)
	defer over()
	var j job
	if err := expand(m.Data(), &j); err != nil {
		return m.Term()
	}
	about, err := m.Metadata()
	if err != nil {
		return err
	}
	before := int(about.NumDelivered) - 1 // workers that had it, and were not heard of again
	switch {
	case Kind(j.Kind) != w.kind:
		w.answer(ctx, m, &j, &outcome{Back: "another kind"})
		return &KindError{Kind(j.Kind), w.kind}
	case j.Not == w.Name: // handed back and not refused: the count of deliveries counts deaths only
		return w.answer(ctx, m, &j, &outcome{Back: "it is to be compared with a result of this worker"})
	case j.Not != "" && before > 0:
		return m.Ack() // to compare is not worth a second life
	case before > 0 && (before >= mostDeaths || len(j.Tasks) > 1):
		return w.answer(ctx, m, &j, &outcome{Back: "it may kill", Deaths: before})
	}
	p, err := w.plant(&j)
	switch {
	case errors.Is(err, nats.ErrNoResponders) || err == nil && p == nil:
		return m.Ack() // its desk is gone, or nobody waits for it any more
	case err != nil:
		return w.answer(ctx, m, &j, &outcome{Back: err.Error()})
	}
	o := outcome{}
	start := time.Now()
	for i := range j.Tasks {
		end, err := w.simulated(ctx, p, &j.Tasks[i])
		if err != nil {
			return w.answer(ctx, m, &j, &outcome{Back: err.Error()})
		}
		o.Parts = append(o.Parts, end)
	}
	o.Millis = time.Since(start).Milliseconds()
	return w.answer(ctx, m, &j, &o)
}

// hold tells the broker every third of a lease that the job is being done, until
// over is called.
func (w *Worker) hold(m jetstream.Msg) (over func()) {
	w.mutex.Lock()
	every := max(w.lease/3, time.Millisecond)
	w.mutex.Unlock()
	done := make(chan struct{})
	go func() {
		tick := time.NewTicker(every)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				m.InProgress() // one that is lost is followed by another
			}
		}
	}()
	return func() { close(done) }
}

// simulated runs one replication. A panic ends the replication, not the worker.
// The error is that it is to stop.
func (w *Worker) simulated(ctx context.Context, p *plant.Plant, t *task) (end part, err error) {
	end.Key = t.Key
	defer func() {
		if value := recover(); value != nil {
			end.Err = fmt.Sprintf("internal fault %v\n%s", value, debug.Stack())
		}
	}()
	r, err := w.simulate(p, t.options(func() bool { return ctx.Err() != nil }))
	if errors.Is(err, plant.ErrStopped) || ctx.Err() != nil {
		return end, context.Canceled
	}
	if err != nil {
		end.Err = err.Error()
		return end, nil
	}
	end.Packed = string(ledger.Pack(r))
	return end, nil
}

// answer sends an outcome, and then tells the broker that the job is done: in
// this order, so that no result is lost between the two.
func (w *Worker) answer(ctx context.Context, m jetstream.Msg, j *job, o *outcome) error {
	o.Worker, o.Number, o.Cores = w.Name, j.Number, w.Slots
	text := squeeze(o)
	if most := w.conn.MaxPayload(); int64(len(text)) > most {
		for i := range o.Parts {
			if p := &o.Parts[i]; len(p.Packed) > 0 {
				*p = part{Key: p.Key, Err: fmt.Sprintf("the result takes %d bytes of a message, and the broker takes %d; hint: raise its max_payload", len(text), most)}
			}
		}
		text = squeeze(o)
	}
	// The study may be over, or the broker away for a while: so long it is tried,
	// but once only by a worker that is to end. Neither wait may be long, since an
	// answer of a broker that has died does not come.
	for end := time.Now().Add(usualLease); ; time.Sleep(again) {
		err := within(answerWait, func(ctx context.Context) error {
			_, err := w.js.Publish(ctx, resultsOf+j.Desk, text, jetstream.WithMsgID(messageID(j.Desk+" "+w.Name, j.Number)))
			return err
		})
		if err == nil {
			return within(answerWait, m.DoubleAck)
		}
		if time.Now().After(end) || ctx.Err() != nil || w.conn.IsClosed() {
			return err
		}
	}
}

// answerWait is how long a broker that is there may take to answer.
const answerWait = 2 * time.Second

func within(t time.Duration, do func(context.Context) error) error {
	ctx, cancel := context.WithTimeout(context.Background(), t)
	defer cancel()
	return do(ctx)
}

// plantsKnown is how many works a worker remembers.
const plantsKnown = 32

// plant returns the works of a job, asked for once; nil if nobody wants it any
// more.
func (w *Worker) plant(j *job) (*plant.Plant, error) {
	w.mutex.Lock()
	p := w.known[j.Works]
	w.mutex.Unlock()
	if p != nil {
		return p, nil
	}
	reply, err := w.conn.Request(worksOf+j.Desk, []byte(j.Works), 10*time.Second)
	if err != nil || len(reply.Data) == 0 {
		return nil, err
	}
	works := new(plant.Works)
	if err := expand(reply.Data, works); err != nil {
		return nil, err
	}
	p, faults := plant.New(works)
	if p == nil {
		return nil, fmt.Errorf("the works %s cannot be built: %v", strings.TrimSpace(j.Works), faults)
	}
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.known[j.Works] == nil {
		w.known[j.Works] = p
		w.names = append(w.names, j.Works)
		if len(w.names) > plantsKnown {
			delete(w.known, w.names[0])
			w.names = w.names[1:]
		}
	}
	return p, nil
}
