package share

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/binary"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"potbank/internal/ledger"
	"potbank/internal/plant"
)

// Config says how a study is shared.
type Config struct {
	Listen string        // host and port of the embedded broker; empty: URL is used
	URL    string        // of a broker that runs elsewhere, such as "nats://queue:4222"
	Name   string        // of the desk: the same when the same study is run again, another for any other
	Folder string        // for the embedded broker, emptied before and after
	Token  string        // that workers must know; empty: none
	Secure *tls.Config   // of the embedded broker or towards another; nil: in the clear
	Here   int           // replications simulated at once by this process itself; 0: workers do all
	Limit  time.Duration // after which a replication that this process simulates is ended; 0: none
	Lease  time.Duration // after which a silent worker is taken for dead; 0: 30 s

	recheckOne int // one result of so many is made twice; 0: of a hundred

	// Repeat holds a result that came a second time against the first.
	Repeat func(k ledger.Key, packed []byte, worker string) error
	// Say tells how it goes, a line at a time.
	Say func(format string, args ...any)
}

// A job whose worker has not been heard of for a lease is given to another. A
// job that has cost so many workers their life is given up.
const (
	usualLease = 30 * time.Second
	mostDeaths = 5
)

func (c *Config) lease() time.Duration {
	if c.Lease > 0 {
		return c.Lease
	}
	return usualLease
}

// A Desk asks for replications and waits for their results. Its methods are safe
// for several goroutines.
type Desk struct {
	c      Config
	kind   Kind
	broker *server.Server // nil: elsewhere
	conn   *nats.Conn
	js     jetstream.JetStream
	jobs   jetstream.Stream

	ctx   context.Context
	stop  context.CancelFunc
	ended sync.WaitGroup

	mutex    sync.Mutex
	asks     map[ledger.Key]*ask
	queue    []*ask // not sent yet
	messages map[uint64]*message
	works    map[string]*sharedWorks
	number   uint64         // of the last message
	crew     map[string]int // who has worked, and on how many cores
	millis   float64        // that a replication takes, smoothed
	failed   error
	changed  chan struct{} // has room for one: the queue is longer
}

// ask is a replication that somebody waits for.
type ask struct {
	task    task
	works   string
	waiting int
	done    chan struct{} // closed when it has come
	part    part
	worker  string
	err     error
}

// message is a job on its way.
type message struct {
	job     job
	asks    []*ask
	seq     uint64 // in the stream; 0: not there yet
	missing int    // how often it was not found
	back    int    // how often it was handed back, if it is a comparison
}

// sharedWorks is a works that workers may ask for, as long as there are asks.
type sharedWorks struct {
	works *plant.Works
	asks  int
}

// Open starts sharing. Close must be called.
func Open(c Config) (*Desk, error) {
	var start [8]byte
	rand.Read(start[:]) // never fails
	d := &Desk{c: c, kind: OwnKind(), asks: map[ledger.Key]*ask{}, messages: map[uint64]*message{}, works: map[string]*sharedWorks{}, crew: map[string]int{},
		number: binary.LittleEndian.Uint64(start[:]), changed: make(chan struct{}, 1)}
	d.ctx, d.stop = context.WithCancel(context.Background())
	err := d.open()
	if err != nil {
		d.Close()
		return nil, err
	}
	d.ended.Add(3)
	go d.sendAll()
	go d.receiveAll()
	go d.watch()
	if c.Here > 0 {
		w := Worker{Name: hereName, Slots: c.Here, Limit: c.Limit, Token: c.Token, inProcess: d.broker, URL: c.URL, Secure: c.Secure}
		d.ended.Add(1)
		go func() {
			defer d.ended.Done()
			if err := w.Run(d.ctx); err != nil && d.ctx.Err() == nil {
				d.fail(err)
			}
		}()
	}
	return d, nil
}

func (d *Desk) open() (err error) {
	var more []nats.Option
	secure := d.c.Secure
	if d.c.Listen != "" {
		if d.broker, err = startBroker(d.c.Listen, d.c.Folder, d.c.Token, d.c.Secure); err != nil {
			return err
		}
		more, secure = append(more, nats.InProcessServer(d.broker)), nil
	}
	if d.conn, err = dial(d.c.URL, d.c.Token, "desk "+d.c.Name, secure, more...); err != nil {
		return err
	}
	if d.js, err = jetstream.New(d.conn); err != nil {
		return err
	}
	// A cluster that starts elects a leader first, and says nothing until then.
	for end := time.Now().Add(time.Minute); ; time.Sleep(again) {
		err = within(5*time.Second, d.lay)
		if err == nil {
			break
		}
		if time.Now().After(end) || !errors.Is(err, context.DeadlineExceeded) && !errors.Is(err, nats.ErrNoResponders) && !errors.Is(err, jetstream.ErrJetStreamNotEnabled) {
			return err
		}
	}
	_, err = d.conn.Subscribe(worksOf+d.c.Name, d.sendWorks)
	return err
}

// lay makes the streams, and clears away what an earlier run of the same study
// left to be done: whoever still wants it asks again.
func (d *Desk) lay(ctx context.Context) error {
	jobs, err := streams(ctx, d.js, &d.c, d.kind)
	if err != nil {
		return err
	}
	d.mutex.Lock()
	d.jobs = jobs
	d.mutex.Unlock()
	return jobs.Purge(ctx, jetstream.WithPurgeSubject(jobsOf+d.c.Name))
}

// URL is where workers join an embedded broker, as this machine sees it.
func (d *Desk) URL() string {
	if d.broker == nil {
		return d.c.URL
	}
	return d.broker.ClientURL()
}

