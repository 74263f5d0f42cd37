package teeth

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A Baseline is what the tests of a package do with the source as it is: it says
// which lines they reach, which tests take long, and how long all take together.
type Baseline struct {
	Took time.Duration
	Slow string // pattern of the tests that take long, empty where none does

	reached []block
}

// block is a stretch of source in a coverage profile.
type block struct {
	file              string
	fromLine, fromCol int
	toLine, toCol     int
	statements, runs  int
}

// longTest is the share of the time of all tests from which on a test is run after
// the others.
const longTest = 0.05

// NewBaseline runs the tests of a package, by its folder from the root. It reports
// tests that fail: by them no change can be judged.
func NewBaseline(ctx context.Context, root, pkg string) (*Baseline, error) {
	dir, err := os.MkdirTemp("", "teeth")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	profile := filepath.Join(dir, "profile")
	run := exec.CommandContext(ctx, "go", "test", "-short", "-v", "-count=1", "-coverprofile", profile, "./"+pkg)
	run.Dir = root
	begun := time.Now()
	out, err := run.CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("the tests of %s fail as it is: %w\n%s", pkg, err, out)
	}
	b := &Baseline{Took: time.Since(begun)}
	b.Slow = slowTests(string(out), longTest*b.Took.Seconds())
	text, err := os.ReadFile(profile)
	if err != nil {
		return nil, err
	}
	b.reached, err = readProfile(string(text))
	return b, err
}

// Limit is a time in which the tests of the package end unless a change makes them
// hang, other work on the machine allowed for.
func (b *Baseline) Limit() time.Duration { return 3*b.Took + 20*time.Second }

var passed = regexp.MustCompile(`(?m)^--- PASS: (\S+) \((\S+)s\)`)

// slowTests gives the pattern of the tests that took longer, in seconds, by what
// all printed.
func slowTests(out string, limit float64) string {
	var names []string
	for _, m := range passed.FindAllStringSubmatch(out, -1) {
		if s, err := strconv.ParseFloat(m[2], 64); err == nil && s > limit {
			names = append(names, m[1])
		}
	}
	if names == nil {
		return ""
	}
	return "^(" + strings.Join(names, "|") + ")$"
}

// readProfile reads a coverage profile: lines such as
// potbank/internal/des/heap.go:31.27,33.2 1 0.
func readProfile(text string) ([]block, error) {
	var all []block
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "mode:") {
			continue
		}
		var b block
		file, rest, _ := strings.Cut(line, ":")
		_, b.file, _ = strings.Cut(file, "/") // without the name of the module
		_, err := fmt.Sscanf(rest, "%d.%d,%d.%d %d %d",
			&b.fromLine, &b.fromCol, &b.toLine, &b.toCol, &b.statements, &b.runs)
		if err != nil {
			return nil, fmt.Errorf("coverage profile: %q: %w", line, err)
		}
		all = append(all, b)
	}
	return all, nil
}

// Reaches tells whether a test comes by the place of a mutant. The conditions of
// cases lie in no block of a profile: tests are taken to come by.
func (b *Baseline) Reaches(m *Mutant) bool {
	inNone := true
	for _, k := range b.reached {
		if k.file == m.File && k.holds(m.Line, m.Col) {
			if k.runs > 0 {
				return true
			}
			inNone = false
		}
	}
	return inNone
}

// holds tells whether a place lies in the block.
func (k *block) holds(line, col int) bool {
	after := line > k.fromLine || line == k.fromLine && col >= k.fromCol
	before := line < k.toLine || line == k.toLine && col < k.toCol
	return after && before
}
