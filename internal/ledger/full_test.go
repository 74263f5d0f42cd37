package ledger

import (
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// bound lets this process write no file beyond so many bytes, as a disk that is
// full does.
func bound(room uint64) {
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: room, Max: room}); err != nil {
		panic(err)
	}
}

// TestDiskFull lets the disk be full after every further page of 4 KiB, until
// there is room for all: the process ends with an error that says so, what it said
// was kept is there and sound, and run again with room it keeps the rest.
func TestDiskFull(t *testing.T) {
	const results = 8
	full := 0
	for pages := 1; ; pages++ {
		path := filepath.Join(t.TempDir(), "full.ledger")
		text, err := stored(path, results, fmt.Sprint(pages*pageSize))
		if err == nil {
			break
		}
		full++
		kept := strings.Count(text, "\n") - 1 // a line for each, and one for the fault
		if fault := strings.SplitAfterN(text, "\n", kept+1)[kept]; !strings.HasPrefix(fault, "error "+path) || !strings.Contains(fault, "I/O error") {
			t.Errorf("room for %d pages: it ends with %q", pages, fault)
		}
		if kept > 0 {
			asMade(t, path, kept)
		}
		if text, err := stored(path, results, ""); err != nil {
			t.Fatalf("room for %d pages, then for all: %v: %s", pages, err, text)
		}
		asMade(t, path, results)
		s := open(t, path)
		if n, err := s.Verify(); n != results || err != nil {
			t.Errorf("room for %d pages, then for all: %d results are sound, %v", pages, n, err)
		}
		closed(t, s)
	}
	t.Logf("the disk was full at %d places, nothing lost", full)
	if full < 10 {
		t.Errorf("the disk was full at %d places only", full)
	}
}

// stored has a process store results in a ledger; room is how many bytes a file
// may have, empty for any number. It returns what the process said.
func stored(path string, results int, room string) (string, error) {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "POTBANK_LEDGER_CHILD="+path, fmt.Sprint("POTBANK_LEDGER_RESULTS=", results), "POTBANK_LEDGER_ROOM="+room)
	text, err := c.Output()
	return string(text), err
}
