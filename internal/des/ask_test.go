package des_test

import (
	"errors"
	"testing"

	"potbank/internal/des"
)

// A run is asked about so many events apart whether to go on, between two instants,
// and ends for good when it should not.
func TestAskEvery(t *testing.T) {
	for _, every := range []uint64{1, 9, 10, 11, 1000} {
		s := des.New()
		defer s.Close()
		for range 10 { // ten events an instant
			s.Go("clock", func(p *des.Process) {
				for {
					p.Pass(sec)
				}
			})
		}
		enough := errors.New("enough")
		asked, last := 0, uint64(0)
		s.AskEvery(every, func() error {
			asked++
			if n := s.Events() - last; n < every || n > every+10 || s.Events()%10 != 0 {
				t.Errorf("every %d: asked after %d events, at %d", every, n, s.Events())
			}
			if last = s.Events(); last >= 2000 {
				return enough
			}
			return nil
		})
		if err := s.Run(des.Hour); !errors.Is(err, enough) || s.Events() != last || asked == 0 {
			t.Errorf("every %d: the run ended with %v after %d events", every, err, s.Events())
		}
		if err := s.Run(2 * des.Hour); !errors.Is(err, enough) {
			t.Errorf("every %d: and went on: %v", every, err)
		}
	}
}
