package web

import (
	"crypto/rand"
	"net/http"
	"sync"
	"time"
)

// reportPolicy is for a report opened by itself: it has its style within, and
// neither scripts nor anything from elsewhere. Only the page itself may frame it.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'; sandbox allow-modals"

// tickets let the browser open a report in a tab of its own, where it sends no
// header: each is good for one report, once, for a short time.
type tickets struct {
	mutex sync.Mutex
	valid map[string]admission
}

type admission struct {
	report []byte
	until  time.Time
}

const ticketLife = 30 * time.Second

// issue makes a ticket for a report.
func (t *tickets) issue(report []byte, now time.Time) string {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	for k, a := range t.valid {
		if now.After(a.until) {
			delete(t.valid, k)
		}
	}
	if t.valid == nil {
		t.valid = map[string]admission{}
	}
	ticket := rand.Text()
	t.valid[ticket] = admission{report, now.Add(ticketLife)}
	return ticket
}

// redeem takes a ticket and gives its report.
func (t *tickets) redeem(ticket string, now time.Time) ([]byte, bool) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	a, ok := t.valid[ticket]
	delete(t.valid, ticket)
	return a.report, ok && !now.After(a.until)
}

// ticket hands out a ticket for the report of a run.
func (s *Server) ticket(w http.ResponseWriter, r *http.Request) {
	found := s.one(w, r)
	if found == nil {
		return
	}
	state, _ := s.queue.state(found)
	if state.outcome.Answer == nil {
		refuse(w, http.StatusNotFound, "this run has no report")
		return
	}
	reply(w, http.StatusOK, map[string]string{"ticket": s.tickets.issue(state.outcome.Answer.Report, s.Now())})
}

// report sends the report of a ticket.
func (s *Server) report(w http.ResponseWriter, r *http.Request) {
	report, ok := s.tickets.redeem(r.PathValue("ticket"), s.Now())
	if !ok {
		refuse(w, http.StatusNotFound, "this address was good for one look; open the report from the page again")
		return
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write(report)
}
