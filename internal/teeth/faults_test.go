package teeth_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync"
	"testing"
	"time"

	"potbank/internal/teeth"
)

// root is the folder of the module, seen from the tests.
const root = "../.."

var (
	nightly = os.Getenv("POTBANK_NIGHTLY") != ""
	only    = flag.String("fault", "", "with POTBANK_NIGHTLY: run only faults whose names match this pattern")
	jobs    = flag.Int("jobs", 2, "trials at a time")
)

// readFaults reads the list of faults.
func readFaults(t *testing.T) []teeth.Fault {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "faults.txt"))
	if err != nil {
		t.Fatal(err)
	}
	faults, err := teeth.ReadFaults(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return faults
}

// trial is the trial of one fault.
func trial(t *testing.T, f *teeth.Fault) teeth.Trial {
	t.Helper()
	at := absolute(t)
	src, err := os.ReadFile(filepath.Join(at, filepath.FromSlash(f.File)))
	if err != nil {
		t.Fatal(err)
	}
	changed, err := f.Apply(src)
	if err != nil {
		t.Fatal(err)
	}
	return teeth.Trial{Root: at, File: f.File, Changed: changed, Tests: f.Tests}
}

// TestFaultsFit keeps the list of faults from rotting: each fits its file, and
// every part of the engine has some.
func TestFaultsFit(t *testing.T) {
	faults := readFaults(t)
	of := map[string]int{}
	for i := range faults {
		f := &faults[i]
		t.Run(f.Name, func(t *testing.T) {
			trial(t, f)
			for _, pkg := range f.Tests {
				if tests, _ := filepath.Glob(filepath.Join(root, filepath.FromSlash(pkg), "*_test.go")); len(tests) == 0 {
					t.Errorf("%s has no tests", pkg)
				}
			}
		})
		of[filepath.ToSlash(filepath.Dir(f.File))]++
	}
	for _, pkg := range []string{"des", "random", "calendar", "stats", "plant", "scenario", "experiment"} {
		if of["internal/"+pkg] < 5 {
			t.Errorf("%d faults in %s, want 5 or more", of["internal/"+pkg], pkg)
		}
	}
}

// TestFaultsAreCaught makes every mistake of the list in turn and demands that a
// test fails. Outside the nightly tier it makes the first only, to show that the
// way of making them works.
func TestFaultsAreCaught(t *testing.T) {
	faults := readFaults(t)
	if !nightly {
		faults = faults[:1]
	}
	wanted := regexp.MustCompile(*only)
	faults = slices.DeleteFunc(faults, func(f teeth.Fault) bool { return !wanted.MatchString(f.Name) })
	limit, slow := baselines(t, faults)
	verdicts := make([]teeth.Verdict, len(faults))
	var wait sync.WaitGroup
	free := make(chan struct{}, max(1, *jobs))
	for i := range faults {
		f := &faults[i]
		one := trial(t, f)
		one.Limit, one.Slow = limit, slow
		wait.Go(func() {
			free <- struct{}{}
			defer func() { <-free }()
			v, err := one.Run(context.Background())
			if verdicts[i] = v; err != nil {
				t.Errorf("%s: %v", f.Name, err)
			} else if !v.IsCaught() {
				t.Errorf("%s (%s): %s\n%s", f.Name, f.Means, v.Outcome, v.Detail)
			}
			if testing.Verbose() {
				fmt.Println(row(f.Name, v))
			}
		})
	}
	wait.Wait()
	caught := 0
	for _, v := range verdicts {
		if v.IsCaught() {
			caught++
		}
	}
	t.Logf("%d of %d faults caught", caught, len(faults))
}

// baselines runs the tests of all packages that faults name as they are: they must
// pass. It gives a time limit that none of them needs, and by package the tests
// that take long.
func baselines(t *testing.T, faults []teeth.Fault) (limit time.Duration, slow map[string]string) {
	t.Helper()
	slow = map[string]string{}
	for i := range faults {
		for _, pkg := range faults[i].Tests {
			if _, known := slow[pkg]; known {
				continue
			}
			base, err := teeth.NewBaseline(context.Background(), absolute(t), pkg)
			if err != nil {
				t.Fatal(err)
			}
			slow[pkg], limit = base.Slow, max(limit, base.Limit())
		}
	}
	return limit, slow
}

// absolute is the root as an absolute path.
func absolute(t *testing.T) string {
	t.Helper()
	at, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// row is the line of one trial in the table of a run.
func row(name string, v teeth.Verdict) string {
	return fmt.Sprintf("%-32s %-18s %6.1f s  %s", name, v.Outcome, v.Took.Seconds(), v.Test)
}
