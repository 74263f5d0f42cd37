package ledger

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// works reads the small works, whose replications take milliseconds.
func works(t testing.TB) *scenario.File {
	t.Helper()
	file, faults := scenario.Read("../../scenarios/small-works.yaml")
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return file
}

func plantOf(t testing.TB, file *scenario.File) *plant.Plant {
	t.Helper()
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return p
}

// open opens a ledger that the test closes.
func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path, 0, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func closed(t testing.TB, s *Store) {
	t.Helper()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// study replicates a works by way of a ledger.
func study(t testing.TB, s *Store, replications, weeks, workers int) *experiment.Answer {
	t.Helper()
	file := works(t)
	if s != nil {
		file.Recall = func(hash string, works *plant.Works) plant.Recaller { return s.Recaller(hash, "small works", nil) }
	}
	a, err := experiment.Replicate(t.Context(), plantOf(t, file), experiment.Settings{
		Replications: replications, Most: replications, Seed: 1, Weeks: weeks, WarmUp: 2, Workers: workers})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// alike compares answers; not a number is alike itself.
func alike(t *testing.T, what string, want, got *experiment.Answer) {
	t.Helper()
	same := cmp.Comparer(func(a, b float64) bool { return a == b || a != a && b != b })
	if d := cmp.Diff(want, got, same); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

// TestResultSurvives packs the result of a replication and gets it back, field
// by field, the same bytes every time.
func TestResultSurvives(t *testing.T) {
	p := plantOf(t, works(t))
	r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 12})
	if err != nil {
		t.Fatal(err)
	}
	packed := Pack(r)
	back, err := Unpack(packed)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(r, back, cmp.AllowUnexported(plant.LeadTimes{})); d != "" {
		t.Errorf("-before +after:\n%s", d)
	}
	if !bytes.Equal(packed, Pack(back)) {
		t.Error("packed again it has other bytes")
	}
	t.Logf("12 weeks take %d bytes", len(packed))
}

// TestKeyHoldsAllOptions fails when the plant gets an option that the key does
// not know: a result would be taken for that of another run. Runs that are
// watched are never asked for here.
func TestKeyHoldsAllOptions(t *testing.T) {
	known := []string{"Source", "Fixed", "Weeks", "Observer", "Lookout", "Master", "Stopped", "Redeal", "Daily", "Until"}
	var fields []string
	for i := range reflect.TypeFor[plant.Options]().NumField() {
		fields = append(fields, reflect.TypeFor[plant.Options]().Field(i).Name)
	}
	if d := cmp.Diff(known, fields); d != "" {
		t.Errorf("put the new option into keyOf, then here (-known +now):\n%s", d)
	}
	base := plant.Options{Source: random.New(1, 1), Weeks: 10}
	seen := map[Key]string{keyOf("a", base): "base"}
	for what, o := range map[string]plant.Options{
		"seed": {Source: random.New(2, 1), Weeks: 10}, "replication": {Source: random.New(1, 2), Weeks: 10},
		"weeks": {Source: random.New(1, 1), Weeks: 11}, "fixed": {Source: random.New(1, 1), Weeks: 10, Fixed: true},
		"daily": {Source: random.New(1, 1), Weeks: 10, Daily: true}, "until": {Source: random.New(1, 1), Weeks: 10, Until: []string{"a"}},
		"until both":  {Source: random.New(1, 1), Weeks: 10, Until: []string{"a", "b"}},
		"master":      {Source: random.New(1, 1), Weeks: 10, Master: &plant.MasterFault{}},
		"redealt":     {Source: random.New(1, 1), Weeks: 10, Redeal: &plant.Redeal{Causes: []plant.Cause{plant.CauseHands}, Source: random.New(1, 9)}},
		"other cause": {Source: random.New(1, 1), Weeks: 10, Redeal: &plant.Redeal{Causes: []plant.Cause{plant.CauseStops}, Source: random.New(1, 9)}},
		"other luck":  {Source: random.New(1, 1), Weeks: 10, Redeal: &plant.Redeal{Causes: []plant.Cause{plant.CauseHands}, Source: random.New(1, 8)}},
	} {
		k := keyOf("a", o)
		if other, twice := seen[k]; twice {
			t.Errorf("%s and %s have one key", what, other)
		}
		seen[k] = what
	}
	if _, twice := seen[keyOf("b", base)]; twice {
		t.Error("two works have one key")
	}
}

// TestResume holds that a study that was cut short runs only what is missing,
// and that its answer is that of the unbroken one, for any number of workers.
func TestResume(t *testing.T) {
	path := filepath.Join(t.TempDir(), "study.ledger")
	want := study(t, nil, 9, 6, 1)
	s := open(t, path)
	study(t, s, 4, 6, 2)
	closed(t, s)
	s = open(t, path)
	alike(t, "resumed", want, study(t, s, 9, 6, 3))
	if found, ran := s.Counts(); found != 4 || ran < 5 { // workers may run ahead of what is taken
		t.Errorf("%d found and %d run, want 4 and 5", found, ran)
	}
	closed(t, s)
	s = open(t, path)
	alike(t, "once more", want, study(t, s, 9, 6, 1))
	if found, ran := s.Counts(); found != 9 || ran != 0 {
		t.Errorf("%d found and %d run, want 9 and 0", found, ran)
	}
	if n, err := s.Verify(); err != nil || n != 9 {
		t.Errorf("%d results verified: %v", n, err)
	}
	closed(t, s)
}

// TestTwoStudiesShare holds that what two studies have in common is run once,
// and that another length or works is not taken for the same.
func TestTwoStudiesShare(t *testing.T) {
	path := filepath.Join(t.TempDir(), "study.ledger")
	s := open(t, path)
	defer closed(t, s)
	study(t, s, 3, 6, 1)
	study(t, s, 3, 7, 1)
	study(t, s, 3, 6, 1)
	if found, ran := s.Counts(); found != 3 || ran != 6 {
		t.Errorf("%d found and %d run, want 3 and 6", found, ran)
	}
}

// TestInUse tells the second of two who holds the ledger, and lets it in when
// the first has gone.
func TestInUse(t *testing.T) {
	path := filepath.Join(t.TempDir(), "study.ledger")
	first := open(t, path)
	_, err := Open(path, 10*time.Millisecond, time.Now)
	var used *InUseError
	if !errors.As(err, &used) || !strings.HasPrefix(used.Holder, "process ") {
		t.Fatalf("the second is told %v", err)
	}
	go func() {
		time.Sleep(100 * time.Millisecond)
		first.Close()
	}()
	second, err := Open(path, 10*time.Second, time.Now)
	if err != nil {
		t.Fatalf("the second is not let in: %v", err)
	}
	closed(t, second)
}

// TestOtherFiles are told from ledgers: none at all, another database, no
// database, a newer ledger.
func TestOtherFiles(t *testing.T) {
	dir := t.TempDir()
	if _, err := OpenReading(filepath.Join(dir, "none")); !errors.Is(err, ErrMissing) {
		t.Errorf("none: %v", err)
	}
	text := filepath.Join(dir, "text")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a ledger ", 500)), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(text, 0, time.Now); !errors.Is(err, ErrForeign) {
		t.Errorf("text: %v", err)
	}
	other := filepath.Join(dir, "other")
	statement(t, other, "CREATE TABLE a (b)")
	if _, err := Open(other, 0, time.Now); !errors.Is(err, ErrForeign) {
		t.Errorf("another database: %v", err)
	}
	newer := filepath.Join(dir, "newer")
	closed(t, open(t, newer))
	statement(t, newer, "PRAGMA user_version = 9")
	if _, err := Open(newer, 0, time.Now); !errors.Is(err, ErrNewer) {
		t.Errorf("newer: %v", err)
	}
}

