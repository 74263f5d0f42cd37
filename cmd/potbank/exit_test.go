package main

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/experiment"
)

// exitText is the code of a command that failed.
func exitText(err error) string {
	var e *exec.ExitError
	if errors.As(err, &e) {
		return strconv.Itoa(e.ExitCode())
	}
	return err.Error()
}

// console is a program run in the test's own process.
type console struct {
	out, err   safeBuffer
	interrupts chan os.Signal
	quits      chan int
}

// safeBuffer may be written by several goroutines.
type safeBuffer struct {
	mutex sync.Mutex
	bytes.Buffer
}

func (b *safeBuffer) Write(p []byte) (int, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.Buffer.Write(p)
}

func (b *safeBuffer) String() string {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.Buffer.String()
}

func newConsole() *console {
	return &console{interrupts: make(chan os.Signal, 2), quits: make(chan int, 1)}
}

func (c *console) environment() environment {
	return environment{interrupts: c.interrupts, quit: func(code int) { c.quits <- code }, now: time.Now}
}

// interruptAt presses Ctrl-C when a text has been printed.
func (c *console) interruptAt(text string) {
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if strings.Contains(c.out.String(), text) {
			c.interrupts <- os.Interrupt
			return
		}
	}
}

func (c *console) program() *program {
	return &program{in: strings.NewReader(""), out: &c.out, err: &c.err, environment: c.environment()}
}

func TestHowAStudyEnds(t *testing.T) {
	t.Setenv("TMPDIR", "/nowhere") // where no details can be written
	stuck := &experiment.ReplicationError{Number: 4, Err: errors.New("dryer waits for kiln")}
	broken := &experiment.ReplicationError{Number: 2, Err: &des.PanicError{Value: "index out of range"}}
	answer := &experiment.Answer{Replications: 17, Asked: 30}
	tests := []struct {
		reason string
		answer *experiment.Answer
		err    error
		code   int
		says   string
	}{
		{"whole", answer, nil, 0, ""},
		{"cancelled", answer, context.Canceled, 130, "stopped: 17 of 30 replications kept (1-17); intervals are wider; run the same command again for all\n"},
		{"cancelled before the first", nil, context.Canceled, 130, "potbank: error: stopped before the first replication ended: there is nothing to show\n"},
		{"stuck", answer, stuck, 3, "potbank: error: replication 4: dryer waits for kiln\n"},
		{"stuck at once", nil, stuck, 3, "potbank: error: replication 4: dryer waits for kiln\n"},
		{"the program's own fault", answer, broken, 70, "potbank: internal fault \"index out of range\" at unknown place in replication 2; please report it with the scenario and the seed\n"},
		{"settings", nil, errors.New("experiment: a run of 0 weeks"), 5, "potbank: error: experiment: a run of 0 weeks\n"},
	}
	for _, test := range tests {
		c := newConsole()
		p := c.program()
		var err error
		if test.answer == nil {
			err = p.unanswered(test.err)
		} else {
			err = p.partly(test.answer, test.err)
		}
		if code := finish(p.err, err); code != test.code || c.err.String() != test.says {
			t.Errorf("%s: code %d, said %q; want %d, %q", test.reason, code, c.err.String(), test.code, test.says)
		}
	}
}

func TestFirstInterruptCancelsSecondQuits(t *testing.T) {
	c := newConsole()
	ctx, done := c.program().interruptible()
	defer done()
	if ctx.Err() != nil {
		t.Fatal("cancelled before Ctrl-C")
	}
	c.interrupts <- os.Interrupt
	<-ctx.Done()
	if want := "stopping; press Ctrl-C again to quit at once\n"; c.err.String() != want {
		t.Errorf("said %q, want %q", c.err.String(), want)
	}
	c.interrupts <- os.Interrupt
	if code := <-c.quits; code != 130 {
		t.Errorf("quit with %d, want 130", code)
	}
}

// Ctrl-C while a study runs ends it within seconds. What is printed, if any
// replication had ended by then, is labelled.
func TestInterruptedStudyIsLabelled(t *testing.T) {
	c := newConsole()
	time.AfterFunc(500*time.Millisecond, func() { c.interrupts <- os.Interrupt })
	args := []string{"run", "../../scenarios/small-works.yaml", "--replications", "100000", "--longest", "0", "--weeks", "12"}
	if code := run(args, strings.NewReader(""), &c.out, &c.err, c.environment()); code != 130 {
		t.Fatalf("code %d, want 130; said %s", code, c.err.String())
	}
	if !strings.Contains(c.err.String(), "stopping; press Ctrl-C again to quit at once\n") {
		t.Errorf("said %q", c.err.String())
	}
	if c.out.String() == "" {
		return // not even one replication in half a second
	}
	if !strings.Contains(c.out.String(), "replications (partial) of 12 weeks") || !strings.Contains(c.err.String(), " of 100000 replications kept (1-") {
		t.Errorf("not labelled partial; said %q", c.err.String())
	}
}

func TestProgressLines(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		p     experiment.Progress
		spent time.Duration
		want  string
	}{
		{experiment.Progress{Fewest: 10, Most: 60}, 1200 * time.Millisecond, "first replication running, 1s so far"},
		{experiment.Progress{Replications: 3, Fewest: 10, Most: 10, HalfWidth: nan}, 6 * time.Second, "3 of 10 replications done; about 14s to go"},
		{experiment.Progress{Replications: 4, Fewest: 10, Most: 60, HalfWidth: nan, Precision: 0.01}, 8 * time.Second, "4 replications done, at most 60; about 12s to go"},
		{experiment.Progress{Replications: 20, Fewest: 10, Most: 60, Driver: "packed.total", HalfWidth: 0.02, Precision: 0.02}, 20 * time.Second, "20 replications done, at most 60; packed.total known to 2 %, wanted 2 %; about 0s to go"},
		{experiment.Progress{Replications: 10, Fewest: 10, Most: 1000, Driver: "packed.total", HalfWidth: 0.02, Precision: 0.01}, 10 * time.Second, "10 replications done, at most 1000; packed.total known to 2 %, wanted 1 %; about 30s to go"},
		{experiment.Progress{Replications: 10, Fewest: 10, Most: 15, Driver: "packed.total", HalfWidth: 0.02, Precision: 0.01}, 10 * time.Second, "10 replications done, at most 15; packed.total known to 2 %, wanted 1 %; about 5s to go"},
	}
	for _, test := range tests {
		if got := describe(test.p, test.spent); got != test.want {
			t.Errorf("described as %q, want %q", got, test.want)
		}
	}
}

func TestProgressOnATerminalIsRedrawnAndCleared(t *testing.T) {
	var b bytes.Buffer
	start := time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC)
	s := &progress{out: &b, width: 30, since: start, now: func() time.Time { return start.Add(2 * time.Second) }, over: make(chan struct{})}
	s.update(experiment.Progress{Replications: 3, Fewest: 10, Most: 10, HalfWidth: math.NaN()})
	s.draw()
	s.close()
	const want = "\r\x1b[K3 of 10 replications done; ab" + "\r\x1b[K"
	if b.String() != want {
		t.Errorf("drawn %q, want %q", b.String(), want)
	}
}

func TestProgressElsewhereIsALineOfALog(t *testing.T) {
	var b bytes.Buffer
	start := time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC)
	s := &progress{out: &b, since: start, now: func() time.Time { return start.Add(10 * time.Second) }, over: make(chan struct{})}
	s.draw()
	s.close()
	if want := "potbank: first replication running, 10s so far\n"; b.String() != want {
		t.Errorf("logged %q, want %q", b.String(), want)
	}
}
