package ledger

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/scenarios"

	"potbank/internal/scenario"
)

// TestForecast keeps hundreds of results, and holds the growth of the file to
// within 10 % of what was forecast.
func TestForecast(t *testing.T) {
	file, faults := scenario.ReadIn(scenarios.Files, "small-works.yaml")
	if file == nil {
		t.Fatal(faults)
	}
	p, _ := file.Plant()
	for _, weeks := range []int{2, 12, 40} {
		r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: weeks})
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "ledger")
		s, err := Open(path, 0, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		const results = 400
		for n := range uint32(results) {
			o := plant.Options{Source: random.New(1, n), Weeks: weeks}
			if _, err := s.Recaller("0123456789012345678901234567890123456789012345678901234567890123", "small works", nil).Recall(o, func(plant.Options) (*plant.Result, error) { return r, nil }); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.commit(); err != nil {
			t.Fatal(err)
		}
		if n, err := s.Holds("0123456789012345678901234567890123456789012345678901234567890123", 1, weeks); n != results || err != nil {
			t.Errorf("%d results are held, %v; want %d", n, err, results)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		forecast := float64(results * Stored(r))
		if ratio := float64(info.Size()) / forecast; ratio < 0.9 || ratio > 1.1 {
			t.Errorf("%d weeks: %d results of %d bytes packed took %d bytes, %.2f of what was forecast", weeks, results, len(Pack(r)), info.Size(), ratio)
		}
	}
}
