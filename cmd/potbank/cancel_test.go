package main

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"potbank/internal/ledger"
)

// potbank starts the program as a process of its own.
func potbank(args ...string) *exec.Cmd {
	return &exec.Cmd{Path: os.Args[0], Args: append([]string{"potbank"}, args...)}
}

// TestCancelledAnywhere ends a study with SIGINT or SIGTERM at random instants,
// 20 times and 500 by night: it ends within seconds with 130 and a labelled
// answer or none, or had been done. Its ledger is sound, and run again over it
// the study gives the answer of one that nobody disturbed.
func TestCancelledAnywhere(t *testing.T) {
	times := 20
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		times = 500
	}
	study := []string{"run", "../../scenarios/small-works.yaml", "--replications", "30", "--weeks", "20"}
	start := time.Now()
	want, err := potbank(study...).Output()
	if err != nil {
		t.Fatal(err)
	}
	whole, cut, early := time.Since(start), 0, 0
	rng := rand.New(rand.NewPCG(5, 6))
	path := filepath.Join(t.TempDir(), "cancelled.ledger")
	for n := range times {
		if n%2 == 0 { // so that both early and late instants are met
			os.RemoveAll(path)
		}
		c := potbank(append(study, "--ledger", path)...)
		var out, said bytes.Buffer
		c.Stdout, c.Stderr = &out, &said
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(30*time.Millisecond + time.Duration(rng.Int64N(int64(whole)))) // mostly the program listens by then
		asked := time.Now()
		c.Process.Signal([]os.Signal{os.Interrupt, syscall.SIGTERM}[n/2%2]) // it may be done
		err := c.Wait()
		if took := time.Since(asked); took > 5*time.Second {
			t.Errorf("%d: it took %v to end", n, took)
		}
		var ended *exec.ExitError
		switch {
		case err == nil:
			if !bytes.Equal(out.Bytes(), want) {
				t.Errorf("%d: done, with another answer", n)
			}
		case errors.As(err, &ended) && ended.ExitCode() == cancelled:
			cut++
			if out.Len() > 0 && !strings.Contains(strings.ToLower(out.String()), "partial") {
				t.Errorf("%d: an answer without a label: %s", n, out.String())
			}
		case errors.As(err, &ended) && ended.ExitCode() < 0 && out.Len()+said.Len() == 0:
			early++ // a busy machine: the signal came before anybody listened, and nothing was begun
		default:
			t.Errorf("%d: it ends with %v: %s", n, err, said.String())
		}
	}
	s, err := ledger.OpenReading(path)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := s.Verify(); err != nil {
		t.Errorf("%d sound results: %v", n, err)
	}
	s.Close()
	if got, err := potbank(append(study, "--ledger", path)...).Output(); err != nil || !bytes.Equal(got, want) {
		t.Errorf("run again it gives another answer: %v", err)
	}
	t.Logf("%d of %d signals came before the end", cut, times)
	if early > times/10 {
		t.Errorf("%d of %d signals found nobody listening", early, times)
	}
	if cut < times/4 {
		t.Errorf("only %d of %d signals came before the end", cut, times)
	}
}
