package ledger

import (
	"errors"
	"fmt"

	"potbank/internal/plant"
)

// Recaller gives the results of one works from the ledger where it has them, and
// keeps those that had to be run.
type recaller struct {
	store       *Store
	works, name string
	away        Away
}

// Away has a replication run on another machine. It returns the result as
// [Pack] writes it and who made it. It must be safe for several goroutines.
type Away func(k Key, o plant.Options) (packed []byte, worker string, err error)

// ErrGivenUp is a replication that cannot be had, such as one that kills
// whoever runs it. The ledger writes it down.
var ErrGivenUp = errors.New("the replication was given up")

// Recaller returns the recaller of the works with a hash; name is shown in
// lists. What is not there is run by away; nil: here.
func (s *Store) Recaller(works, name string, away Away) plant.Recaller {
	return &recaller{s, works, name, away}
}

// Recall implements plant.Recaller. A ledger that cannot be read or written
// ends the study: to go on without it would lose what it was opened for.
func (r *recaller) Recall(o plant.Options, simulate func(plant.Options) (*plant.Result, error)) (*plant.Result, error) {
	k := keyOf(r.works, o)
	known, err := r.store.get(k)
	if known != nil || err != nil {
		return known, err
	}
	kept := row{works: r.works, name: r.name, seed: o.Source.Seed(), replication: o.Source.Replication(), weeks: o.Weeks}
	var result *plant.Result
	if r.away == nil {
		if result, err = simulate(o); err == nil {
			kept.result = Pack(result)
		}
	} else {
		result, err = r.fetch(k, o, &kept)
	}
	if err != nil {
		return nil, err
	}
	return result, r.store.put(k, kept)
}

// fetch has a replication run elsewhere.
func (r *recaller) fetch(k Key, o plant.Options, kept *row) (*plant.Result, error) {
	var err error
	kept.result, kept.worker, err = r.away(k, o)
	if errors.Is(err, ErrGivenUp) {
		noted := r.store.fail(Failure{Key: k, Works: r.works, Name: r.name, Seed: kept.seed, Replication: kept.replication, Reason: err.Error()})
		return nil, errors.Join(err, noted)
	}
	if err != nil {
		return nil, err
	}
	result, err := Unpack(kept.result)
	if err != nil {
		return nil, fmt.Errorf("what %s sent: %w", kept.worker, err)
	}
	return result, nil
}
