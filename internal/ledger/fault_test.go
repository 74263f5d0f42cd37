package ledger

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestCallsFail has every further call that writes, cuts or synchronises fail,
// the k-th of a thread alone and from the k-th on, until none is left to fail:
// the process ends with an error that names the ledger, or did not need the
// call; what it said was kept is there, and run again it keeps the rest. A sync
// that failed is never tried again in the hope of better luck.
//
// strace puts the errors in, since it reaches what a Go program asks of the
// system.
func TestCallsFail(t *testing.T) {
	results := 2
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		results = 12
	}
	for _, c := range []struct{ call, fault string }{{"fsync", "EIO"}, {"pwrite64", "ENOSPC"}, {"ftruncate", "EIO"}} {
		for _, from := range []string{"", "+"} {
			t.Run(c.call+from, func(t *testing.T) {
				t.Parallel()
				k, ended := 1, 0
				for ; ; k++ {
					path := filepath.Join(t.TempDir(), "faulty.ledger")
					text, hit, err := storedFaultily(t, path, results, c.call, fmt.Sprintf("%s:error=%s:when=%d%s", c.call, c.fault, k, from))
					if !hit {
						break
					}
					if err != nil {
						ended++
						if !strings.Contains(text, "error ") || !strings.Contains(text, path) {
							t.Errorf("call %d: it ends with %q", k, text)
						}
					}
					if kept := strings.Count("\n"+text, "\n") - 1 - strings.Count(text, "error "); kept > 0 {
						asMade(t, path, kept)
					}
					if text, err := stored(path, results, ""); err != nil {
						t.Fatalf("call %d failed, then none: %v: %s", k, err, text)
					}
					asMade(t, path, results)
				}
				t.Logf("%d calls failed, %d of them ended the process, nothing lost", k-1, ended)
				if k < 2 {
					t.Errorf("no call of %s was made to fail", c.call)
				}
			})
		}
	}
}

// storedFaultily has a process store results while calls of one kind fail; hit
// says whether any did.
func storedFaultily(t *testing.T, path string, results int, call, inject string) (said string, hit bool, err error) {
	t.Helper()
	trace := path + ".trace"
	c := exec.Command("strace", "-f", "-qq", "-o", trace, "-e", "trace="+call, "-e", "inject="+inject, os.Args[0])
	c.Env = append(os.Environ(), "POTBANK_LEDGER_CHILD="+path, fmt.Sprint("POTBANK_LEDGER_RESULTS=", results), "GOMAXPROCS=1")
	text, err := c.Output()
	log, reading := os.ReadFile(trace)
	if reading != nil {
		t.Fatalf("strace: %v, %v", err, reading)
	}
	return string(text), strings.Contains(string(log), "(INJECTED)"), err
}
