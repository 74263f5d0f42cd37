package effort

import (
	"errors"
	"fmt"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// LongError is a replication that was ended since it went on for too long.
type LongError struct {
	Limit time.Duration
	At    des.Time // how far it had come
}

func (e *LongError) Error() string {
	look := "look for what happens every few milliseconds"
	if weeks := e.At / des.Week; weeks > 0 {
		look = fmt.Sprintf("see with potbank run --weeks %d what it does until then", weeks)
	}
	return fmt.Sprintf("it was ended in week %d after %s, the limit of one replication; hint: %s, or raise the limit with --longest-run", e.At/des.Week+1, Duration(e.Limit), look)
}

// A Simulation runs one replication.
type Simulation = func(plant.Options) (*plant.Result, error)

// Within ends a replication that takes longer than a limit with a *LongError.
func Within(limit time.Duration, now func() time.Time, simulate Simulation) Simulation {
	return func(o plant.Options) (*plant.Result, error) {
		start, stopped, over := now(), o.Stopped, false
		o.Stopped = func() bool {
			over = over || now().Sub(start) > limit
			return over || stopped != nil && stopped()
		}
		r, err := simulate(o)
		var stop *plant.StoppedError
		if over && errors.As(err, &stop) {
			return nil, &LongError{limit, stop.At}
		}
		return r, err
	}
}

// Watched has every replication that a recaller has to run end within a limit;
// next is asked first, nil: nothing is known.
func Watched(next plant.Recaller, limit time.Duration, now func() time.Time) plant.Recaller {
	return watch{next, limit, now}
}

type watch struct {
	next  plant.Recaller
	limit time.Duration
	now   func() time.Time
}

// Recall implements plant.Recaller.
func (w watch) Recall(o plant.Options, simulate Simulation) (*plant.Result, error) {
	simulate = Within(w.limit, w.now, simulate)
	if w.next == nil {
		return simulate(o)
	}
	return w.next.Recall(o, simulate)
}
