package web

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"potbank/internal/experiment"
)

// A Command carries out one command line of the program in this process, with
// the folder's files by their paths. It returns when the command is done; a
// cancelled ctx is a Ctrl-C. Progress may be called from any goroutine.
type Command func(ctx context.Context, args []string, progress func(experiment.Progress)) Outcome

// An Outcome is what a command left behind.
type Outcome struct {
	Code   int     // as the terminal would see it
	Answer *Answer // nil where there is none
	Said   string  // on standard error
}

// An Answer is one answer in every form that it can be had in.
type Answer struct {
	Title    string   // the answer in one sentence
	Lead     []string // paragraphs that go with it
	JSON     []byte
	Report   []byte // one page of HTML, complete in itself
	Tables   []byte // CSV files in a ZIP archive
	Workbook []byte // for a spreadsheet
}

// Limits of the queue. More than one run at a time would only slow both: each
// uses all processors.
const (
	mostQueued = 16
	mostKept   = 60 // an answer in all its forms is about half a megabyte
)

// States of a run.
const (
	queued    = "queued"
	running   = "running"
	done      = "done"
	partly    = "partial" // stopped, with what it had
	failed    = "failed"
	cancelled = "cancelled" // stopped before there was anything
)

// run is one command line with what became of it.
type run struct {
	ID       int       `json:"id"`
	Line     string    `json:"line"` // as one would type it
	Files    []string  `json:"files"`
	State    string    `json:"state"`
	Asked    time.Time `json:"asked"`
	Ended    time.Time `json:"ended"`
	Code     int       `json:"code"`
	Said     string    `json:"said"`
	Title    string    `json:"title"` // the answer in one sentence, where there is one
	Lead     []string  `json:"lead"`
	Progress *progress `json:"progress"`

	args    []string
	key     string // by which a repeated request is known
	outcome Outcome
	stop    context.CancelFunc
	version int // grows with every change
}

// progress is how far a run has come.
type progress struct {
	Doing     string  `json:"doing"` // after the main replications
	Done      int     `json:"done"`
	Most      int     `json:"most"`
	Driver    string  `json:"driver"`
	HalfWidth float64 `json:"half_width"` // relative; 0: not known
	Wanted    float64 `json:"wanted"`
	Seconds   float64 `json:"seconds"` // since the run began
	Left      float64 `json:"left"`    // seconds to go, about
}

// queue holds the runs of this page, the newest last, and carries them out one
// at a time.
type queue struct {
	Config
	mutex   sync.Mutex
	changed *sync.Cond // any run changed
	runs    []*run
	next    int
	wake    chan struct{}
}

func newQueue(c Config) *queue {
	q := &queue{Config: c, wake: make(chan struct{}, 1)}
	q.changed = sync.NewCond(&q.mutex)
	return q
}

// add queues a run, unless as many wait already. A key seen before names the
// run it began.
func (q *queue) add(args []string, line string, files []string, key string) (r *run, full bool) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	waiting := 0
	for _, r := range q.runs {
		if key != "" && r.key == key {
			return r, false
		}
		if r.State == queued {
			waiting++
		}
	}
	if waiting >= mostQueued {
		return nil, true
	}
	q.next++
	r = &run{ID: q.next, Line: line, Files: files, State: queued, Asked: q.Now(), args: args, key: key}
	q.runs = append(q.runs, r)
	if i := slices.IndexFunc(q.runs, func(r *run) bool { return r.State != queued && r.State != running }); len(q.runs) > mostKept && i >= 0 {
		q.runs = slices.Delete(q.runs, i, i+1)
	}
	select {
	case q.wake <- struct{}{}:
	default:
	}
	return r, false
}

// work carries out runs until ctx is cancelled.
func (q *queue) work(ctx context.Context) {
	for {
		r := q.first(ctx)
		if r == nil {
			select {
			case <-q.wake:
				continue
			case <-ctx.Done():
				return
			}
		}
		q.carryOut(ctx, r)
	}
}

// first takes the run that has waited longest.
func (q *queue) first(ctx context.Context) *run {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	for _, r := range q.runs {
		if r.State == queued && ctx.Err() == nil {
			r.State = running
			q.touch(r)
			return r
		}
	}
	return nil
}

// carryOut runs one command line.
func (q *queue) carryOut(ctx context.Context, r *run) {
	began := q.Now()
	since, last := began, experiment.Progress{} // when what is counted began
	inner, stop := context.WithCancel(ctx)
	defer stop()
	q.mutex.Lock()
	r.stop = stop
	q.mutex.Unlock()
	outcome := q.Command(inner, r.args, func(p experiment.Progress) {
		q.mutex.Lock()
		defer q.mutex.Unlock()
		now := q.Now()
		if !p.Continues(last) {
			since = now
		}
		last = p
		r.Progress = &progress{Doing: p.Doing, Done: p.Replications, Most: p.Most, Driver: p.Driver, Wanted: p.Precision,
			Seconds: now.Sub(began).Seconds(), Left: p.Left(now.Sub(since)).Seconds()}
		if p.HalfWidth == p.HalfWidth {
			r.Progress.HalfWidth = p.HalfWidth
		}
		q.touch(r)
	})
	q.mutex.Lock()
	defer q.mutex.Unlock()
	r.outcome, r.Code, r.Said, r.Ended = outcome, outcome.Code, outcome.Said, q.Now()
	r.State = stateOf(outcome, inner.Err() != nil)
	if outcome.Answer != nil {
		r.Title, r.Lead = outcome.Answer.Title, outcome.Answer.Lead
	}
	q.touch(r)
}

// stateOf tells how a run ended.
func stateOf(o Outcome, stopped bool) string {
	switch {
	case o.Code == 0:
		return done
	case o.Answer == nil && stopped:
		return cancelled
	case o.Answer == nil:
		return failed
	}
	return partly
}

// touch tells those who follow a run that it changed. The mutex is held.
func (q *queue) touch(r *run) {
	r.version++
	q.changed.Broadcast()
}

// stopOne asks a run to end with what it has.
func (q *queue) stopOne(r *run) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	switch {
	case r.State == queued:
		r.State = cancelled
		q.touch(r)
	case r.stop != nil:
		r.stop()
	}
}

// stopAll asks every run to end.
func (q *queue) stopAll() {
	q.mutex.Lock()
	all := slices.Clone(q.runs)
	q.mutex.Unlock()
	for _, r := range all {
		q.stopOne(r)
	}
}

// find returns the run of an identity.
func (q *queue) find(id string) *run {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	for _, r := range q.runs {
		if fmt.Sprint(r.ID) == id {
			return r
		}
	}
	return nil
}

// state is a copy of a run that may be sent.
func (q *queue) state(r *run) (run, int) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	return *r, r.version
}
