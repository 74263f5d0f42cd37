package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
	"unsafe"

	"potbank/internal/ledger"
)

// set puts the clock on the wall on or back, by whole seconds, and leaves what has
// passed since another reading alone, as the system does when somebody sets its
// clock. Seconds since 1885 stand in bits 30 to 62 of the first word of a reading.
// Source: time.Time of the standard library, time/time.go.
func set(t time.Time, by time.Duration) time.Time {
	*(*uint64)(unsafe.Pointer(&t)) += uint64(by/time.Second) << 30
	return t
}

// jumping is a clock that is set by somebody between any two looks: on and back by
// an hour, a day, ten years.
func jumping(seed uint64) func() time.Time {
	var mutex sync.Mutex
	r := rand.New(rand.NewPCG(seed, 36))
	jumps := []time.Duration{0, time.Second, time.Hour, -time.Hour, -24 * time.Hour, 87_660 * time.Hour, -87_660 * time.Hour}
	return func() time.Time {
		mutex.Lock()
		defer mutex.Unlock()
		return set(time.Now(), jumps[r.IntN(len(jumps))])
	}
}

// TestClockJumps runs a study under clocks that jump, 8 and by night 500: it gives
// the answer of any other day, and its ledger has the same results, which the next
// study finds.
func TestClockJumps(t *testing.T) {
	times := 8
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		times = 500
	}
	now := time.Now()
	if later := set(now, time.Hour); later.Sub(now) != 0 || later.Unix()-now.Unix() != 3600 {
		t.Fatalf("a clock set on by an hour shows %v, %v later", later.Sub(now), later.Unix()-now.Unix())
	}
	study := []string{"run", "../../scenarios/small-works.yaml", "--weeks", "4", "--replications", "4", "--doubt", "0"}
	code, want, _ := carriedOut(study...)
	if code != 0 {
		t.Fatalf("it ends with %d", code)
	}
	for n := range times {
		path := filepath.Join(t.TempDir(), "a.ledger")
		for _, found := range []string{"0 replications were there, 4 were run", "4 replications were there, 0 were run"} {
			c := newConsole()
			env := c.environment()
			env.now = jumping(uint64(n))
			code := run(append(study, "--ledger", path), strings.NewReader(""), &c.out, &c.err, env)
			if code != 0 || c.out.String() != want || !strings.Contains(c.err.String(), found) {
				t.Errorf("clock %d: it ends with %d, says %s and gives another answer: %v", n, code, c.err.String(), c.out.String() != want)
			}
		}
		s, err := ledger.OpenReading(path)
		if err != nil {
			t.Fatal(err)
		}
		if sound, err := s.Verify(); sound != 4 || err != nil {
			t.Errorf("clock %d: %d sound results: %v", n, sound, err)
		}
		s.Close()
	}
}
