package experiment

import (
	"context"
	"errors"
	"math"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// sameAnswer compares answers to the last bit, but lets NaN equal NaN.
func sameAnswer(t *testing.T, want, got *Answer, reason string) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("%s: answers differ (-want +got):\n%s", reason, diff)
	}
}

func ask(t *testing.T, w *toyWorks, s Settings) *Answer {
	t.Helper()
	a, err := replicate(t.Context(), w, w.gauges(), s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestWorkersDoNotChangeTheAnswer(t *testing.T) {
	s := Settings{Replications: 10, Most: 60, Seed: 7, Precision: 0.004, WarmUp: Auto}
	s.Workers = 1
	want := ask(t, toy(), s)
	if want.Replications <= 10 || want.Replications >= 60 {
		t.Fatalf("the study took %d replications; the test wants it to stop between the limits", want.Replications)
	}
	for _, workers := range []int{2, 3, 8} {
		w := toy()
		w.pause = func(number uint64) { time.Sleep(time.Duration(number*7%5) * time.Millisecond) }
		s.Workers = workers
		sameAnswer(t, want, ask(t, w, s), "replications that end out of order")
	}
}

func TestWorkersAreNeverMoreThanAsked(t *testing.T) {
	w := toy()
	var flying, most atomic.Int64
	w.pause = func(uint64) {
		most.Store(max(most.Load(), flying.Add(1)))
		time.Sleep(time.Millisecond)
		flying.Add(-1)
	}
	before := runtime.NumGoroutine()
	ask(t, w, Settings{Replications: 20, Workers: 3, WarmUp: 4})
	if n := most.Load(); n > 3 {
		t.Errorf("%d replications at once, want at most 3", n)
	}
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Errorf("%d goroutines before, %d after", before, runtime.NumGoroutine())
}

func TestStoppingReachesThePrecision(t *testing.T) {
	for _, precision := range []float64{0.02, 0.01, 0.005} {
		a := ask(t, toy(), Settings{Replications: 10, Most: 400, Seed: 3, Workers: 2, Precision: precision, WarmUp: 4})
		if !a.Precision.Reached || a.Precision.At > precision {
			t.Errorf("precision %g: reached %v at %g after %d", precision, a.Precision.Reached, a.Precision.At, a.Replications)
		}
		if len(a.Measures) == 0 || a.Measures[0].N != a.Replications {
			t.Errorf("precision %g: figures rest on %d replications of %d", precision, a.Measures[0].N, a.Replications)
		}
	}
}

func TestLimitOfReplicationsIsSaid(t *testing.T) {
	a := ask(t, toy(), Settings{Replications: 10, Most: 12, Precision: 1e-6, WarmUp: 4})
	if a.Replications != 12 || a.Precision.Reached {
		t.Fatalf("%d replications, reached %v", a.Replications, a.Precision.Reached)
	}
	wantWarning(t, a, "The limit of 12 replications was reached before the precision")
}

// The interval must cover the true mean of the weekly output in 95 of 100
// studies. Of 600 studies the share lies in 0.9199..0.9784 with 99.9 %
// probability (normal approximation of the binomial law).
func TestIntervalsCoverTheTruth(t *testing.T) {
	const studies, truth = 600, 1000
	covered := 0
	for seed := range uint64(studies) {
		a := ask(t, toy(), Settings{Replications: 10, Seed: seed, WarmUp: 4})
		f, _ := a.Figure("packed.total")
		if f.Contains(truth) {
			covered++
		}
	}
	if share := float64(covered) / studies; share < 0.9199 || share > 0.9784 {
		t.Errorf("intervals cover in %.4f of the studies, want about 0.95", share)
	}
}

func TestOneReplicationHasNoInterval(t *testing.T) {
	a := ask(t, toy(), Settings{Replications: 1, WarmUp: 4})
	if f, _ := a.Figure("packed.total"); f.HasInterval() || math.IsNaN(f.Value) {
		t.Errorf("packed.total is %v..%v around %v, want a value without interval", f.Low, f.High, f.Value)
	}
	wantWarning(t, a, "No interval: one replication.")
}

func TestFixedIsOneReplication(t *testing.T) {
	w := toy()
	a := ask(t, w, Settings{Replications: 10, Most: 60, Precision: 0.01, Fixed: true, WarmUp: 4})
	if a.Replications != 1 || w.fixed.Load() != 1 {
		t.Errorf("%d replications, %d of them without chance; want 1 and 1", a.Replications, w.fixed.Load())
	}
	wantWarning(t, a, "Randomness is off")
}

func TestCancelKeepsTheUnbrokenPrefix(t *testing.T) {
	for _, kept := range []int{1, 4, 13} {
		ctx, cancel := context.WithCancel(t.Context())
		w := toy()
		w.pause = func(number uint64) { time.Sleep(time.Duration(number%3) * time.Millisecond) }
		s := Settings{Replications: 40, Seed: 5, Workers: 4, WarmUp: 4}
		s.Progress = func(p Progress) {
			if p.Replications == kept {
				cancel()
			}
		}
		a, err := replicate(ctx, w, w.gauges(), s)
		if !errors.Is(err, context.Canceled) || a == nil {
			t.Fatalf("kept %d: answer %v, error %v", kept, a, err)
		}
		// One more may have had its turn before the cancelling was seen.
		if a.Replications < kept || a.Replications > kept+1+4*aheadPerWorker || a.Partial == "" {
			t.Errorf("kept %d replications, cancelled at %d; labelled %q", a.Replications, kept, a.Partial)
		}
		whole := ask(t, toy(), Settings{Replications: a.Replications, Seed: 5, WarmUp: 4})
		if diff := cmp.Diff(whole.Measures, a.Measures, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("figures are not those of replications 1..%d:\n%s", a.Replications, diff)
		}
		cancel()
	}
}

func TestCancelBeforeTheWarmUpIsKnown(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	w := toy()
	s := Settings{Replications: 40, Seed: 5, WarmUp: Auto}
	s.Progress = func(p Progress) {
		if p.Replications == 3 {
			cancel()
		}
	}
	a, err := replicate(ctx, w, w.gauges(), s)
	if !errors.Is(err, context.Canceled) || a == nil || a.Replications != 3 {
		t.Fatalf("answer %+v, error %v; want 3 replications", a, err)
	}
	whole := ask(t, toy(), Settings{Replications: 3, Seed: 5, WarmUp: Auto})
	if diff := cmp.Diff(whole.Measures, a.Measures, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("figures are not those of replications 1..3:\n%s", diff)
	}
	wantWarning(t, a, "The study was stopped after 3 replications")
}

func TestCancelBeforeTheFirstReplication(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	w := toy()
	a, err := replicate(ctx, w, w.gauges(), Settings{Replications: 5, WarmUp: 4})
	if a != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("answer %v, error %v; want none and cancelled", a, err)
	}
}

func TestFailedReplicationEndsTheStudy(t *testing.T) {
	stuck := errors.New("dryer waits for kiln")
	for _, workers := range []int{1, 4} {
		w := toy()
		w.fail = map[uint64]error{4: stuck, 6: errors.New("a later one")}
		a, err := replicate(t.Context(), w, w.gauges(), Settings{Replications: 20, Workers: workers, WarmUp: 4})
		var failed *ReplicationError
		if !errors.As(err, &failed) || !errors.Is(err, stuck) || err.Error() != "replication 4: dryer waits for kiln" {
			t.Fatalf("%d workers: error %v, want replication 4", workers, err)
		}
		if a.Replications != 3 || a.Partial == "" {
			t.Errorf("%d workers: %d replications kept, labelled %q; want 3", workers, a.Replications, a.Partial)
		}
	}
}

func TestPanicOfAReplicationIsItsError(t *testing.T) {
	w := toy()
	w.pause = func(number uint64) {
		if number == 3 {
			panic("lost a piece")
		}
	}
	a, err := replicate(t.Context(), w, w.gauges(), Settings{Replications: 5, Workers: 2, WarmUp: 4})
	var panicked *des.PanicError
	if !errors.As(err, &panicked) || panicked.Value != "lost a piece" || len(panicked.Stack) == 0 {
		t.Fatalf("error %v, want the panic of replication 3", err)
	}
	if a.Replications != 2 {
		t.Errorf("%d replications kept, want 2", a.Replications)
	}
}

func TestFailureBeyondTheEndDoesNotMatter(t *testing.T) {
	w := toy()
	w.fail = map[uint64]error{6: errors.New("never counted")}
	a := ask(t, w, Settings{Replications: 5, Most: 5, Workers: 4, WarmUp: 4})
	if a.Replications != 5 || a.Partial != "" {
		t.Errorf("%d replications, labelled %q", a.Replications, a.Partial)
	}
}

func TestSettingsThatMakeNoSense(t *testing.T) {
	tests := []struct {
		reason string
		s      Settings
	}{
		{"no replications", Settings{}},
		{"warm-up as long as the run", Settings{Replications: 1, WarmUp: 60}},
		{"negative weeks", Settings{Replications: 1, Weeks: -1}},
		{"negative precision", Settings{Replications: 1, Precision: -0.1, WarmUp: 1}},
		{"negative warm-up", Settings{Replications: 1, WarmUp: -2}},
	}
	for _, test := range tests {
		w := toy()
		if a, err := replicate(t.Context(), w, w.gauges(), test.s); err == nil {
			t.Errorf("%s: accepted, with %d replications", test.reason, a.Replications)
		}
	}
}

func TestSettingsOfAWorks(t *testing.T) {
	tests := []struct {
		warmUp string
		want   int
		ok     bool
	}{
		{"auto", Auto, true}, {"", Auto, true}, {"8 wk", 8, true}, {"14 d", 2, true}, {"3 d", 0, false}, {"soon", 0, false},
	}
	for _, test := range tests {
		s, err := SettingsOf(plant.Run{Replications: 10, Most: 60, Precision: 0.01, Seed: 9, WarmUp: test.warmUp})
		if (err == nil) != test.ok {
			t.Errorf("warm-up %q: error %v", test.warmUp, err)
			continue
		}
		want := Settings{Replications: 10, Most: 60, Precision: 0.01, Seed: 9, WarmUp: test.want}
		if diff := cmp.Diff(want, s, cmpopts.IgnoreFields(Settings{}, "Progress")); test.ok && diff != "" {
			t.Errorf("warm-up %q:\n%s", test.warmUp, diff)
		}
	}
}

func TestProgressIsToldInOrder(t *testing.T) {
	last := 0
	s := Settings{Replications: 10, Most: 30, Precision: 0.005, Workers: 3, WarmUp: Auto}
	s.Progress = func(p Progress) {
		if p.Replications < last || p.Most != 30 || p.Fewest != 10 {
			t.Errorf("after %d: %+v", last, p)
		}
		if p.Replications >= 10 && (p.Driver == "" || math.IsNaN(p.HalfWidth)) {
			t.Errorf("after %d replications no half-width is told: %+v", p.Replications, p)
		}
		last = p.Replications
	}
	if a := ask(t, toy(), s); last != a.Replications {
		t.Errorf("last told %d of %d", last, a.Replications)
	}
}
