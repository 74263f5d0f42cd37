package teeth

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Change replaces bytes of one source file.
type Change struct {
	File     string // from the root of the module
	From, To int    // bytes that are replaced
	Text     string // what stands in their place
}

// Apply makes the change in the source of its file.
func (c *Change) Apply(src []byte) []byte {
	return slices.Concat(src[:c.From], []byte(c.Text), src[c.To:])
}

// A Bundle is the tests of one package, built once with many changes of one other,
// or the same, of which each run makes one: every function that is changed has a
// copy for each change, to which it hands over when that change is on. Building
// takes longer than most tests, so this saves most of the time (the schemata of
// Untch, Offutt and Harrold, ISSTA 1993).
//
// What cannot be had so, such as the change of a constant, is built by itself.
type Bundle struct {
	root, pkg string
	dir       string // for the binary and the overlay; see Close
	changes   []Change
	sources   map[string][]byte
	alone     map[int]bool   // changes that need a build of their own
	failed    map[int]string // those that do not compile, and what the compiler says
	limit     time.Duration  // in which the tests end unless a change makes them hang
	later     []string       // patterns of the tests that take long, and of those that take longer
}

// switchVariable is the environment variable that turns a change on, by its number
// from 1.
const switchVariable = "TEETH_CHANGE"

// NewBundle builds the tests of a package, by its folder from the root, with changes
// that are all of one package. It reports files that cannot be read or written, and
// tests that fail with no change on: by them no change can be judged.
func NewBundle(ctx context.Context, root, pkg string, changes []Change) (*Bundle, error) {
	dir, err := os.MkdirTemp("", "teeth")
	if err != nil {
		return nil, err
	}
	b := &Bundle{root: root, pkg: pkg, dir: dir, changes: changes,
		sources: map[string][]byte{}, alone: map[int]bool{}, failed: map[int]string{}}
	if err = b.build(ctx); err == nil {
		err = b.runUnchanged(ctx)
	}
	if err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

// longTests are the shares of the time of all tests from which on a test is run
// after the others, and after these. Most changes are caught by one of the many
// tests that take next to nothing, so they are asked first.
var longTests = [2]float64{0.004, 0.05}

var passed = regexp.MustCompile(`(?m)^--- PASS: (\S+) \((\S+)s\)`)

// runUnchanged runs the tests with no change on, and notes how long they take.
func (b *Bundle) runUnchanged(ctx context.Context) error {
	run := exec.CommandContext(ctx, b.binary(), "-test.short", "-test.v")
	run.Dir = filepath.Join(b.root, filepath.FromSlash(b.pkg))
	run.Env = environment(0)
	begun := time.Now()
	out, err := run.CombinedOutput()
	if err != nil {
		return fmt.Errorf("the tests of %s fail with no change on: %w\n%s", b.pkg, err, out)
	}
	took := time.Since(begun)
	b.limit = 5*took + 20*time.Second
	var long [len(longTests)][]string
	for _, m := range passed.FindAllStringSubmatch(string(out), -1) {
		s, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return fmt.Errorf("the tests of %s: %w", b.pkg, err)
		}
		for k := len(longTests) - 1; k >= 0; k-- {
			if s > longTests[k]*took.Seconds() {
				long[k] = append(long[k], m[1])
				break
			}
		}
	}
	for _, names := range long {
		if names != nil {
			b.later = append(b.later, "^("+strings.Join(names, "|")+")$")
		}
	}
	return nil
}

// Close removes the binary.
func (b *Bundle) Close() error { return os.RemoveAll(b.dir) }

// Run runs the tests with one change on, by its index: those that take long
// later, and only if the others pass.
func (b *Bundle) Run(ctx context.Context, n int) (Verdict, error) {
	begun := time.Now()
	if text, ok := b.failed[n]; ok {
		return Verdict{Outcome: NotBuilt, Detail: text}, nil
	}
	c := &b.changes[n]
	t := Trial{Root: b.root, File: c.File, Tests: b.pkg, Limit: b.limit, Later: b.later}
	if b.alone[n] {
		t.Changed = c.Apply(b.sources[c.File])
		return t.Run(ctx)
	}
	t.on = n + 1
	v, err := t.passes(ctx, b.binary())
	v.Took = time.Since(begun)
	return v, err
}

// binary is the file of the built tests.
func (b *Bundle) binary() string { return filepath.Join(b.dir, "tests") }

// build builds the tests, leaving out the changes that do not compile.
func (b *Bundle) build(ctx context.Context) error {
	for {
		overlay, bundled, err := b.overlay()
		if err != nil {
			return err
		}
		build := exec.CommandContext(ctx, "go", "test", "-c", "-ldflags=-w", "-gcflags=-e", "-overlay", overlay, "-o", b.binary(), "./"+b.pkg)
		build.Dir = b.root
		out, err := build.CombinedOutput()
		if err == nil {
			return nil
		}
		if !b.leaveOut(string(out), bundled) {
			return fmt.Errorf("the tests of %s do not build: %w\n%s", b.pkg, err, out)
		}
	}
}

var errorLine = regexp.MustCompile(`(?m)(\w+\.go):(\d+):\d+: (.*)$`)

// leaveOut notes the changes in which the compiler found errors, by the lines of
// their copies.
func (b *Bundle) leaveOut(out string, bundled map[string]*bundledFile) bool {
	some := false
	for _, m := range errorLine.FindAllStringSubmatch(out, -1) {
		line, err := strconv.Atoi(m[2])
		if err != nil {
			continue
		}
		for name, f := range bundled {
			if filepath.Base(name) != m[1] {
				continue
			}
			if n, ok := f.at(line); ok {
				b.failed[n] += m[3] + "\n"
				some = true
			}
		}
	}
	return some
}

// overlay writes the files with all changes that are not left out, and the file
// with the switch.
func (b *Bundle) overlay() (file string, bundled map[string]*bundledFile, err error) {
	bundled = map[string]*bundledFile{}
	for n := range b.changes {
		c := &b.changes[n]
		f := bundled[c.File]
		if f == nil {
			src, err := os.ReadFile(filepath.Join(b.root, filepath.FromSlash(c.File)))
			if err != nil {
				return "", nil, err
			}
			b.sources[c.File] = src
			if f, err = newBundledFile(src); err != nil {
				return "", nil, err
			}
			bundled[c.File] = f
		}
		if _, failed := b.failed[n]; !failed && !f.add(n, c) {
			b.alone[n] = true
		}
	}
	replace := map[string]string{}
	put := func(name string, text []byte) error {
		file := filepath.Join(b.dir, path.Base(name)) // the compiler tells errors by it
		replace[filepath.Join(b.root, filepath.FromSlash(name))] = file
		return os.WriteFile(file, text, 0o600)
	}
	for _, name := range slices.Sorted(maps.Keys(bundled)) {
		if err := put(name, bundled[name].text()); err != nil {
			return "", nil, err
		}
	}
	for name, f := range bundled { // all of one package: any will do
		if err := put(path.Join(path.Dir(name), "teeth_switch.go"), f.switchFile()); err != nil {
			return "", nil, err
		}
		break
	}
	text, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", nil, err
	}
	file = filepath.Join(b.dir, "overlay.json")
	return file, bundled, os.WriteFile(file, text, 0o600)
}
