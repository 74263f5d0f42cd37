package ledger

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestTwoProcesses starts two processes on one ledger that is not there yet, 0 to
// 50 ms apart, 10 pairs and 200 by night. The second waits for the first or says
// who holds the ledger; each result is there once, as it was made.
func TestTwoProcesses(t *testing.T) {
	const results = 6
	pairs := 10
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		pairs = 200
	}
	waited := 0
	for n := range pairs {
		path := filepath.Join(t.TempDir(), "shared.ledger")
		var both [2]*exec.Cmd
		var said [2]strings.Builder
		for i := range both {
			c := exec.Command(os.Args[0])
			c.Env = append(os.Environ(), "POTBANK_LEDGER_CHILD="+path, fmt.Sprint("POTBANK_LEDGER_RESULTS=", results))
			c.Stdout = &said[i]
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			both[i] = c
			time.Sleep(time.Duration(n%51) * time.Millisecond)
		}
		for i, c := range both {
			if err := c.Wait(); err == nil {
				waited++
			} else if !strings.Contains(said[i].String(), "process") {
				t.Errorf("pair %d: process %d says %q", n, i, said[i].String())
			}
		}
		asMade(t, path, results)
		s := open(t, path)
		if sound, err := s.Verify(); sound != results || err != nil {
			t.Errorf("pair %d: %d results are sound, want %d: %v", n, sound, results, err)
		}
		closed(t, s)
	}
	t.Logf("of %d processes %d came to their end", 2*pairs, waited)
}