// statement changes a file behind the ledger's back.
func statement(t testing.TB, path, text string, args ...any) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(text, args...); err != nil {
		t.Fatal(err)
	}
}

// TestDamageIsSeen changes the row of one replication: the study ends and says
// so, and Verify finds it. Nothing but the checksum can tell of a result that
// unpacks, and only a checksum that holds the key of one that was moved.
func TestDamageIsSeen(t *testing.T) {
	for what, set := range map[string]string{
		"one byte":                       "result = CAST(substr(result, 1, 20) || x'00' || substr(result, 22) AS BLOB)",
		"the result of another":          "result = (SELECT result FROM outcome WHERE replication = 1)",
		"result and checksum of another": "(result, checksum) = (SELECT result, checksum FROM outcome WHERE replication = 1)",
	} {
		t.Run(what, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "study.ledger")
			s := open(t, path)
			study(t, s, 2, 6, 1)
			closed(t, s)
			statement(t, path, "UPDATE outcome SET "+set+" WHERE replication = 2")
			s = open(t, path)
			defer s.Close()
			if sound, err := s.Verify(); !errors.Is(err, ErrDamaged) || sound > 1 {
				t.Errorf("verified: %d sound, %v", sound, err)
			}
			file := works(t)
			file.Recall = func(hash string, works *plant.Works) plant.Recaller { return s.Recaller(hash, "small works", nil) }
			_, err := experiment.Replicate(t.Context(), plantOf(t, file), experiment.Settings{Replications: 2, Most: 2, Seed: 1, Weeks: 6, WarmUp: 2})
			if !errors.Is(err, ErrDamaged) {
				t.Errorf("a study over it ends with %v", err)
			}
		})
	}
}

