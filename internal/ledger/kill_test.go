package ledger

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// kills is how often a process is killed: each change, and by night.
func kills() int {
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		return 1000
	}
	return 40
}

// TestMain lets the test binary be the process that is killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("POTBANK_LEDGER_CHILD"); path != "" {
		if room, err := strconv.ParseUint(os.Getenv("POTBANK_LEDGER_ROOM"), 10, 64); err == nil {
			bound(room)
		}
		results, err := strconv.Atoi(os.Getenv("POTBANK_LEDGER_RESULTS"))
		if err != nil {
			results = math.MaxInt // until it is killed
		}
		child(path, results)
		return
	}
	os.Exit(m.Run())
}

// made is what replication n of the child comes out as.
func made(n int) *plant.Result {
	return &plant.Result{Week: [][]int64{{int64(n), int64(n * n)}}, Events: uint64(n)}
}

// child stores so many results one after another, from the first that is missing,
// and says each number once it is on the disk.
func child(path string, results int) {
	s, err := Open(path, 10*time.Second, time.Now)
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	for n := 1; n <= results; n++ {
		o := plant.Options{Source: random.New(1, uint32(n)), Weeks: 1}
		k := keyOf("killed", o)
		known, err := s.get(k)
		if err == nil && known == nil {
			if err = s.put(k, row{works: "killed", name: "killed", seed: 1, replication: uint32(n), weeks: 1, result: Pack(made(n))}); err == nil {
				s.mutex.Lock()
				err = s.commit()
				s.mutex.Unlock()
			}
		}
		if err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Println(n)
	}
	if err := s.Close(); err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
}

// TestKilled kills the writing process at random moments, the opening of the
// ledger and the recovery from the kill before included, and wants every result
// that was said to be kept to be there, sound and as it was made. That no key is
// there twice is the file's own law.
//
// n clean kills bound the rate of loss below 3/n with 95 % confidence.
func TestKilled(t *testing.T) {
	path := filepath.Join(t.TempDir(), "killed.ledger")
	rng := rand.New(rand.NewPCG(1, 2))
	kept := 0
	for range kills() {
		said := killed(t, path, time.Duration(5+rng.IntN(120))*time.Millisecond)
		if said == 0 {
			continue // killed before it said anything
		}
		kept = max(kept, said)
		s, err := OpenReading(path)
		if err != nil {
			t.Fatal(err)
		}
		if n, err := s.Verify(); err != nil || n < kept {
			t.Fatalf("%d results are sound, %d were said to be kept: %v", n, kept, err)
		}
		closed(t, s)
	}
	asMade(t, path, kept)
	t.Logf("%d kills, %d results kept, none lost: the rate of loss is below %.2g with 95 %% confidence", kills(), kept, 3/float64(kills()))
}

// killed runs the child for a while, kills it, and returns the last number that
// it said.
func killed(t *testing.T, path string, after time.Duration) int {
	t.Helper()
	c := exec.CommandContext(context.Background(), os.Args[0])
	c.Env = append(os.Environ(), "POTBANK_LEDGER_CHILD="+path)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		time.Sleep(after)
		c.Process.Kill()
	}()
	text, err := io.ReadAll(out)
	if err != nil {
		t.Fatal(err)
	}
	c.Wait() // killed, as it should be
	last := 0
	for lines := bufio.NewScanner(bytes.NewReader(text[:1+bytes.LastIndexByte(text, '\n')])); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "error") {
			t.Fatal(lines.Text())
		}
		if last, err = strconv.Atoi(lines.Text()); err != nil {
			t.Fatal(err)
		}
	}
	return last
}

// asMade compares what the ledger holds with what was made.
func asMade(t *testing.T, path string, kept int) {
	t.Helper()
	s, err := OpenReading(path)
	if err != nil {
		t.Fatal(err)
	}
	defer closed(t, s)
	n := 0
	err = s.Export(func(_ Group, replication uint32, _ Key, encoded []byte) error {
		n++
		if int(replication) != n || !bytes.Equal(encoded, Encode(made(n))) {
			return fmt.Errorf("result %d is replication %d, or not as it was made", n, replication)
		}
		return nil
	})
	if err != nil || n < kept {
		t.Errorf("%d results, %d were said to be kept: %v", n, kept, err)
	}
}

// TestUpgradeKilled kills the process that brings an old ledger up, at moments
// from before it begins to after it is done, 10 times and 50 by night: what the
// old one held is there, and it comes up the next time.
func TestUpgradeKilled(t *testing.T) {
	times, rng, halfway := 10, rand.New(rand.NewPCG(3, 4)), 0
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		times = 50
	}
	for n := range times {
		path := filepath.Join(t.TempDir(), "old.ledger")
		old := oldLedger(t, path)
		killed(t, path, time.Duration(3000+rng.IntN(15000))*time.Microsecond)
		s, err := OpenReading(path)
		if err != nil {
			t.Fatalf("kill %d: %v", n, err)
		}
		if s.version == 1 {
			halfway++
		}
		closed(t, s)
		s = open(t, path)
		if r, err := s.get(old); err != nil || r == nil || r.Events != 17 || s.version != len(schema) {
			t.Errorf("kill %d: of version %d, with %v, %v", n, s.version, r, err)
		}
		closed(t, s)
	}
	t.Logf("of %d kills %d came before the upgrade was done", times, halfway)
}
