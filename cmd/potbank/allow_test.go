package main

import (
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"potbank/internal/experiment"
)

// A replication that goes on for too long ends the study as one that failed: those
// before it are told, labelled, and it is named. Here the clock runs away once two
// replications have been taken.
func TestLongReplicationIsNamedAndTheRestLabelled(t *testing.T) {
	c := newConsole()
	env := c.environment()
	var hours atomic.Int64
	var runaway atomic.Bool
	env.now = func() time.Time {
		if runaway.Load() {
			hours.Add(1)
		}
		return time.Unix(0, 0).Add(time.Duration(hours.Load()) * time.Hour)
	}
	env.watch = func(p experiment.Progress) { runaway.Store(p.Replications >= 2) }
	args := []string{"run", "../../scenarios/small-works.yaml", "--replications", "5", "--weeks", "10", "--workers", "1"}
	if code := run(args, strings.NewReader(""), &c.out, &c.err, env); code != 3 {
		t.Fatalf("code %d, want 3; said %s", code, c.err.String())
	}
	if want := "potbank: error: replication 3: it was ended in week "; !strings.Contains(c.err.String(), want) {
		t.Errorf("said %q, want %q", c.err.String(), want)
	}
	if !strings.Contains(c.out.String(), "2 replications (partial) of 10 weeks") {
		t.Errorf("not labelled partial:\n%.600s", c.out.String())
	}
}

// What a study is told of itself stays out of its answer.
func TestEstimateIsNoPartOfTheAnswer(t *testing.T) {
	var answers []string
	for _, step := range []time.Duration{time.Millisecond, 10 * time.Minute} {
		c := newConsole()
		env := c.environment()
		var ticks atomic.Int64
		env.now = func() time.Time { return time.Unix(0, 0).Add(time.Duration(ticks.Add(1)) * step) }
		args := []string{"run", "../../scenarios/plant-a.yaml", "--replications", "2", "--weeks", "6", "--longest-run", "0", "--ledger", t.TempDir() + "/some.ledger"}
		if code := run(args, strings.NewReader(""), &c.out, &c.err, env); code != 0 {
			t.Fatalf("code %d; said %s", code, c.err.String())
		}
		if told, slow := strings.Contains(c.err.String(), "potbank: about "), step > time.Second; told != slow {
			t.Errorf("a clock that goes on by %v a reading is told: %v", step, c.err.String())
		}
		answers = append(answers, c.out.String())
	}
	if answers[0] != answers[1] || answers[0] == "" {
		t.Error("the answer depends on the clock")
	}
}

func TestBytesGiven(t *testing.T) {
	for text, want := range map[string]int64{"8 GB": 8e9, "8GB": 8e9, "1.5 TB": 15e11, "512 MiB": 512 << 20, " 1 MB ": 1e6} {
		if got, err := bytesGiven(text); got != want || err != nil {
			t.Errorf("%q gives %d, %v; want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "8", "GB", "-1 GB", "0 GB", "1e30 GB", "NaN GB", "8 G", "8 GB GB", "8 Gb"} {
		if got, err := bytesGiven(text); err == nil {
			t.Errorf("%q gives %d", text, got)
		}
	}
}

func TestMachineMemory(t *testing.T) {
	if n := machineMemory(); n < 64<<20 {
		t.Errorf("the machine has %d bytes of memory", n)
	}
	if n := kilobytesOf("MemFree:  7 kB\nMemTotal:       16 kB\n", "MemTotal:"); n != 16*1024 {
		t.Errorf("16 kB are %d bytes", n)
	}
}
