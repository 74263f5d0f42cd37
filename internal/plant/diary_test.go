package plant_test

import (
	"slices"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// diary is all observations of a run, in the order in which they were made.
type diary []plant.Observation

// keep runs a plant with randomness off and keeps what was observed.
func keep(t *testing.T, p *plant.Plant, weeks int) (diary, *plant.Result) {
	t.Helper()
	var d diary
	o := fixed(weeks)
	o.Observer = func(x plant.Observation) { d = append(d, x) }
	r := simulate(t, p, o)
	return d, r
}

// of returns the observations of one event, at one place if where is given.
func (d diary) of(event string, where ...string) diary {
	var some diary
	for _, o := range d {
		if o.Event == event && (len(where) == 0 || slices.Contains(where, o.Where)) {
			some = append(some, o)
		}
	}
	return some
}

// piece returns the observations of one piece.
func (d diary) piece(serial uint64) diary {
	var some diary
	for _, o := range d {
		if o.Piece == serial {
			some = append(some, o)
		}
	}
	return some
}

// ware returns the observations of one ware.
func (d diary) ware(name string) diary {
	var some diary
	for _, o := range d {
		if o.Ware == name {
			some = append(some, o)
		}
	}
	return some
}

// times returns when they were made.
func (d diary) times() []des.Time {
	var all []des.Time
	for _, o := range d {
		all = append(all, o.At)
	}
	return all
}
