package experiment

import (
	"fmt"
	"math"
	"strings"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// Auto, as a warm-up, leaves the cut to the data.
const Auto = -1

// Level is the confidence of every interval in an answer.
const Level = 0.95

// Settings say how a plant is replicated. They are the same question only if
// all of them but Workers and Progress are the same.
type Settings struct {
	Replications int     // fewest replications, at least 1
	Most         int     // replications at which to stop short of the precision; below Replications: exactly Replications
	Seed         uint64  // seed of every draw
	Workers      int     // goroutines that simulate; below 1: one
	Precision    float64 // half-width wanted, relative to the value, e.g. 0.01; 0: exactly Replications
	Fixed        bool    // randomness off: one replication, no interval
	Weeks        int     // simulated weeks; 0: those of the plant
	WarmUp       int     // whole weeks left out at the start, or Auto
	OneLongRun   bool    // one replication, whose weeks after the warm-up are cut into stretches that stand in for replications
	Draws        int     // works drawn from the evidence of the inputs by AddDoubt; Replicate takes the inputs as known

	// Progress, if not nil, is called after each replication taken, in order
	// and never by two goroutines at once.
	Progress func(Progress)
}

// Progress is how far a study has come.
type Progress struct {
	Replications int     // taken so far
	Fewest, Most int     // as in Settings
	Driver       string  // headline measure furthest from its precision; empty before the first test
	HalfWidth    float64 // of the driver, relative to its value; NaN when not known
	Precision    float64 // half-width wanted, relative; 0: a fixed number of replications
	Doing        string  // what is done after the main replications; empty: those
}

// Continues tells whether p counts on from an earlier state, and does not begin
// to count something else.
func (p Progress) Continues(earlier Progress) bool {
	return p.Doing == earlier.Doing && p.Replications >= earlier.Replications
}

// Doing is the same settings, for runs whose progress says what they are for.
func (s Settings) Doing(what string) Settings {
	if tell := s.Progress; tell != nil {
		s.Progress = func(p Progress) {
			p.Doing = what
			tell(p)
		}
	}
	return s
}

// What is done after the main replications, as progress says it.
const (
	Checking = "checking the choice on fresh luck"
	Drawing  = "works drawn from the evidence"
)

// Left guesses the time to the end from the time spent so far: the half-width
// shrinks as one over the square root of the replications. Zero before the first
// replication.
func (p Progress) Left(spent time.Duration) time.Duration {
	if p.Replications == 0 {
		return 0
	}
	need := float64(p.Most)
	switch {
	case p.Precision == 0:
	case math.IsNaN(p.HalfWidth):
		need = float64(p.Fewest) // nothing is known of the precision yet
	default:
		ratio := p.HalfWidth / p.Precision
		need = min(need, max(float64(p.Fewest), float64(float64(p.Replications)*ratio)*ratio))
	}
	each := float64(spent) / float64(p.Replications)
	return time.Duration(max(0, need-float64(p.Replications)) * each)
}

// SettingsOf takes the settings that a works states for itself. The fault, if
// there is one, is a warm-up that cannot be read.
func SettingsOf(run plant.Run) (Settings, error) {
	s := Settings{
		Replications: run.Replications,
		Most:         run.Most,
		Seed:         uint64(run.Seed),
		Precision:    float64(run.Precision),
		WarmUp:       Auto,
	}
	text := strings.TrimSpace(run.WarmUp)
	if text == "" || text == "auto" {
		return s, nil
	}
	ms, err := quantity.ParseTime("warm-up", text)
	if err != nil {
		return s, err
	}
	if ms%int64(des.Week) != 0 {
		return s, fmt.Errorf("warm-up must be auto or whole weeks such as 8 wk, got %s", text)
	}
	s.WarmUp = int(ms / int64(des.Week))
	return s, nil
}

// complete fills in what follows from the rest and refuses what makes no
// sense; weeks is the plant's own run length.
func (s Settings) complete(weeks int) (Settings, error) {
	if s.Weeks == 0 {
		s.Weeks = weeks
	}
	if s.Fixed || s.OneLongRun {
		// Without randomness every replication would be the same.
		s.Replications, s.Most, s.Precision = 1, 1, 0
	}
	if s.Precision == 0 || s.Most < s.Replications {
		s.Most = s.Replications
	}
	s.Workers = max(1, s.Workers)
	switch {
	case s.Replications < 1:
		return s, fmt.Errorf("experiment: %d replications; at least 1 is needed", s.Replications)
	case s.Weeks < 1:
		return s, fmt.Errorf("experiment: a run of %d weeks; at least 1 is needed", s.Weeks)
	case s.WarmUp >= s.Weeks:
		return s, fmt.Errorf("experiment: the warm-up of %d weeks is not shorter than the run of %d weeks", s.WarmUp, s.Weeks)
	case s.Fixed && s.OneLongRun:
		return s, fmt.Errorf("experiment: one long run without randomness has no spread to tell")
	case s.WarmUp < Auto:
		return s, fmt.Errorf("experiment: a warm-up of %d weeks", s.WarmUp)
	case s.Precision < 0:
		return s, fmt.Errorf("experiment: a precision of %g", s.Precision)
	}
	return s, nil
}
