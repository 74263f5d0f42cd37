package share

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// shared is a study that runs beside the test.
type shared struct {
	s     *ledger.Store
	d     *Desk
	ended chan error
	held  string
}

// begin starts the study of so many replications.
func begin(t *testing.T, c Config, replications int) *shared {
	t.Helper()
	x := &shared{ended: make(chan error, 1)}
	x.s, x.d = opened(t, filepath.Join(t.TempDir(), "shared.ledger"), c)
	want, held := local(t, replications, 2)
	x.held = held
	go func() {
		got, err := study(t, x.s, x.d, replications, 8)
		if err == nil {
			alike(t, "shared", want, got)
		}
		x.ended <- err
	}()
	return x
}

// finish waits for its end, and holds its answer and its ledger against those of
// one machine.
func (x *shared) finish(t *testing.T) {
	t.Helper()
	select {
	case err := <-x.ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(time.Minute):
		t.Error("the study does not end")
		x.d.fail(errors.New("out of time"))
		<-x.ended
	}
	if err := x.d.Close(); err != nil {
		t.Error(err)
	}
	if held := closed(t, x.s); held != x.held {
		t.Error("another ledger is left than by one machine")
	}
}

// TestWorkerKilled kills one of two workers in the middle of a job: the other
// does it, at the latest two seconds after the lease is over.
func TestWorkerKilled(t *testing.T) {
	x := begin(t, Config{}, 10)
	victim := child(t, "worker", "URL="+x.d.URL(), "NAME=victim", "SLOW=60000")
	victim.awaits(t, "has", 1)
	victim.Process.Kill()
	start := time.Now()
	defer join(t, &Worker{URL: x.d.URL(), Name: "heir", Slots: 1})()
	x.finish(t)
	if took := time.Since(start); took > shortLease+10*time.Second {
		t.Errorf("it took %v after the kill, and the lease is %v", took, shortLease)
	}
}

// TestWorkerStopped stops a worker in the middle of a job: it is handed back at
// once, however long the lease is, and as often as need be without being taken
// for deadly.
func TestWorkerStopped(t *testing.T) {
	x := begin(t, Config{Lease: time.Hour}, 1)
	for range mostDeaths + 1 {
		w := child(t, "worker", "URL="+x.d.URL(), "NAME=stopped", "SLOW=60000")
		w.awaits(t, "has 1", 1)
		w.Process.Signal(syscall.SIGTERM)
		start := time.Now()
		if err := w.Wait(); err != nil {
			t.Errorf("the worker ends with %v: %s", err, w.text(t))
		}
		if took := time.Since(start); took > 10*time.Second {
			t.Errorf("the worker took %v to end", took)
		}
	}
	start := time.Now()
	defer join(t, &Worker{URL: x.d.URL(), Name: "heir", Slots: 1})()
	x.finish(t)
	if took := time.Since(start); took > 10*time.Second {
		t.Errorf("the next worker had it after %v", took)
	}
}

// TestWorkerPaused stops a worker as a laptop that is closed does, past its
// lease, and lets it go on: its late result is the same as that of whoever did
// the job meanwhile.
func TestWorkerPaused(t *testing.T) {
	t.Parallel()
	x := begin(t, Config{}, 4)
	var repeats atomic.Int32
	repeat := x.d.c.Repeat
	x.d.c.Repeat = func(k ledger.Key, packed []byte, worker string) error {
		repeats.Add(1)
		return repeat(k, packed, worker)
	}
	w := child(t, "worker", "URL="+x.d.URL(), "NAME=paused", "SLOW=500")
	w.awaits(t, "has", 1)
	w.Process.Signal(syscall.SIGSTOP)
	time.Sleep(shortLease + 500*time.Millisecond)
	leave := join(t, &Worker{URL: x.d.URL(), Name: "other", Slots: 1})
	if err := <-x.ended; err != nil {
		t.Error(err)
	}
	x.ended <- nil
	w.Process.Signal(syscall.SIGCONT)
	eventually(t, "the late result comes", func() bool { return repeats.Load() > 0 })
	leave()
	x.finish(t)
}

