package experiment

import "potbank/internal/plant"

// Law is an exact law of the works, checked at the end of every replication.
type Law struct {
	Law     string
	Checked int64  // equalities checked, over all replications
	Broken  int64  // equalities that did not hold
	First   string // the first that did not hold, in figures
}

// Held tells whether the law held in every replication.
func (l Law) Held() bool { return l.Broken == 0 }

// addLaws adds the laws checked in one more replication, in the order in which
// they were first seen.
func addLaws(laws []Law, more []plant.Law) []Law {
	for _, m := range more {
		i := 0
		for i < len(laws) && laws[i].Law != m.Name {
			i++
		}
		if i == len(laws) {
			laws = append(laws, Law{Law: m.Name})
		}
		l := &laws[i]
		if l.Broken == 0 && m.Broken > 0 {
			l.First = m.First
		}
		l.Checked += m.Checked
		l.Broken += m.Broken
	}
	return laws
}
