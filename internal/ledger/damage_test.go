package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// damages are what may become of a file: by a cable pulled, a disk that ages, a
// copy that was cut short, a tool that wrote over it.
var damages = []func(r *rand.Rand, file []byte) []byte{
	func(r *rand.Rand, file []byte) []byte { return file[:r.IntN(len(file))] },
	func(r *rand.Rand, file []byte) []byte {
		file[r.IntN(len(file))] ^= 1 << r.IntN(8)
		return file
	},
	func(r *rand.Rand, file []byte) []byte { // in the header, where every byte means something
		file[r.IntN(100)] = byte(r.IntN(256))
		return file
	},
	func(r *rand.Rand, file []byte) []byte {
		clear(pageOf(r, file))
		return file
	},
	func(r *rand.Rand, file []byte) []byte {
		copy(pageOf(r, file), pageOf(r, file))
		return file
	},
	func(r *rand.Rand, file []byte) []byte {
		at := r.IntN(len(file))
		for i := range file[at:min(len(file), at+40)] {
			file[at+i] = byte(r.IntN(256))
		}
		return file
	},
	func(r *rand.Rand, file []byte) []byte { return append(file, file[:r.IntN(5000)]...) },
}

const pageSize = 4096

func pageOf(r *rand.Rand, file []byte) []byte {
	at := r.IntN(len(file)/pageSize) * pageSize
	return file[at : at+pageSize]
}

// TestDamagedFiles damages a ledger at random, 200 times and 10,000 by night: it
// is refused, or a result is refused, or what it gives is what was put in, or
// nothing. It is never another result, and never the end of the program.
func TestDamagedFiles(t *testing.T) {
	times := 200
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		times = 10_000
	}
	folder := t.TempDir()
	whole := filepath.Join(folder, "whole.ledger")
	s := open(t, whole)
	want := map[Key][]byte{}
	for n := range uint32(12) {
		k := keyOf("works", plant.Options{Source: random.New(1, n+1), Weeks: 4})
		result := &plant.Result{Week: [][]int64{{int64(n), 17, 1 << n}}, Events: uint64(n) * 1000, Notes: []string{fmt.Sprint("note ", n)}}
		want[k] = Pack(result)
		if err := s.put(k, row{works: "works", name: "works", seed: 1, replication: n + 1, weeks: 4, result: want[k]}); err != nil {
			t.Fatal(err)
		}
	}
	closed(t, s)
	file, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	refused, short, sound := 0, 0, 0
	r := rand.New(rand.NewPCG(1, 2))
	for n := range times {
		path := filepath.Join(folder, fmt.Sprintf("%d.ledger", n))
		if err := os.WriteFile(path, damages[n%len(damages)](r, bytes.Clone(file)), 0o600); err != nil {
			t.Fatal(err)
		}
		switch missing, err := takeAll(t, path, want); {
		case err != nil:
			refused++
			if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrForeign) && !errors.Is(err, ErrNewer) {
				t.Errorf("damage %d of kind %d: refused as %v", n, n%len(damages), err)
			}
		case missing > 0:
			short++
		default:
			sound++
		}
		os.Remove(path)
	}
	t.Logf("of %d damaged ledgers %d were refused, %d had lost results, %d gave all", times, refused, short, sound)
	if refused < times/4 {
		t.Errorf("only %d of %d were refused: the damage does not reach the ledger", refused, times)
	}
}

// takeAll opens a ledger, verifies it, and asks for every result. It returns how
// many are not there, or the first fault.
func takeAll(t *testing.T, path string, want map[Key][]byte) (missing int, err error) {
	t.Helper()
	s, err := Open(path, 0, fixedClock)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	_, unsound := s.Verify()
	for k, packed := range want {
		got, err := s.get(k)
		switch {
		case err != nil:
			return missing, err
		case got == nil:
			missing++
		case !bytes.Equal(Pack(got), packed):
			t.Errorf("%s gives another result than was put in, and Verify says %v", path, unsound)
		}
	}
	return missing, unsound
}

// fixedClock is a clock that stands.
func fixedClock() time.Time { return time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC) }
