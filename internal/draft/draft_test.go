package draft_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"potbank/internal/draft"
	"potbank/internal/experiment"
	"potbank/internal/scenario"
)

// drafted writes the scenario of a sheet and reads it back as a plant.
func drafted(t *testing.T, s *draft.Sheet) *scenario.File {
	t.Helper()
	text, err := s.Scenario("works.yaml", time.Date(2026, 12, 30, 12, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "works.yaml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	file, faults := scenario.Read(path)
	if file == nil {
		t.Fatalf("%s\n%s", scenario.Faults(faults), text)
	}
	return file
}

// TestDraftsRun drafts every kind of works on guesses alone, for several sizes
// and shifts, and wants each to read, to say of its guesses that they are, and
// to pack about what was asked: sizing by averages knows nothing of windows and
// weekends, so a sixth less is allowed and a tenth more.
func TestDraftsRun(t *testing.T) {
	for _, kind := range draft.Kinds {
		for _, c := range []struct{ good, shifts string }{{"", ""}, {"120", "1"}, {"250", "2"}, {"900", "3"}} {
			t.Run(fmt.Sprintf("%s %s %s", kind, c.good, c.shifts), func(t *testing.T) {
				s, err := draft.NewSheet(kind)
				if err != nil {
					t.Fatal(err)
				}
				for key, text := range map[string]string{"good": c.good, "shifts": c.shifts} {
					if err := s.Answer(key, text); err != nil {
						t.Fatal(err)
					}
				}
				file := drafted(t, s)
				if n := len(file.Unmeasured()); n < 20 {
					t.Errorf("%d guesses are listed", n)
				}
				packs(t, s, file)
			})
		}
	}
}

// packs holds the output of a drafted works against what was asked.
func packs(t *testing.T, s *draft.Sheet, file *scenario.File) {
	t.Helper()
	ready, faults := file.Plant()
	if ready == nil {
		t.Fatal(scenario.Faults(faults))
	}
	a, err := experiment.Replicate(t.Context(), ready, experiment.Settings{Replications: 1, Seed: 1, Weeks: 16, WarmUp: 6, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	want := 5 * float64(s.Good())
	if got, _ := a.Figure("packed.total"); got.Value < 0.83*want || got.Value > 1.1*want {
		t.Errorf("packs %.0f a week, asked %.0f; limited by %s", got.Value, want, a.HandSays)
	}
}

// TestAnswersAreNoGuesses holds that what was answered stands in the file
// without the mark of a guess, and everything else with it.
func TestAnswersAreNoGuesses(t *testing.T) {
	s, err := draft.NewSheet(draft.BenchTunnel)
	if err != nil {
		t.Fatal(err)
	}
	for key, text := range map[string]string{"name": "Dale", "ware": "closet", "mass": "15.5 kg", "losses": "5 / 8 / 7 %", "refires": "12", "drying": "18 h"} {
		if err := s.Answer(key, text); err != nil {
			t.Fatal(err)
		}
	}
	text, err := s.Scenario("works.yaml", time.Date(2026, 12, 30, 12, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"fired-mass: 15.5 kg\n", "casting: 95 %\n", "white: 92 %\n", "{a: 81 %, refire: 12 %}", "cycle: 18 h,", "build: 100 min from guess", "glaze: 99 % from guess"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in the file", want)
		}
	}
}

// TestBadAnswers refuses what cannot be an answer, in words that help.
func TestBadAnswers(t *testing.T) {
	s, err := draft.NewSheet(draft.BenchTunnel)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ key, text, want string }{
		{"good", "many", `"many" is no number of pieces`},
		{"good", "-3", "it must be above 0"},
		{"losses", "6 / 7", "three shares with strokes between them"},
		{"losses", "6 / 70 / 6", "a loss is 0 to 60 %"},
		{"refires", "60", "0 to 50 %"},
		{"shifts", "4", "1, 2 or 3 shifts"},
		{"drying", "30 h", "22 h at most"},
		{"ware", "two words", "one word of letters"},
		{"colour", "white", "nothing called"},
	} {
		if err := s.Answer(c.key, c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s = %q: %v, want %q", c.key, c.text, err, c.want)
		}
	}
	if _, err := draft.NewSheet("castle"); err == nil {
		t.Error("a castle is drafted")
	}
}
