package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"
)

// asked are the commands that the page may carry out, and plainFlag the flags
// that it may give them: none that names a file.
var (
	asked     = []string{"run", "compare", "size", "promise", "master", "tornado"}
	plainFlag = regexp.MustCompile(`^--(replications|seed|weeks|precision|fixed|doubt|by|matters|least|greatest|method|most|budget|input|guesses|ware|quantity|due|start|priority|service|demand|worth|capital|upkeep|node|kind|date|trace|gate|yearly|return)(=[^\x00-\x1f]{1,200})?$`)
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
	wanted := Asked{Command: in.Command, Files: in.Files, Flags: in.Flags}
	for _, name := range in.Files {
		if _, err := s.load(name); err != nil {
			refuse(w, http.StatusNotFound, "there is no file %q", name)
			return
		}
	}
	for _, f := range in.Flags {
		if !plainFlag.MatchString(f) {
			refuse(w, http.StatusBadRequest, "the page does not know the flag %q", f)
			return
		}
	}
	args := slices.Concat([]string{in.Command}, in.Files, in.Flags)
	started, full := s.queue.add(args, wanted.line(), in.Files, in.Key)
	if full {
		w.Header().Set("Retry-After", "30")
		refuse(w, http.StatusTooManyRequests, "%d runs are waiting already", mostQueued)
		return
	}
	state, _ := s.queue.state(started)
	reply(w, http.StatusAccepted, state)
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

// faces are the forms of an answer, by the names under which they are fetched.
var faces = map[string]struct {
	kind string
	of   func(*Answer) []byte
}{
	"answer.json": {"application/json; charset=utf-8", func(a *Answer) []byte { return a.JSON }},
	"report.html": {"text/html; charset=utf-8", func(a *Answer) []byte { return a.Report }},
	"tables.zip":  {"application/zip", func(a *Answer) []byte { return a.Tables }},
	"answer.xlsx": {"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", func(a *Answer) []byte { return a.Workbook }},
}

// answer sends the answer of a run that has ended, in one of its forms, as a file
// to be kept: no browser shows it as a page of this origin.
func (s *Server) answer(w http.ResponseWriter, r *http.Request) {
	found := s.one(w, r)
	if found == nil {
		return
	}
	state, _ := s.queue.state(found)
	face, known := faces[r.PathValue("face")]
	if !known || state.outcome.Answer == nil {
		refuse(w, http.StatusNotFound, "this run has no such answer")
		return
	}
	w.Header().Set("Content-Type", face.kind)
	w.Header().Set("Content-Disposition", "attachment")
	w.Write(face.of(state.outcome.Answer))
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