// TestDeskKilled kills the process that asks, and starts it again over the same
// ledger: its workers find it unaided, and only what is missing is run.
func TestDeskKilled(t *testing.T) {
	t.Parallel()
	const replications = 40
	_, held := local(t, replications, 2)
	path := filepath.Join(t.TempDir(), "shared.ledger")
	at := fmt.Sprintf("127.0.0.1:%d", freePort(t))
	settings := []string{"URL=" + at, "LEDGER=" + path, fmt.Sprint("REPLICATIONS=", replications)}
	for _, name := range []string{"a", "b"} {
		child(t, "worker", "URL=nats://"+at, "NAME="+name, "SLOW=60")
	}
	for kill := range 3 {
		d := child(t, "desk", settings...)
		d.awaits(t, "taken", 1)
		time.Sleep(time.Duration(200+rand.IntN(900)) * time.Millisecond)
		d.Process.Kill()
		d.Wait()
		t.Logf("kill %d after %d taken", kill+1, strings.Count(d.text(t), "taken"))
	}
	d := child(t, "desk", settings...)
	if err := d.Wait(); err != nil {
		t.Fatalf("%v: %s", err, d.text(t))
	}
	s, err := ledger.OpenReading(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := closed(t, s); got != held {
		t.Error("another ledger is left than by one machine")
	}
}

// TestBrokerLost kills a broker that runs elsewhere and takes its folder away,
// as a power cut may: what was asked for is asked for again.
func TestBrokerLost(t *testing.T) {
	t.Parallel()
	port, folder := freePort(t), t.TempDir()
	settings := []string{fmt.Sprint("PORT=", port), "FOLDER=" + folder, "NAME=broker"}
	url := fmt.Sprintf("nats://127.0.0.1:%d", port)
	broker := child(t, "broker", settings...)
	eventually(t, "the broker listens", func() bool {
		c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		if err == nil {
			c.Close()
		}
		return err == nil
	})
	x := begin(t, Config{URL: url}, 30)
	w := child(t, "worker", "URL="+url, "NAME=a", "SLOW=100")
	w.awaits(t, "has", 5)
	broker.Process.Kill()
	broker.Wait()
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	child(t, "broker", settings...)
	x.finish(t)
}

// TestFolderDeleted takes the folder of the embedded broker away while it works.
func TestFolderDeleted(t *testing.T) {
	t.Parallel()
	x := begin(t, Config{}, 20)
	w := child(t, "worker", "URL="+x.d.URL(), "NAME=a", "SLOW=50")
	w.awaits(t, "has", 5)
	if err := os.RemoveAll(x.d.c.Folder); err != nil {
		t.Fatal(err)
	}
	x.finish(t)
}

// TestAskedTwice asks for one study twice at once: each replication is run once.
func TestAskedTwice(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{})
	var ran atomic.Int32
	defer join(t, &Worker{URL: d.URL(), Name: "a", Slots: 2, simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
		ran.Add(1)
		time.Sleep(20 * time.Millisecond)
		return p.Simulate(o)
	}})()
	var both sync.WaitGroup
	for range 2 {
		both.Go(func() {
			if _, err := study(t, s, d, 20, 32); err != nil {
				t.Error(err)
			}
		})
	}
	both.Wait()
	if n := ran.Load(); n != 20 {
		t.Errorf("%d replications were run, want 20", n)
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// each asks for replications 1 to n of the small works, all at once, and returns
// how each ended.
func each(t *testing.T, s *ledger.Store, d *Desk, n int) []error {
	t.Helper()
	file := small(t)
	r := s.Recaller(file.Hash, "small works", d.Away(file.Hash, file.Works))
	ends := make([]error, n+1)
	var all sync.WaitGroup
	for i := 1; i <= n; i++ {
		all.Go(func() {
			_, ends[i] = r.Recall(plant.Options{Source: random.New(1, uint32(i)), Weeks: 6}, nil)
		})
	}
	all.Wait()
	return ends
}

// TestDeadlyJob gives up a job after it has ended five workers, and does the rest.
func TestDeadlyJob(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{Lease: 300 * time.Millisecond})
	over, deaths := make(chan struct{}), 0
	var nurse sync.WaitGroup
	nurse.Go(func() { // starts a worker for each that dies
		for {
			w := child(t, "worker", "URL="+d.URL(), fmt.Sprint("NAME=w", deaths), "DEADLY=5")
			ended := make(chan error, 1)
			go func() { ended <- w.Wait() }()
			select {
			case <-over:
				w.Process.Signal(syscall.SIGTERM)
				<-ended
				return
			case <-ended:
				deaths++
			}
		}
	})
	ends := each(t, s, d, 9)
	close(over)
	nurse.Wait()
	for i, err := range ends[1:] {
		if deadly := i+1 == 5; deadly != errors.Is(err, ledger.ErrGivenUp) || !deadly && err != nil {
			t.Errorf("replication %d ends with %v", i+1, err)
		}
	}
	if deaths != mostDeaths {
		t.Errorf("it cost %d workers, want %d", deaths, mostDeaths)
	}
	if all, err := s.Failures(); err != nil || len(all) != 1 || all[0].Replication != 5 {
		t.Errorf("the ledger has as given up: %+v, %v", all, err)
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// TestPanics ends a replication that panics, and neither the worker nor the rest.
func TestPanics(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{})
	defer join(t, &Worker{URL: d.URL(), Name: "a", Slots: 1, simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
		if o.Source.Replication() == 2 {
			panic("a hole in the floor")
		}
		return p.Simulate(o)
	}})()
	for i, err := range each(t, s, d, 4)[1:] {
		if bad := i+1 == 2; bad != (err != nil) || bad && !strings.Contains(err.Error(), "a hole in the floor") {
			t.Errorf("replication %d ends with %v", i+1, err)
		}
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// TestOtherKind lets a worker of another version join: it takes no job, and says
// why. So does one that was there before the study.
func TestOtherKind(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{})
	own := string(OwnKind())
	for other, why := range map[string]string{
		strings.Replace(own, "results ", "results 9", 1):      "different versions",
		own[:strings.LastIndex(own, ", ")+2] + "vax-00000000": "processors compute otherwise",
	} {
		w := &Worker{URL: d.URL(), Name: "old", Slots: 1, kind: Kind(other), simulate: func(*plant.Plant, plant.Options) (*plant.Result, error) {
			t.Error("it takes a job")
			return nil, errors.New("no")
		}}
		var unlike *KindError
		if err := w.Run(t.Context()); !errors.As(err, &unlike) || !strings.Contains(err.Error(), why) || !strings.Contains(err.Error(), own) {
			t.Errorf("a worker of %s ends with %v", other, err)
		}
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// TestWrongWorker has one of two workers get a counter wrong, where every result
// is made twice: it is found, and the error names the key and both.
func TestWrongWorker(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{recheckOne: 1})
	for _, name := range []string{"right", "wrong"} {
		defer join(t, &Worker{URL: d.URL(), Name: name, Slots: 1, simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
			time.Sleep(10 * time.Millisecond)
			r, err := p.Simulate(o)
			if err == nil && name == "wrong" {
				r.Week[3][2]++
			}
			return r, err
		}})()
	}
	var err error
	for i := 0; i < 20 && err == nil; i++ {
		for _, end := range each(t, s, d, 10*(i+1)) {
			err = errors.Join(err, end)
		}
	}
	if !errors.Is(err, ledger.ErrDiffers) || !strings.Contains(err.Error(), "right made another result than wrong") && !strings.Contains(err.Error(), "wrong made another result than right") {
		t.Errorf("it ends with %v", err)
	}
	d.Close()
	if err := s.Close(); !errors.Is(err, ledger.ErrDiffers) {
		t.Errorf("the ledger is closed with %v", err)
	}
}

// TestAllCompared has every result made twice by two workers that take what comes,
// their own results too: each is made again, and by the other one.
func TestAllCompared(t *testing.T) {
	t.Parallel()
	const replications = 30
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{recheckOne: 1})
	var mutex sync.Mutex
	made := map[ledger.Key][]string{} // who made a result again
	repeat := d.c.Repeat
	d.mutex.Lock()
	d.crew["a"], d.crew["b"] = 1, 1 // what comes before there are two is not compared
	d.c.Repeat = func(k ledger.Key, packed []byte, worker string) error {
		mutex.Lock()
		defer mutex.Unlock()
		made[k] = append(made[k], worker)
		return repeat(k, packed, worker)
	}
	d.mutex.Unlock()
	var ran atomic.Int32
	for _, name := range []string{"a", "b"} {
		defer join(t, &Worker{URL: d.URL(), Name: name, Slots: 1, simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
			ran.Add(1)
			return p.Simulate(o)
		}})()
	}
	if err := errors.Join(each(t, s, d, replications)...); err != nil {
		t.Fatal(err)
	}
	eventually(t, "every result is made again", func() bool {
		mutex.Lock()
		defer mutex.Unlock()
		return len(made) == replications
	})
	if ran.Load() != 2*replications {
		t.Errorf("%d results were made by %d runs in all, want 2 for each", replications, ran.Load())
	}
	eventually(t, "no works is held", func() bool {
		d.mutex.Lock()
		defer d.mutex.Unlock()
		return len(d.messages) == 0 && len(d.works) == 0
	})
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// TestTooLarge refuses a result that no message can hold, and says what to do.
func TestTooLarge(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{})
	defer join(t, &Worker{URL: d.URL(), Name: "a", Slots: 1, simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
		words := make([]int64, o.Source.Replication()*1_100_000/3) // noise of 9 to 10 bytes a word
		for i := range words {
			words[i] = int64(rand.Uint64())
		}
		return &plant.Result{Week: [][]int64{words}}, nil
	}})()
	ends := each(t, s, d, 3)
	if ends[1] != nil {
		t.Errorf("a result of 3 MB: %v", ends[1])
	}
	if ends[3] == nil || !strings.Contains(ends[3].Error(), "max_payload") {
		t.Errorf("a result of 10 MB: %v", ends[3])
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

// TestNotWanted ends a study while its jobs wait: they are taken out of the
// queue, and the next study does not find them.
func TestNotWanted(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{})
	file := small(t)
	r := s.Recaller(file.Hash, "small works", d.Away(file.Hash, file.Works))
	var stop atomic.Bool
	var all sync.WaitGroup
	for i := range 20 {
		all.Go(func() {
			_, err := r.Recall(plant.Options{Source: random.New(1, uint32(i)), Weeks: 6, Stopped: stop.Load}, nil)
			if !errors.Is(err, plant.ErrStopped) {
				t.Errorf("it ends with %v", err)
			}
		})
	}
	queued := func(n uint64) func() bool {
		return func() bool {
			info, err := d.jobs.Info(t.Context())
			return err == nil && info.State.Msgs == n
		}
	}
	eventually(t, "all is queued", queued(20))
	stop.Store(true)
	all.Wait()
	eventually(t, "nothing is queued", queued(0))
	if n, _ := d.Pending(); n != 0 || len(d.messages) != 0 || len(d.works) != 0 {
		t.Errorf("%d asks, %d messages and %d works are left", n, len(d.messages), len(d.works))
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}

// TestStranger lets nobody in who does not know the token.
func TestStranger(t *testing.T) {
	t.Parallel()
	s, d := opened(t, filepath.Join(t.TempDir(), "shared.ledger"), Config{Token: "secret"})
	for _, token := range []string{"", "guess"} {
		w := &Worker{URL: d.URL(), Name: "stranger", Token: token, Slots: 1}
		if err := w.Run(t.Context()); !errors.Is(err, ErrNotLetIn) {
			t.Errorf("with the token %q: %v", token, err)
		}
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	closed(t, s)
}
