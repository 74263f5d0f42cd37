package teeth

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// A Coverage says which lines of a package its own tests reach.
type Coverage struct{ blocks []block }

// block is a stretch of source in a coverage profile.
type block struct {
	file              string
	fromLine, fromCol int
	toLine, toCol     int
	statements, runs  int
}

// Cover runs the tests of a package, by its folder from the root, as they are.
func Cover(ctx context.Context, root, pkg string) (*Coverage, error) {
	dir, err := os.MkdirTemp("", "teeth")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	profile := filepath.Join(dir, "profile")
	run := exec.CommandContext(ctx, "go", "test", "-short", "-count=1", "-timeout=1h", "-coverprofile", profile, "./"+pkg)
	run.Dir = root
	if out, err := run.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("the tests of %s fail as they are: %w\n%s", pkg, err, out)
	}
	text, err := os.ReadFile(profile)
	if err != nil {
		return nil, err
	}
	blocks, err := readProfile(string(text))
	return &Coverage{blocks}, err
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
func (c *Coverage) Reaches(m *Mutant) bool {
	inNone := true
	for _, k := range c.blocks {
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
