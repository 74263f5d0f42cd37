package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/term"

	"potbank/internal/experiment"
)

// How often progress is shown: redrawn in place on a terminal, and as lines of
// a log elsewhere.
const (
	redraw  = 250 * time.Millisecond
	logline = 10 * time.Second
	first   = 700 * time.Millisecond // the first sign of life in a log
)

// progress shows how far a study has come, with its doubt: who sees that the
// half-width is small enough may press Ctrl-C and lose nothing. Its methods may be called from
// several goroutines.
type progress struct {
	out   io.Writer
	width int // of the terminal; 0: not a terminal
	now   func() time.Time

	tell  func(experiment.Progress)
	mutex sync.Mutex
	last  experiment.Progress
	since time.Time // when what it counts began
	drawn bool
	over  chan struct{}
	ended sync.WaitGroup
}

// progress starts showing; close ends it.
func (p *program) progress() *progress {
	s := &progress{out: p.err, width: terminalWidth(p.err), since: p.now(), now: p.now, tell: p.watch, over: make(chan struct{})}
	if p.watch != nil {
		return s
	}
	every := logline
	if s.width > 0 {
		every = redraw
	}
	s.ended.Add(1)
	go s.watch(time.NewTicker(every))
	return s
}

// terminalWidth returns the columns of the terminal that w is, 0 if none.
func terminalWidth(w io.Writer) int {
	file, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		return 0
	}
	width, _, err := term.GetSize(int(file.Fd()))
	if err != nil || width < 20 {
		return 80
	}
	return width
}

// watch shows the latest state at every tick.
func (s *progress) watch(tick *time.Ticker) {
	defer s.ended.Done()
	defer tick.Stop()
	sign := time.NewTimer(first)
	defer sign.Stop()
	for {
		select {
		case <-sign.C:
			s.draw()
		case <-tick.C:
			s.draw()
		case <-s.over:
			return
		}
	}
}

// update takes in the latest state.
func (s *progress) update(p experiment.Progress) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if !p.Continues(s.last) {
		s.since = s.now()
	}
	s.last = p
	if s.tell != nil {
		s.tell(p)
	}
}

// draw shows the latest state.
func (s *progress) draw() {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	line := describe(s.last, s.now().Sub(s.since))
	if s.width == 0 {
		fmt.Fprintf(s.out, "potbank: %s\n", line)
		return
	}
	if utf8.RuneCountInString(line) >= s.width {
		line = string([]rune(line)[:s.width-1])
	}
	fmt.Fprintf(s.out, "\r\x1b[K%s", line)
	s.drawn = true
}

// close stops showing and clears the line.
func (s *progress) close() {
	close(s.over)
	s.ended.Wait()
	if s.drawn {
		fmt.Fprint(s.out, "\r\x1b[K")
	}
}

// describe says how far a study has come and how long it may take.
func describe(p experiment.Progress, spent time.Duration) string {
	if p.Doing != "" {
		return describeLater(p, spent)
	}
	if p.Replications == 0 {
		return fmt.Sprintf("first replication running, %s so far", seconds(spent))
	}
	text := fmt.Sprintf("%d replications done, at most %d", p.Replications, p.Most)
	if p.Precision == 0 {
		text = fmt.Sprintf("%d of %d replications done", p.Replications, p.Most)
	}
	if p.Driver != "" && !math.IsNaN(p.HalfWidth) {
		text += fmt.Sprintf("; %s known to %.2g %%", p.Driver, 100*p.HalfWidth)
		if p.Precision > 0 {
			text += fmt.Sprintf(", wanted %g %%", 100*p.Precision)
		}
	}
	return text + fmt.Sprintf("; about %s to go", seconds(p.Left(spent)))
}

// describeLater says how far what follows the main replications has come.
func describeLater(p experiment.Progress, spent time.Duration) string {
	text := fmt.Sprintf("%s: %d of %d done", p.Doing, p.Replications, p.Most)
	if p.Replications == 0 {
		return text
	}
	return text + fmt.Sprintf("; about %s to go", seconds(p.Left(spent)))
}

// seconds prints a duration as people say it.
func seconds(d time.Duration) string { return d.Round(time.Second).String() }