// TestDifferingRepeat stops a study whose replication comes out otherwise than
// stored: one of the two is wrong, and nobody knows which.
func TestDifferingRepeat(t *testing.T) {
	path := filepath.Join(t.TempDir(), "study.ledger")
	s := open(t, path)
	k := keyOf("works", plant.Options{Source: random.New(1, 1), Weeks: 1})
	first := row{works: "works", name: "works", seed: 1, replication: 1, weeks: 1, result: Pack(&plant.Result{Events: 1})}
	if err := s.put(k, first); err != nil {
		t.Fatal(err)
	}
	if err := s.commit(); err != nil {
		t.Fatal(err)
	}
	second := first
	second.result = Pack(&plant.Result{Events: 2})
	if err := s.put(k, second); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); !errors.Is(err, ErrDiffers) || !strings.Contains(err.Error(), k.String()) {
		t.Errorf("it ends with %v", err)
	}
}

// FuzzResult unpacks whatever bytes a file may hold: an error, or a result that
// packs to the same again, and never a panic.
func FuzzResult(f *testing.F) {
	p := plantOf(f, works(f))
	r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 2})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(Encode(r))
	f.Add([]byte{})
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0x0f})
	f.Fuzz(func(t *testing.T, b []byte) {
		r := new(plant.Result)
		if Decode(b, r) != nil {
			return
		}
		again := new(plant.Result)
		if err := Decode(Encode(r), again); err != nil {
			t.Fatalf("what was read cannot be read again: %v", err)
		}
	})
}

// released is the first step of the schema as it was given out: a ledger of that
// time must be read for ever.
const released = "749a"

// TestUpgrade opens a ledger as the first version made it: it is brought up to
// this one, with all it held; cut short at any moment it is still the old one,
// and comes up the next time.
func TestUpgrade(t *testing.T) {
	if sum := fmt.Sprintf("%x", sha256.Sum256([]byte(schema[0]))); sum[:4] != released {
		t.Errorf("the first step of the schema has changed, sum %s: files of that time are not made by it any more", sum[:4])
	}
	path := filepath.Join(t.TempDir(), "old.ledger")
	old := oldLedger(t, path)
	reading, err := OpenReading(path) // is not brought up, and can be read
	if err != nil {
		t.Fatal(err)
	}
	if n, err := reading.Verify(); n != 1 || err != nil {
		t.Errorf("the old one: %d sound, %v", n, err)
	}
	if f, err := reading.Failures(); len(f) != 0 || err != nil {
		t.Errorf("the old one: %v, %v", f, err)
	}
	closed(t, reading)
	s := open(t, path)
	if s.version != len(schema) {
		t.Errorf("it is brought up to version %d, want %d", s.version, len(schema))
	}
	if r, err := s.get(old); err != nil || r == nil || r.Events != 17 {
		t.Errorf("what it held is %v, %v", r, err)
	}
	if err := s.put(keyOf("works", plant.Options{Source: random.New(1, 2), Weeks: 1}), row{works: "works", name: "works", seed: 1, replication: 2, weeks: 1, result: Pack(&plant.Result{}), worker: "far away"}); err != nil {
		t.Error(err)
	}
	closed(t, s)
	s = open(t, path)
	if n, err := s.Verify(); n != 2 || err != nil {
		t.Errorf("brought up: %d sound, %v", n, err)
	}
	closed(t, s)
}

