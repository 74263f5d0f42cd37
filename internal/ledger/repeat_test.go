package ledger

import (
	"errors"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// TestEveryWrongResultIsFound makes 1,000 results a second time with one bit of one
// counter otherwise, as a processor with a fault might: every one is found, and
// none that is right is taken for wrong.
func TestEveryWrongResultIsFound(t *testing.T) {
	p := plantOf(t, works(t))
	s := open(t, filepath.Join(t.TempDir(), "a.ledger"))
	defer closed(t, s)
	r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 2})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(41, 41))
	found := 0
	const results = 1000
	for n := range uint32(results) {
		r.Events = uint64(n)
		k := keyOf("works", plant.Options{Source: random.New(1, n), Weeks: 2})
		if err := s.put(k, row{works: "works", name: "works", seed: 1, replication: n, weeks: 2, result: Pack(r)}); err != nil {
			t.Fatal(err)
		}
		if err := s.Repeat(k, Pack(r), "right"); err != nil {
			t.Fatalf("a right result: %v", err)
		}
		week := r.Week[rng.IntN(len(r.Week))]
		counter, bit := rng.IntN(len(week)), int64(1)<<rng.IntN(62)
		week[counter] ^= bit
		if errors.Is(s.Repeat(k, Pack(r), "wrong"), ErrDiffers) {
			found++
		}
		week[counter] ^= bit
		s.failed = nil // which ends a study
	}
	if found != results {
		t.Errorf("%d of %d wrong results are found", found, results)
	}
}
