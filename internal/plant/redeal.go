package plant

import (
	"slices"
	"strings"

	"potbank/internal/random"
)

// Redeal is luck of which a part is dealt anew: the causes named draw from
// another source, all others from that of the run. It is plain data, so that a
// run can be told from others by it.
type Redeal struct {
	Causes []Cause
	Source random.Source
}

// Cause is luck that belongs together, the same over all departments.
type Cause string

// Causes of luck. Every gate belongs to one: what no other takes is the luck of
// single pieces.
const (
	CauseStops   Cause = "stops"   // breakdowns, and cars that come down in a kiln
	CauseBatches Cause = "batches" // cars and days that go wrong as a whole
	CauseHands   Cause = "hands"   // times and absence of hands
	CauseMoulds  Cause = "moulds"  // lives of moulds, places out of use, cycles of casting and drying
	CauseOpening Cause = "opening" // age and place of what is in the works at the start
	CausePieces  Cause = "pieces"  // luck of single pieces
)

// Causes lists them all.
func Causes() []Cause {
	return []Cause{CauseStops, CauseBatches, CauseHands, CauseMoulds, CauseOpening, CausePieces}
}

// causeOf is the cause that a gate belongs to, by its name.
func causeOf(gate string) Cause {
	switch {
	case strings.HasPrefix(gate, "breakdown."), strings.HasPrefix(gate, "kiln.wreck"):
		return CauseStops
	case gate == "white.day", gate == "firing.car":
		return CauseBatches
	case strings.HasSuffix(gate, ".time"), gate == "crew.away":
		return CauseHands
	case gate == "mould.life", gate == "bench.place-idle", strings.HasSuffix(gate, ".cycle"):
		return CauseMoulds
	case strings.HasPrefix(gate, "opening."):
		return CauseOpening
	}
	return CausePieces
}

// picks reports whether a gate is dealt anew.
func (d *Redeal) picks(gate string) bool { return slices.Contains(d.Causes, causeOf(gate)) }
