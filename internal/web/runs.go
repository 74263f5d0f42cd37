package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
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
	Code   int    // as the terminal would see it
	Answer []byte // JSON; nil where there is none
	Report []byte // one page of HTML, complete in itself; nil where there is none
	Said   string // on standard error
}

// Limits of the queue. More than one run at a time would only slow both: each
// uses all processors.
const (
	mostQueued = 16
	mostKept   = 200
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
	File     string    `json:"file"`
	State    string    `json:"state"`
	Asked    time.Time `json:"asked"`
	Ended    time.Time `json:"ended"`
	Code     int       `json:"code"`
	Said     string    `json:"said"`
	Title    string    `json:"title"` // the answer in one sentence, where there is one
	Progress *progress `json:"progress"`

	args    []string
	key     string // by which a repeated request is known
	outcome Outcome
	stop    context.CancelFunc
	version int // grows with every change
}

// progress is how far a run has come.
type progress struct {
	Done      int     `json:"done"`
	Most      int     `json:"most"`
	Driver    string  `json:"driver"`
	HalfWidth float64 `json:"half_width"` // relative; 0: not known
	Wanted    float64 `json:"wanted"`
	Seconds   float64 `json:"seconds"` // since the run began
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
func (q *queue) add(args []string, line, file, key string) (r *run, full bool) {
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
	r = &run{ID: q.next, Line: line, File: file, State: queued, Asked: q.Now(), args: args, key: key}
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
	inner, stop := context.WithCancel(ctx)
	defer stop()
	q.mutex.Lock()
	r.stop = stop
	q.mutex.Unlock()
	outcome := q.Command(inner, r.args, func(p experiment.Progress) {
		q.mutex.Lock()
		defer q.mutex.Unlock()
		r.Progress = &progress{Done: p.Replications, Most: p.Most, Driver: p.Driver, Wanted: p.Precision, Seconds: q.Now().Sub(began).Seconds()}
		if p.HalfWidth == p.HalfWidth {
			r.Progress.HalfWidth = p.HalfWidth
		}
		q.touch(r)
	})
	q.mutex.Lock()
	defer q.mutex.Unlock()
	r.outcome, r.Code, r.Said, r.Ended = outcome, outcome.Code, outcome.Said, q.Now()
	r.State, r.Title = stateOf(outcome, inner.Err() != nil), titleOf(outcome.Answer)
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

// titleOf reads the answer in one sentence off its JSON.
func titleOf(answer []byte) string {
	var a struct {
		Title string `json:"title"`
	}
	json.Unmarshal(answer, &a) // an answer without one has none
	return a.Title
}

// touch tells those who follow a run that it changed. The mutex is held.
func (q *queue) touch(r *run) {
	r.version++
	q.changed.Broadcast()
}

// stopRun asks a run to end with what it has.
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

// asked are the commands that the page may carry out, and plainFlag the flags
// that it may give them: none that names a file.
var (
	asked     = []string{"run", "compare", "size", "promise", "master", "tornado"}
	plainFlag = regexp.MustCompile(`^--(replications|seed|weeks|precision|fixed|doubt|by|matters|least|greatest|method|most|budget|input|guesses|ware|quantity|due|start|priority|demand|node|date|gate)(=[^\x00-\x1f]{1,200})?$`)
)

// startRun queues a command line.
func (s *Server) startRun(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Command string   `json:"command"`
		Files   []string `json:"files"`
		Flags   []string `json:"flags"`
		Key     string   `json:"key"`
	}
	if !take(w, r, &in) {
		return
	}
	if !slices.Contains(asked, in.Command) || len(in.Files) == 0 || len(in.Files) > 50 {
		refuse(w, http.StatusBadRequest, "a run is one of %s, of one file or more", strings.Join(asked, ", "))
		return
	}
	args, line := []string{in.Command}, "potbank "+in.Command
	for _, name := range in.Files {
		if _, err := s.load(name); err != nil {
			refuse(w, http.StatusNotFound, "there is no file %q", name)
			return
		}
		args, line = append(args, name), line+" "+name
	}
	for _, f := range in.Flags {
		if !plainFlag.MatchString(f) {
			refuse(w, http.StatusBadRequest, "the page does not know the flag %q", f)
			return
		}
		args, line = append(args, f), line+" "+quoted(f)
	}
	started, full := s.queue.add(args, line, in.Files[0], in.Key)
	if full {
		w.Header().Set("Retry-After", "30")
		refuse(w, http.StatusTooManyRequests, "%d runs are waiting already", mostQueued)
		return
	}
	state, _ := s.queue.state(started)
	reply(w, http.StatusAccepted, state)
}

// quoted is a flag as a shell takes it.
func quoted(flag string) string {
	if strings.ContainsAny(flag, " %\"'$&|<>()*?;") {
		return "'" + strings.ReplaceAll(flag, "'", `'\''`) + "'"
	}
	return flag
}

// listRuns lists the runs, the newest first.
func (s *Server) listRuns(w http.ResponseWriter, _ *http.Request) {
	s.queue.mutex.Lock()
	all := []run{}
	for _, r := range slices.Backward(s.queue.runs) {
		all = append(all, *r)
	}
	s.queue.mutex.Unlock()
	reply(w, http.StatusOK, map[string]any{"runs": all})
}

// one finds the run of a request, or says that there is none.
func (s *Server) one(w http.ResponseWriter, r *http.Request) *run {
	found := s.queue.find(r.PathValue("id"))
	if found == nil {
		refuse(w, http.StatusNotFound, "there is no such run")
	}
	return found
}

func (s *Server) showRun(w http.ResponseWriter, r *http.Request) {
	if found := s.one(w, r); found != nil {
		state, _ := s.queue.state(found)
		reply(w, http.StatusOK, state)
	}
}

func (s *Server) stopRun(w http.ResponseWriter, r *http.Request) {
	if found := s.one(w, r); found != nil {
		s.queue.stopOne(found)
		state, _ := s.queue.state(found)
		reply(w, http.StatusOK, state)
	}
}

// answer sends the JSON of a run that has ended.
func (s *Server) answer(w http.ResponseWriter, r *http.Request) {
	found := s.one(w, r)
	if found == nil {
		return
	}
	state, _ := s.queue.state(found)
	if state.outcome.Answer == nil {
		refuse(w, http.StatusNotFound, "this run has no answer")
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Write(state.outcome.Answer)
}

// followRun sends the state of a run whenever it changes, as server-sent events
// (HTML standard, section 9.2), until it has ended or nobody listens.
func (s *Server) followRun(w http.ResponseWriter, r *http.Request) {
	found := s.one(w, r)
	if found == nil {
		return
	}
	control := http.NewResponseController(w)
	control.SetReadDeadline(time.Time{}) // it may take hours
	w.Header().Set("Content-Type", "text/event-stream")
	gone := context.AfterFunc(r.Context(), func() {
		s.queue.mutex.Lock()
		s.queue.changed.Broadcast()
		s.queue.mutex.Unlock()
	})
	defer gone()
	seen := -1
	for r.Context().Err() == nil {
		s.queue.mutex.Lock()
		for found.version == seen && r.Context().Err() == nil {
			s.queue.changed.Wait()
		}
		state := *found
		seen = found.version
		s.queue.mutex.Unlock()
		data, err := json.Marshal(state)
		if err != nil {
			return
		}
		if _, err := fmt.Fprintf(w, "data: %s\n\n", data); err != nil || control.Flush() != nil {
			return
		}
		if state.State != queued && state.State != running {
			return
		}
		time.Sleep(100 * time.Millisecond) // nobody reads faster
	}
}
