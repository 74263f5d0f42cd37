package share

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// shortLease lets a test see a worker die.
const shortLease = 2 * time.Second

// small reads the small works, whose replications take milliseconds.
func small(t testing.TB) *scenario.File {
	t.Helper()
	file, faults := scenario.Read("../../scenarios/small-works.yaml")
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return file
}

// opened opens a ledger and a desk over it; the test closes both.
func opened(t testing.TB, path string, c Config) (*ledger.Store, *Desk) {
	t.Helper()
	s, err := ledger.Open(path, 10*time.Second, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	c.Folder, c.Name, c.Repeat = path+".share", "test", s.Repeat
	if c.Listen == "" && c.URL == "" {
		c.Listen = "127.0.0.1:0"
	}
	if c.Lease == 0 {
		c.Lease = shortLease
	}
	c.Say = func(format string, args ...any) { t.Logf("desk: "+format, args...) }
	d, err := Open(c)
	if err != nil {
		t.Fatal(err)
	}
	return s, d
}

// join starts a worker in this process and returns what ends it.
func join(t testing.TB, w *Worker) (leave func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var err error
	var over sync.WaitGroup
	over.Go(func() { err = w.Run(ctx) })
	return func() error {
		cancel()
		over.Wait()
		return err
	}
}

// study replicates the small works by way of a ledger; without a desk it runs
// here.
func study(t testing.TB, s *ledger.Store, d *Desk, replications, ahead int) (*experiment.Answer, error) {
	t.Helper()
	file := small(t)
	file.Recall = func(hash string, works *plant.Works) plant.Recaller {
		if d == nil {
			return s.Recaller(hash, "small works", nil)
		}
		return s.Recaller(hash, "small works", d.Away(hash, works))
	}
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return experiment.Replicate(t.Context(), p, experiment.Settings{
		Replications: replications, Most: replications, Seed: 1, Weeks: 6, WarmUp: 2, Workers: ahead})
}

// alike compares answers; not a number is alike itself.
func alike(t *testing.T, what string, want, got *experiment.Answer) {
	t.Helper()
	same := cmp.Comparer(func(a, b float64) bool { return a == b || a != a && b != b })
	if d := cmp.Diff(want, got, same); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

// exported is all that a ledger holds, in its order.
func exported(t testing.TB, s *ledger.Store) string {
	t.Helper()
	var b bytes.Buffer
	err := s.Export(func(g ledger.Group, replication uint32, k ledger.Key, encoded []byte) error {
		fmt.Fprintln(&b, g.Works, g.Seed, g.Weeks, replication, k, sha256.Sum256(encoded))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// local is the study of so many replications as one machine does it, with w
// goroutines: its answer, and what its ledger then holds.
func local(t testing.TB, replications, w int) (*experiment.Answer, string) {
	t.Helper()
	s, err := ledger.Open(filepath.Join(t.TempDir(), "local.ledger"), 0, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	a, err := study(t, s, nil, replications, w)
	if err != nil {
		t.Fatal(err)
	}
	return a, closed(t, s)
}

// closed writes out a ledger and returns what it holds.
func closed(t testing.TB, s *ledger.Store) string {
	t.Helper()
	if n, err := s.Verify(); err != nil {
		t.Errorf("%d results are sound: %v", n, err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	again, err := ledger.OpenReading(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	return exported(t, again)
}

// TestSameBytes runs one study on this machine with 1 and with 8 goroutines, by
// one worker and by three, and by this process as its own worker: the same
// answer, and the same ledger.
func TestSameBytes(t *testing.T) {
	want, wantHeld := local(t, 24, 1)
	got, held := local(t, 24, 8)
	alike(t, "8 goroutines", want, got)
	if held != wantHeld {
		t.Error("8 goroutines leave another ledger")
	}
	for what, names := range map[string][]string{"one worker": {"a"}, "three workers": {"a", "b", "c"}, "none but itself": nil} {
		t.Run(what, func(t *testing.T) {
			c := Config{Token: "secret"}
			if names == nil {
				c.Here = 2
			}
			s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), c)
			for _, name := range names {
				defer join(t, &Worker{URL: d.URL(), Token: "secret", Name: name, Slots: 1})()
			}
			got, err := study(t, s, d, 24, 16)
			if err != nil {
				t.Fatal(err)
			}
			alike(t, what, want, got)
			if err := d.Close(); err != nil {
				t.Error(err)
			}
			if held := closed(t, s); held != wantHeld {
				t.Error("another ledger is left")
			}
		})
	}
}
