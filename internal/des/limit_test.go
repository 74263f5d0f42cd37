package des_test

import (
	"errors"
	"testing"

	"potbank/internal/des"
)

// crowd fires so often at one instant.
type crowd struct {
	sim  *des.Sim
	left int
}

func (a *crowd) Fire(now des.Time) {
	if a.left--; a.left > 0 {
		a.sim.At(now, des.Finish, a)
	}
}

// One instant may take a million events, and none more.
func TestEventsOfAnInstant(t *testing.T) {
	const most = 1_000_000
	for _, n := range []int{most - 1, most, most + 1} {
		s := des.New()
		s.At(sec, des.Finish, &crowd{s, n})
		err := s.Run(2 * sec)
		var stands *des.LivelockError
		if errors.As(err, &stands) != (n > most) {
			t.Errorf("%d events at an instant end with %v", n, err)
		}
		s.Close()
	}
}
