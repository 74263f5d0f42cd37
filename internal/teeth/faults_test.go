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

	"potbank/internal/teeth"
)

// root is the folder of the module, seen from the tests.
const root = "../.."

var (
	nightly = os.Getenv("POTBANK_NIGHTLY") != ""
	only    = flag.String("fault", "", "with POTBANK_NIGHTLY: make only faults whose names match this pattern")
)

// absolute is the root as an absolute path.
func absolute(t *testing.T) string {
	t.Helper()
	at, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

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

// change is the change that a fault makes.
func change(t *testing.T, f *teeth.Fault) teeth.Change {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(f.File)))
	if err != nil {
		t.Fatal(err)
	}
	c, err := f.Change(src)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestFaultsFit keeps the list of faults from rotting: each fits its file, and
// every part of the engine has some.
func TestFaultsFit(t *testing.T) {
	faults := readFaults(t)
	of := map[string]int{}
	for i := range faults {
		f := &faults[i]
		t.Run(f.Name, func(t *testing.T) {
			change(t, f)
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
// test fails. Outside the nightly tier it makes none: TestTrial and TestBundle show
// that the way of making them works.
func TestFaultsAreCaught(t *testing.T) {
	faults := readFaults(t)
	wanted := regexp.MustCompile(*only)
	faults = slices.DeleteFunc(faults, func(f teeth.Fault) bool { return !nightly || !wanted.MatchString(f.Name) })
	for len(faults) > 0 {
		faults = round(t, faults)
	}
}

// round tries all faults that are to be noticed first by the package by which the
// first is. It gives those that are left: the others, and those that it let pass
// and another is to notice.
func round(t *testing.T, faults []teeth.Fault) (left []teeth.Fault) {
	pkg, caught := faults[0].Tests[0], 0
	var some []teeth.Fault
	var changes []teeth.Change
	for i := range faults {
		if f := &faults[i]; f.Tests[0] == pkg && filepath.Dir(f.File) == filepath.Dir(faults[0].File) {
			some, changes = append(some, *f), append(changes, change(t, f))
		} else {
			left = append(left, *f)
		}
	}
	t.Run(filepath.Base(pkg), func(t *testing.T) {
		tryAll(t, pkg, changes, func(n int, v teeth.Verdict) {
			f := some[n]
			fmt.Printf("%-32s %-18s %6.1f s  %s\n", f.Name, v.Outcome, v.Took.Seconds(), v.Test)
			switch {
			case v.IsCaught():
				caught++
			case v.Outcome == teeth.Survived && len(f.Tests) > 1:
				f.Tests = f.Tests[1:]
				left = append(left, f)
			default:
				t.Errorf("%s (%s): %s\n%s", f.Name, f.Means, v.Outcome, v.Detail)
			}
		})
		t.Logf("%d of %d faults caught", caught, len(some))
	})
	return left
}

// tryAll makes changes of a package and tells what became of each, as it is known.
func tryAll(t *testing.T, pkg string, changes []teeth.Change, tell func(n int, v teeth.Verdict)) {
	t.Helper()
	b, err := teeth.NewBundle(context.Background(), absolute(t), pkg, changes)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	var wait sync.WaitGroup
	var one sync.Mutex
	free := make(chan struct{}, 2) // two at a time: most tests use one processor
	for n := range changes {
		wait.Go(func() {
			free <- struct{}{}
			defer func() { <-free }()
			v, err := b.Run(context.Background(), n)
			if err != nil {
				t.Error(err)
			}
			one.Lock()
			defer one.Unlock()
			tell(n, v)
		})
	}
	wait.Wait()
}
