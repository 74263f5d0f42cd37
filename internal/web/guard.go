package web

import (
	"crypto/sha256"
	"crypto/subtle"
	"log/slog"
	"mime"
	"net/http"
	"strings"
	"sync"
	"time"
)

// mostBody bounds the body of a request, in bytes: a scenario is at most 1 MiB
// and JSON adds its quotes.
const mostBody = 3 << 20

// tokenHeader carries the token. A header, not a cookie: the browser sends
// cookies of one port to every other port of the host (RFC 6265, section 8.5).
const tokenHeader = "X-Potbank-Token"

// policy lets the page load from its own origin only, and nothing inline.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; frame-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"

// A guard is what stands before every request. The order matters: whoever
// rebinds a name must be turned away by his Host before anything else is
// thought about, since to the browser he is of the same origin.
type guard struct {
	hosts []string // exactly these, as the browser sends them
	token [sha256.Size]byte
	cross *http.CrossOriginProtection
	log   *slog.Logger
	tries wrongTries
}

// newGuard makes the guard of a server that is reached under hosts.
func newGuard(hosts []string, token string, log *slog.Logger) *guard {
	return &guard{hosts: hosts, token: sha256.Sum256([]byte(token)), cross: http.NewCrossOriginProtection(), log: log}
}

// wrap puts the guard before a handler.
func (g *guard) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if code := g.refuses(w, r); code != 0 {
			g.log.Info("refused", "code", code, "method", r.Method, "host", r.Host, "path", r.URL.Path)
			w.WriteHeader(code)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		next.ServeHTTP(w, r)
	})
}

// refuses returns the code by which a request is turned away, 0 if it is not.
func (g *guard) refuses(w http.ResponseWriter, r *http.Request) int {
	if !g.known(r.Host) || r.URL.Host != "" && !g.known(r.URL.Host) {
		return http.StatusMisdirectedRequest
	}
	secure(w.Header())
	origin := r.Header.Get("Origin")
	foreign := origin != "" && !g.own(origin) || r.Header.Get("Sec-Fetch-Site") == "cross-site"
	switch {
	case r.Method == http.MethodConnect || r.Method == http.MethodTrace:
		w.Header().Set("Allow", "GET, HEAD, POST, PUT")
		return http.StatusMethodNotAllowed
	case r.Method == http.MethodOptions, foreign, g.cross.Check(r) != nil:
		return http.StatusForbidden
	case strings.HasPrefix(r.URL.Path, "/api/") && !g.admits(r):
		return http.StatusUnauthorized
	case r.Header.Get("Content-Encoding") != "", writes(r) && !isJSON(r):
		return http.StatusUnsupportedMediaType
	}
	return 0
}

// known tells whether a host is one of the server's own names.
func (g *guard) known(host string) bool {
	for _, h := range g.hosts {
		if host == h {
			return true
		}
	}
	return false
}

// own tells whether an origin is the page itself.
func (g *guard) own(origin string) bool {
	host, ok := strings.CutPrefix(origin, "http://")
	return ok && g.known(host)
}

// secure sets the headers of every answer.
func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

func writes(r *http.Request) bool {
	return r.Method != http.MethodGet && r.Method != http.MethodHead
}

func isJSON(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && kind == "application/json"
}

// admits tells whether a request carries the token. Hashes are compared, so
// that neither time nor length tells anything of it.
func (g *guard) admits(r *http.Request) bool {
	given := sha256.Sum256([]byte(r.Header.Get(tokenHeader)))
	if subtle.ConstantTimeCompare(given[:], g.token[:]) == 1 {
		return true
	}
	g.tries.slow()
	return false
}

// wrongTries slows down whoever guesses. 128 bits cannot be guessed; this keeps
// the log readable and the processor free.
type wrongTries struct {
	mutex sync.Mutex
	count int
}

const (
	triesFree = 10
	tryDelay  = 50 * time.Millisecond
)

func (t *wrongTries) slow() {
	t.mutex.Lock()
	defer t.mutex.Unlock() // held while waiting: guesses queue up one behind the other
	if t.count++; t.count > triesFree {
		time.Sleep(tryDelay)
	}
}
