package web

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strconv"
	"sync"
	"time"
)

//go:embed assets
var assetFiles embed.FS

// Config says what is served and how commands are carried out.
type Config struct {
	Folder  string // of the scenarios and questions; nothing outside it is ever read or written
	Port    int    // 0: any that is free
	Command Command
	History func() ([]Asked, error) // what was asked before, the latest first; nil: nothing is kept
	Log     *slog.Logger
	Version string
	Now     func() time.Time
}

// A Server is the local page.
type Server struct {
	Config
	root      *os.Root
	token     string
	listeners []net.Listener
	guard     *guard
	queue     *queue
	tickets   tickets
	walking   sync.Mutex
	storing   sync.Mutex // from the look at a file to its change
	mux       *http.ServeMux
}

// Listen opens the folder and takes a port on the loopback addresses, of IPv6
// too where the machine has it. Nobody is answered before Serve.
func Listen(c Config) (*Server, error) {
	root, err := os.OpenRoot(c.Folder)
	if err != nil {
		return nil, err
	}
	token := make([]byte, 16)
	rand.Read(token) // never fails
	s := &Server{Config: c, root: root, token: hex.EncodeToString(token)}
	v4, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(c.Port)))
	if err != nil {
		root.Close()
		return nil, err
	}
	s.Port = v4.Addr().(*net.TCPAddr).Port
	s.listeners = append(s.listeners, v4)
	port := strconv.Itoa(s.Port)
	hosts := []string{"127.0.0.1:" + port, "localhost:" + port}
	if v6, err := net.Listen("tcp6", net.JoinHostPort("::1", port)); err == nil {
		s.listeners = append(s.listeners, v6)
		hosts = append(hosts, "[::1]:"+port)
	}
	s.guard = newGuard(hosts, s.token, c.Log)
	s.queue = newQueue(c)
	s.routes()
	return s, nil
}

// URL is where the page is opened. The token is in the fragment, which the
// browser keeps to itself.
func (s *Server) URL() string { return fmt.Sprintf("http://127.0.0.1:%d/#%s", s.Port, s.token) }

// Serve answers until ctx is cancelled. Runs that are going are stopped as by
// Ctrl-C and keep what they have.
func (s *Server) Serve(ctx context.Context) error {
	defer s.root.Close()
	server := &http.Server{
		Handler: s.guard.wrap(s.mux), MaxHeaderBytes: 16 << 10,
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 20 * time.Second, IdleTimeout: time.Minute,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    slog.NewLogLogger(s.Log.Handler(), slog.LevelDebug),
	}
	failed := make(chan error, len(s.listeners))
	for _, l := range s.listeners {
		go func() { failed <- server.Serve(l) }()
	}
	work := make(chan struct{})
	go func() { s.queue.work(ctx); close(work) }()
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	server.Shutdown(closing) // what is still open after that is cut when the process ends
	s.queue.stopAll()
	<-work
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return err
}

// routes lists everything that can be asked for.
func (s *Server) routes() {
	assets, err := fs.Sub(assetFiles, "assets")
	if err != nil {
		panic(err) // it is embedded above
	}
	static := http.FileServerFS(assets)
	s.mux = http.NewServeMux()
	s.mux.Handle("GET /{$}", static)
	s.mux.Handle("GET /assets/{file}", http.StripPrefix("/assets", static))
	s.mux.HandleFunc("GET /api/files", s.listFiles)
	s.mux.HandleFunc("GET /api/files/{name...}", s.readFile)
	s.mux.HandleFunc("PUT /api/files/{name...}", s.writeFile)
	s.mux.HandleFunc("POST /api/check", s.check)
	s.mux.HandleFunc("GET /api/runs", s.listRuns)
	s.mux.HandleFunc("POST /api/runs", s.startRun)
	s.mux.HandleFunc("GET /api/runs/{id}", s.showRun)
	s.mux.HandleFunc("GET /api/runs/{id}/events", s.followRun)
	s.mux.HandleFunc("POST /api/runs/{id}/stop", s.stopRun)
	s.mux.HandleFunc("GET /api/runs/{id}/answer/{face}", s.answer)
	s.mux.HandleFunc("GET /api/history", s.history)
	s.mux.HandleFunc("GET /api/draft/{kind}", s.sheet)
	s.mux.HandleFunc("POST /api/draft", s.draftWorks)
	s.mux.HandleFunc("POST /api/changes", s.changes)
	s.mux.HandleFunc("POST /api/question", s.draftQuestion)
	s.mux.HandleFunc("GET /api/about/{name...}", s.about)
	s.mux.HandleFunc("POST /api/runs/{id}/ticket", s.ticket)
	s.mux.HandleFunc("GET /report/{ticket}", s.report)
	s.mux.HandleFunc("POST /api/floor", s.floor)
}

// reply sends a value as JSON.
func reply(w http.ResponseWriter, code int, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(code)
	json.NewEncoder(w).Encode(v) // a reader that has gone away is no fault
}

// refuse sends why a request cannot be met.
func refuse(w http.ResponseWriter, code int, format string, args ...any) {
	reply(w, code, map[string]string{"error": fmt.Sprintf(format, args...)})
}

// take reads the JSON body of a request, and nothing but what is known.
func take(w http.ResponseWriter, r *http.Request, into any) bool {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	err := d.Decode(into)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		refuse(w, http.StatusRequestEntityTooLarge, "the request is larger than %d bytes", large.Limit)
	case err != nil:
		refuse(w, http.StatusBadRequest, "the request cannot be read: %s", err)
	case d.More():
		refuse(w, http.StatusBadRequest, "the request holds more than one value")
	default:
		return true
	}
	return false
}
