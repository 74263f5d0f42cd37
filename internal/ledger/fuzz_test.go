package ledger

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// FuzzLedger opens a ledger into which whatever comes was written at any place,
// and which was cut there if the last is set; log does it to the file that holds
// what was written last. The ledger is refused, or it gives what was put in or
// nothing; it can always be listed, and never ends the program.
func FuzzLedger(f *testing.F) {
	file, log, want := written(f)
	f.Add(uint32(68), []byte("potb"), false, false)             // whose file it is
	f.Add(uint32(60), []byte{0, 0, 0, 99}, false, false)        // a newer version
	f.Add(uint32(16), []byte{2, 0}, false, false)               // size of a page
	f.Add(uint32(100), []byte{5}, false, false)                 // kind of the first page
	f.Add(uint32(0), []byte("SQLite format 4"), false, false)   // no database
	f.Add(uint32(2*pageSize), []byte{}, false, true)            // cut between pages
	f.Add(uint32(32), bytes.Repeat([]byte{0}, 24), true, false) // header of a frame
	f.Fuzz(func(t *testing.T, at uint32, text []byte, inLog, cut bool) {
		path := filepath.Join(t.TempDir(), "a.ledger")
		changed := [2][]byte{bytes.Clone(file), bytes.Clone(log)}
		k := 0
		if inLog {
			k = 1
		}
		place := int(at) % len(changed[k])
		n := copy(changed[k][place:], text)
		if cut {
			changed[k] = changed[k][:place+n]
		}
		for i, name := range []string{path, path + "-wal"} {
			if err := os.WriteFile(name, changed[i], 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if s, err := OpenReading(path); err == nil {
			for _, look := range []func() error{
				func() error { _, err := s.List(); return err },
				func() error { _, err := s.Studies(); return err },
				func() error { _, err := s.Failures(); return err },
				func() error { return s.Export(func(Group, uint32, Key, []byte) error { return nil }) },
			} {
				judged(t, look())
			}
			s.Close()
		} else {
			judged(t, err)
		}
		_, err := takeAll(t, path, want)
		judged(t, err)
	})
}

// judged wants an error of a file to be one that the command has words for.
func judged(t *testing.T, err error) {
	t.Helper()
	if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrForeign) && !errors.Is(err, ErrNewer) {
		t.Errorf("refused as %v", err)
	}
}

// written is a ledger with its log, as a program that was killed leaves them, and
// what was put in: two results in the file, one and a study in the log.
func written(f *testing.F) (file, log []byte, want map[Key][]byte) {
	path := filepath.Join(f.TempDir(), "whole.ledger")
	s := open(f, path)
	defer closed(f, s)
	want = map[Key][]byte{}
	for n := range uint32(3) {
		k := keyOf("works", plant.Options{Source: random.New(1, n+1), Weeks: 4})
		want[k] = Pack(&plant.Result{Week: [][]int64{{int64(n), 17, 1 << n}}, Events: uint64(n) * 1000})
		if err := s.put(k, row{works: "works", name: "works", seed: 1, replication: n + 1, weeks: 4, result: want[k]}); err != nil {
			f.Fatal(err)
		}
		if err := s.commit(); err != nil {
			f.Fatal(err)
		}
		if n == 1 { // the third is in the log
			if _, err := s.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
				f.Fatal(err)
			}
		}
	}
	if _, err := s.Begin([]string{"run", "works.yaml"}, "here"); err != nil {
		f.Fatal(err)
	}
	var err error
	if file, err = os.ReadFile(path); err == nil {
		log, err = os.ReadFile(path + "-wal")
	}
	if err != nil || len(log) == 0 {
		f.Fatalf("a log of %d bytes: %v", len(log), err)
	}
	return file, log, want
}
