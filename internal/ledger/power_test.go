package ledger

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A step is one thing that a process asked of the disk, or said.
type step struct {
	does string // write, cut, remove, sync, or say
	file string // base name; of sync, may be "." for the folder
	at   int    // of a write; of a cut, the size; of say, the number
	text []byte
}

// TestPowerLost cuts the power while a process stores results, at 120 moments and
// 3,000 by night. What it wrote since it last asked for a file to be brought to
// the disk is there or not, each write by itself and some of them in part, as
// disks may put writes off and in another order. The ledger opens, and every
// result that was said to be kept is in it as it was made.
//
// A sync of a file is taken to keep its name too, as ext4, XFS and btrfs do.
// n clean cuts bound the rate of loss below 3/n with 95 % confidence.
func TestPowerLost(t *testing.T) {
	cuts := 120
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		cuts = 3000
	}
	steps := traced(t, 25)
	rng := rand.New(rand.NewPCG(3, 4))
	lost, most := 0, 0
	for n := range cuts {
		folder := filepath.Join(t.TempDir(), strconv.Itoa(n))
		if err := os.Mkdir(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		end := 1 + rng.IntN(len(steps))
		kept := 0
		for _, s := range steps[:end] {
			if s.does == "say" {
				kept = s.at
			}
		}
		dropped := leave(t, folder, steps[:end], rng)
		lost += dropped
		most = max(most, dropped)
		path := filepath.Join(folder, "a.ledger")
		s, err := Open(path, 0, time.Now)
		if err != nil {
			t.Errorf("after %d of %d steps, %d results kept: %v", end, len(steps), kept, err)
			continue
		}
		if sound, err := s.Verify(); err != nil || sound < kept {
			t.Errorf("after %d of %d steps %d results are sound, %d were said to be kept: %v", end, len(steps), sound, kept, err)
		}
		closed(t, s)
		asMade(t, path, kept)
	}
	t.Logf("%d cuts within %d steps, %d writes lost, at most %d at once; without a result lost the rate is below %.2g with 95 %% confidence", cuts, len(steps), lost, most, 3/float64(cuts))
	if lost < cuts/2 {
		t.Errorf("only %d writes were lost in %d cuts", lost, cuts)
	}
}

// leave makes the files as the power leaves them after some steps, and tells how
// many writes are lost.
func leave(t *testing.T, folder string, steps []step, rng *rand.Rand) (dropped int) {
	t.Helper()
	synced := map[string]int{} // steps up to which a file is on the disk
	for i, s := range steps {
		if s.does == "sync" {
			synced[s.file] = i
		}
	}
	files := map[string][]byte{}
	for i, s := range steps {
		sure := i < synced[s.file]
		if s.does == "remove" {
			sure = i < synced["."]
		}
		switch {
		case s.does == "say" || s.does == "sync":
			continue
		case !sure && rng.IntN(2) == 0:
			dropped++
			continue
		case s.does == "remove":
			delete(files, s.file)
			continue
		}
		held := files[s.file]
		size := s.at + len(s.text)
		if s.does == "cut" {
			held = held[:min(len(held), s.at)]
		}
		if len(held) < size {
			held = append(held, make([]byte, size-len(held))...)
		}
		text := s.text
		if !sure && len(text) > 512 && rng.IntN(4) == 0 { // torn between two sectors
			text = text[:512*rng.IntN(len(text)/512+1)]
			dropped++
		}
		copy(held[s.at:], text)
		files[s.file] = held
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dropped
}

// asked are the calls of a trace that matter, with the path behind the number of a
// file and what was written in hexadecimal digits.
var asked = regexp.MustCompile(`^\d+ +(\w+)\((?:\d+<([^>]*)>|AT_FDCWD<[^>]*>, "([^"]*)"|"([^"]*)")(?:, "([^"]*)")?(?:, (\d+))?(?:, (\d+))?\) += 0?(\d*)`)

// traced has a process store results, and returns what it asked of the disk, by
// strace, but for the file by which processes share an index of the log: it is
// made anew after a crash.
func traced(t *testing.T, results int) []step {
	t.Helper()
	folder := t.TempDir()
	path, trace := filepath.Join(folder, "a.ledger"), filepath.Join(t.TempDir(), "trace")
	c := exec.Command("strace", "-f", "-qq", "-y", "-xx", "-s", "1000000", "-o", trace, "-e", "trace=pwrite64,write,fsync,fdatasync,ftruncate,unlink,unlinkat", os.Args[0])
	c.Env = append(os.Environ(), "POTBANK_LEDGER_CHILD="+path, fmt.Sprint("POTBANK_LEDGER_RESULTS=", results), "GOMAXPROCS=1")
	said, err := c.Output()
	if err != nil {
		t.Fatalf("strace: %v: %s", err, said)
	}
	log, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	var steps []step
	begun := map[string]string{} // by thread, a call that was interrupted
	for line := range strings.Lines(string(log)) {
		thread, rest, _ := strings.Cut(line, " ")
		if before, cut := strings.CutSuffix(strings.TrimSpace(line), "<unfinished ...>"); cut {
			begun[thread] = before
			continue
		}
		if _, after, resumed := strings.Cut(rest, " resumed>"); resumed {
			line = begun[thread] + after
		}
		if s, ok := stepOf(t, asked.FindStringSubmatch(line), folder); ok {
			steps = append(steps, s)
		}
	}
	if kinds := kindsOf(steps); kinds["say"] != results || kinds["sync"] < results || kinds["write"] < 2*results {
		t.Fatalf("the trace has %v", kinds)
	}
	return steps
}

// stepOf reads one call: its name, the path behind a number or as it is given, what
// was written, and up to two numbers.
func stepOf(t *testing.T, call []string, folder string) (s step, ok bool) {
	if call == nil {
		return s, false
	}
	path := unhexed(t, call[2])
	if strings.HasPrefix(call[1], "unlink") {
		path = unhexed(t, call[3]+call[4])
	}
	s.text = []byte(unhexed(t, call[5]))
	if strings.HasPrefix(path, "pipe:") && call[1] == "write" {
		n, err := strconv.Atoi(strings.TrimSpace(string(s.text)))
		return step{does: "say", at: n}, err == nil
	}
	if path == folder {
		return step{does: "sync", file: "."}, call[1] == "fsync"
	}
	if filepath.Dir(path) != folder || strings.HasSuffix(path, "-shm") || strings.HasSuffix(path, ".lock") {
		return s, false
	}
	s.file = filepath.Base(path)
	number := func(k int) int {
		n, err := strconv.Atoi(call[k])
		if err != nil {
			t.Fatalf("a number is missing in %v", call[1:])
		}
		return n
	}
	switch call[1] {
	case "pwrite64":
		s.does, s.at = "write", number(7)
	case "ftruncate":
		s.does, s.at = "cut", number(6)
	case "unlink", "unlinkat":
		s.does = "remove"
	default:
		s.does = "sync"
	}
	return s, true
}

// unhexed reads a text of which strace writes every byte as \x and two digits.
func unhexed(t *testing.T, text string) string {
	if !strings.HasPrefix(text, `\x`) {
		return text // a path behind a number stands as it is
	}
	plain, err := strconv.Unquote(`"` + text + `"`)
	if err != nil {
		t.Fatal(err)
	}
	return plain
}

func kindsOf(steps []step) map[string]int {
	kinds := map[string]int{}
	for _, s := range steps {
		kinds[s.does]++
	}
	return kinds
}