// Pending returns how many replications are waited for, and how many cores have
// worked on them: what an autoscaler goes by.
func (d *Desk) Pending() (replications, cores int) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for _, n := range d.crew {
		cores += n
	}
	return len(d.asks), cores
}

// Away returns what has the replications of a works run by whoever joins.
func (d *Desk) Away(hash string, w *plant.Works) ledger.Away {
	return func(k ledger.Key, o plant.Options) ([]byte, string, error) { return d.run(k, hash, w, o) }
}

// patience is how often a waiting replication looks whether it is still wanted.
const patience = 50 * time.Millisecond

// run asks for a replication and waits for it.
func (d *Desk) run(k ledger.Key, hash string, w *plant.Works, o plant.Options) ([]byte, string, error) {
	a, err := d.ask(k, hash, w, o)
	if err != nil {
		return nil, "", err
	}
	tick := time.NewTicker(patience)
	defer tick.Stop()
	for {
		select {
		case <-a.done:
			return []byte(a.part.Packed), a.worker, a.err
		case <-tick.C:
			if o.Stopped != nil && o.Stopped() {
				d.leave(a)
				return nil, "", plant.ErrStopped
			}
		}
	}
}

// ask puts a replication into the queue, unless it is there.
func (d *Desk) ask(k ledger.Key, hash string, w *plant.Works, o plant.Options) (*ask, error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.failed != nil {
		return nil, d.failed
	}
	a := d.asks[k]
	if a == nil {
		a = &ask{task: taskOf(k, o), works: hash, done: make(chan struct{})}
		d.asks[k] = a
		if d.works[hash] == nil {
			d.works[hash] = &sharedWorks{works: w}
		}
		d.works[hash].asks++
		d.enqueue(a)
	}
	a.waiting++
	return a, nil
}

// enqueue has asks sent; the caller holds the mutex.
func (d *Desk) enqueue(asks ...*ask) {
	d.queue = append(d.queue, asks...)
	select {
	case d.changed <- struct{}{}:
	default:
	}
}

// leave ends the wait for a replication that is no longer wanted. A message of
// which nothing is wanted any more is taken out of the stream.
func (d *Desk) leave(a *ask) {
	d.mutex.Lock()
	a.waiting--
	var gone []uint64
	if a.waiting == 0 {
		d.settle(a, part{}, "", plant.ErrStopped)
		for number, m := range d.messages {
			if !m.wanted() {
				delete(d.messages, number)
				if m.seq > 0 {
					gone = append(gone, m.seq)
				}
			}
		}
	}
	jobs := d.jobs
	d.mutex.Unlock()
	for _, seq := range gone {
		ctx, cancel := context.WithTimeout(d.ctx, time.Second)
		jobs.DeleteMsg(ctx, seq) // it may be done by now
		cancel()
	}
}

// settle ends an ask; the caller holds the mutex.
func (d *Desk) settle(a *ask, p part, worker string, err error) {
	if d.asks[a.task.Key] != a {
		return
	}
	a.part, a.worker, a.err = p, worker, err
	delete(d.asks, a.task.Key)
	d.release(a.works)
	close(a.done)
}

// release lets a works go when nothing of it is asked for; the caller holds the
// mutex.
func (d *Desk) release(works string) {
	if s := d.works[works]; s != nil {
		if s.asks--; s.asks == 0 {
			delete(d.works, works)
		}
	}
}

// open tells whether somebody still waits.
func (a *ask) open() bool {
	select {
	case <-a.done:
		return false
	default:
		return true
	}
}

func (m *message) wanted() bool {
	for _, a := range m.asks {
		if a.open() {
			return true
		}
	}
	return m.job.Not != ""
}

// fail ends the study: every wait, and all that is asked for after.
func (d *Desk) fail(err error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.failed == nil {
		d.failed = err
	}
	for _, a := range d.asks {
		d.settle(a, part{}, "", d.failed)
	}
}

// Close ends sharing. What is still asked for fails, and is taken out of the
// queue; workers wait for the next study.
func (d *Desk) Close() error {
	d.fail(errors.New("the study is no longer shared"))
	d.mutex.Lock()
	jobs := d.jobs
	d.mutex.Unlock()
	if jobs != nil {
		ctx, cancel := context.WithTimeout(d.ctx, 2*time.Second)
		jobs.Purge(ctx, jetstream.WithPurgeSubject(jobsOf+d.c.Name)) // the broker may be gone
		cancel()
	}
	d.stop()
	d.ended.Wait()
	if d.conn != nil {
		d.conn.Close()
	}
	if d.broker != nil {
		d.broker.Shutdown()
		d.broker.WaitForShutdown()
		return removeFolder(d.c.Folder)
	}
	return nil
}

func (d *Desk) say(format string, args ...any) {
	if d.c.Say != nil {
		d.c.Say(format, args...)
	}
}

// sendWorks answers a worker that asks for a works; with nothing if nobody waits
// for it any more.
func (d *Desk) sendWorks(m *nats.Msg) {
	d.mutex.Lock()
	s := d.works[string(m.Data)]
	d.mutex.Unlock()
	var text []byte
	if s != nil {
		text = squeeze(s.works)
		if int64(len(text)) > d.conn.MaxPayload() {
			d.fail(fmt.Errorf("the works takes %d bytes, and the broker takes messages of %d only; hint: raise its max_payload", len(text), d.conn.MaxPayload()))
			text = nil
		}
	}
	m.Respond(text) // a worker that hears nothing asks again
}