// oldLedger makes a ledger as the first version did, with one result.
func oldLedger(t testing.TB, path string) Key {
	t.Helper()
	k := keyOf("works", plant.Options{Source: random.New(1, 1), Weeks: 1})
	packed := Pack(&plant.Result{Events: 17})
	statement(t, path, "PRAGMA journal_mode = WAL")
	statement(t, path, schema[0]+fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 1;", applicationID))
	statement(t, path, "INSERT INTO outcome VALUES (?, 'works', 'works', 1, 1, 1, '2027-01-04T06:00:00Z', ?, ?)", k[:], packed, checksum(k, packed))
	return k
}

// TestFailure keeps what was given up, until it comes out after all.
func TestFailure(t *testing.T) {
	path := filepath.Join(t.TempDir(), "study.ledger")
	s := open(t, path)
	k := keyOf("works", plant.Options{Source: random.New(1, 1), Weeks: 1})
	gone := true
	away := func(Key, plant.Options) ([]byte, string, error) {
		if gone {
			return nil, "", fmt.Errorf("%w: it ended five workers", ErrGivenUp)
		}
		return Pack(&plant.Result{Events: 3}), "far away", nil
	}
	r := s.Recaller("works", "the works", away)
	o := plant.Options{Source: random.New(1, 1), Weeks: 1}
	if _, err := r.Recall(o, nil); !errors.Is(err, ErrGivenUp) {
		t.Errorf("it ends with %v", err)
	}
	if all, err := s.Failures(); err != nil || len(all) != 1 || all[0].Key != k || !strings.Contains(all[0].Reason, "five workers") {
		t.Errorf("given up: %+v, %v", all, err)
	}
	gone = false
	if x, err := r.Recall(o, nil); err != nil || x.Events != 3 {
		t.Errorf("asked for again it is %v, %v", x, err)
	}
	closed(t, s)
	s = open(t, path)
	if all, err := s.Failures(); err != nil || len(all) != 0 {
		t.Errorf("still given up: %+v, %v", all, err)
	}
	if err := s.Repeat(k, Pack(&plant.Result{Events: 3}), "a"); err != nil {
		t.Errorf("the same again: %v", err)
	}
	err := s.Repeat(k, Pack(&plant.Result{Events: 4}), "a")
	if !errors.Is(err, ErrDiffers) || !strings.Contains(err.Error(), "a made another result than far away") || !strings.Contains(err.Error(), k.String()) {
		t.Errorf("another: %v", err)
	}
	if err := s.Close(); !errors.Is(err, ErrDiffers) {
		t.Errorf("it is closed with %v", err)
	}
}

// TestPlace refuses a ledger on a file system of another machine.
func TestPlace(t *testing.T) {
	says := func(kind int64) func(string, *syscall.Statfs_t) error {
		return func(_ string, said *syscall.Statfs_t) error {
			said.Type = kind
			return nil
		}
	}
	for kind, name := range remote {
		if err := place("far/a.ledger", says(kind)); !errors.Is(err, ErrRemote) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, kind := range []int64{0xEF53, 0x58465342, 0x01021994, 0x9123683E, 0x794C7630} { // ext4, XFS, tmpfs, btrfs, overlay
		if err := place("near/a.ledger", says(kind)); err != nil {
			t.Error(err)
		}
	}
	if _, err := Open(filepath.Join(t.TempDir(), "no folder", "a.ledger"), 0, time.Now); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("in no folder: %v", err)
	}
}
