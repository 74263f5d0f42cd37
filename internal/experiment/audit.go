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

// Laws are the laws checked in all replications of all cells.
func (g *Grid) Laws() []Law {
	var all []Law
	seen := map[*entrant]bool{}
	for _, row := range g.cells {
		for _, c := range row {
			if seen[c.e] {
				continue // futures that differ in prices only are simulated once
			}
			seen[c.e] = true
			for _, l := range c.e.study.laws {
				all = addLaws(all, []plant.Law{{Name: l.Law, Checked: l.Checked, Broken: l.Broken, First: l.First}})
			}
		}
	}
	return all
}
