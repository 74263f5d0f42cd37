package teeth

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// A Trial runs the tests of a package over a changed file.
type Trial struct {
	Root    string        // folder of the module
	File    string        // the file that is changed, from the root
	Changed []byte        // its changed text
	Tests   string        // package whose tests are run
	Limit   time.Duration // of one pass of the tests
	Later   []string      // patterns of tests that are left for a further pass each

	on int // number of the change that is on in a bundle
}

// An Outcome says what became of a change.
type Outcome string

const (
	Caught     Outcome = "caught"              // a test failed
	Stuck      Outcome = "caught as stuck"     // a test failed, since the kernel found that nothing moves
	TimedOut   Outcome = "caught by timeout"   // the tests were ended by their own time limit
	Survived   Outcome = "survived"            // all tests passed
	NotBuilt   Outcome = "does not compile"    // no trial at all
	Unfinished Outcome = "did not end in time" // the time limit of the tests did not work: no trial
)

// A Verdict is the result of a trial.
type Verdict struct {
	Outcome Outcome
	Test    string // package and test that failed
	Took    time.Duration
	Detail  string // of the compiler, where it did not compile
}

// IsCaught tells whether a test noticed.
func (v Verdict) IsCaught() bool {
	return v.Outcome == Caught || v.Outcome == Stuck || v.Outcome == TimedOut
}

// Run makes the trial. The error tells of files that could not be written or
// programs that could not be started, never of the change.
func (t Trial) Run(ctx context.Context) (Verdict, error) {
	begun := time.Now()
	dir, err := os.MkdirTemp("", "teeth")
	if err != nil {
		return Verdict{}, err
	}
	defer os.RemoveAll(dir)
	overlay, err := t.overlay(dir)
	if err != nil {
		return Verdict{}, err
	}
	v, err := t.build(ctx, overlay, filepath.Join(dir, "tests"))
	v.Took = time.Since(begun)
	return v, err
}

// overlay writes the changed file and the overlay that puts it in its place.
func (t Trial) overlay(dir string) (string, error) {
	file := filepath.Join(dir, "changed.go")
	if err := os.WriteFile(file, t.Changed, 0o600); err != nil {
		return "", err
	}
	whole := filepath.Join(t.Root, filepath.FromSlash(t.File))
	text, err := json.Marshal(map[string]any{"Replace": map[string]string{whole: file}})
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(dir, "overlay.json")
	return overlay, os.WriteFile(overlay, text, 0o600)
}

// build builds the tests and runs them.
func (t Trial) build(ctx context.Context, overlay, binary string) (Verdict, error) {
	// Without symbols for a debugger linking takes half the time.
	build := exec.CommandContext(ctx, "go", "test", "-c", "-ldflags=-w", "-overlay", overlay, "-o", binary, "./"+t.Tests)
	build.Dir = t.Root
	if out, err := build.CombinedOutput(); err != nil {
		return Verdict{Outcome: NotBuilt, Detail: string(out)}, exited(err)
	}
	return t.passes(ctx, binary)
}

// passes runs built tests, until a pass of them notices.
func (t Trial) passes(ctx context.Context, binary string) (Verdict, error) {
	passes := [][]string{nil}
	if t.Later != nil {
		passes = [][]string{{"-test.skip", strings.Join(t.Later, "|")}}
	}
	for _, later := range t.Later {
		passes = append(passes, []string{"-test.run", later})
	}
	for _, pass := range passes {
		v, err := t.tests(ctx, binary, pass)
		if err != nil || v.Outcome != Survived {
			return v, err
		}
	}
	return Verdict{Outcome: Survived}, nil
}

// grace is how much longer than their own limit tests may take to end.
const grace = 30 * time.Second

// tests runs built tests in the folder of their package, as the go command does.
func (t Trial) tests(ctx context.Context, binary string, pass []string) (Verdict, error) {
	limited, cancel := context.WithTimeout(ctx, t.Limit+grace)
	defer cancel()
	args := append([]string{"-test.short", "-test.failfast", "-test.timeout", t.Limit.String()}, pass...)
	dir := filepath.Join(t.Root, filepath.FromSlash(t.Tests))
	if usesRapid(dir) {
		args = append(args, "-rapid.nofailfile") // which would lie in the tree
	}
	run := exec.CommandContext(limited, binary, args...)
	run.Dir = dir
	run.Env = environment(t.on)
	var out bytes.Buffer
	run.Stdout, run.Stderr = &out, &out
	run.WaitDelay = time.Second
	err := run.Run()
	switch {
	case ctx.Err() != nil:
		return Verdict{}, ctx.Err()
	case limited.Err() != nil:
		return Verdict{Outcome: Unfinished}, nil
	case err == nil:
		return Verdict{Outcome: Survived}, nil
	}
	return judge(t.Tests, out.String()), exited(err)
}

// environment is that of a run of tests: of ordinary size, with one change on.
func environment(on int) []string {
	env := slices.DeleteFunc(os.Environ(), func(s string) bool { return strings.HasPrefix(s, "POTBANK_") })
	return append(env, fmt.Sprintf("%s=%d", switchVariable, on))
}

// usesRapid tells whether tests of a package are property tests.
func usesRapid(dir string) bool {
	files, _ := filepath.Glob(filepath.Join(dir, "*_test.go")) // the pattern is well formed
	return slices.ContainsFunc(files, func(file string) bool {
		text, err := os.ReadFile(file)
		return err == nil && bytes.Contains(text, []byte(`"pgregory.net/rapid"`))
	})
}

// exited passes over the failure of a program that did run.
func exited(err error) error {
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return nil
	}
	return err
}

var (
	failed  = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)
	running = regexp.MustCompile(`running tests:\s+(\S+)`)
	stuck   = regexp.MustCompile(`stuck at|time stands still at`)
)

// judge reads which test failed, and how, from what failed tests printed.
func judge(pkg, out string) Verdict {
	v := Verdict{Outcome: Caught, Test: pkg}
	name := failed.FindStringSubmatch(out)
	switch {
	case strings.Contains(out, "panic: test timed out after"):
		v.Outcome = TimedOut
		name = running.FindStringSubmatch(out)
	case stuck.MatchString(out):
		v.Outcome = Stuck
	}
	if name != nil {
		v.Test = fmt.Sprintf("%s %s", pkg, name[1])
	}
	return v
}
