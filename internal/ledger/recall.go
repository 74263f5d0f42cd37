package ledger

import (
	"potbank/internal/plant"
)

// Recaller gives the results of one works from the ledger where it has them, and
// keeps those that had to be run.
type recaller struct {
	store       *Store
	works, name string
}

// Recaller returns the recaller of the works with a hash; name is shown in
// lists.
func (s *Store) Recaller(works, name string) plant.Recaller { return &recaller{s, works, name} }

// Recall implements plant.Recaller. A ledger that cannot be read or written
// ends the study: to go on without it would lose what it was opened for.
func (r *recaller) Recall(o plant.Options, simulate func(plant.Options) (*plant.Result, error)) (*plant.Result, error) {
	k := keyOf(r.works, o)
	known, err := r.store.get(k)
	if known != nil || err != nil {
		return known, err
	}
	result, err := simulate(o)
	if err != nil {
		return nil, err
	}
	return result, r.store.put(k, row{
		works: r.works, name: r.name, seed: o.Source.Seed(), replication: o.Source.Replication(), weeks: o.Weeks, result: pack(result),
	})
}
