package experiment

import (
	"fmt"
	"math"
)

// A Method is a procedure that chooses the best of several options.
type Method string

const (
	KimNelson Method = "kn"     // fully sequential, on shared luck, with a guarantee
	Rinott    Method = "rinott" // two stages, on independent luck, with a guarantee
	OCBA      Method = "ocba"   // a budget spent where it tells most, without a guarantee
)

// A Criterion says by what options are compared, and how the best is chosen.
type Criterion struct {
	// By names measures; the first decides, the others are compared besides the
	// headline measures. None: packed.total decides.
	By      []string
	Way     Direction // of the measure that decides; Neither: as DirectionOf knows
	Matters Margin    // difference worth detecting in the measure that decides
	Method  Method    // KimNelson if empty
	Budget  int       // OCBA only: replications of all options together
}

// Margin is the indifference zone: a smaller difference decides nothing.
type Margin struct {
	Absolute float64 // in the unit of the measure; 0: Share holds
	Share    float64 // of the first option's value; 0: 1 %
}

// usualShare is the margin of a measure about which nothing else was said.
const usualShare = 0.01

// of returns the margin in the unit of the measure, for the first option's
// value.
func (m Margin) of(value float64) float64 {
	switch {
	case m.Absolute > 0:
		return m.Absolute
	case m.Share > 0:
		return float64(m.Share * math.Abs(value))
	}
	return float64(usualShare * math.Abs(value))
}

// Deciding is the name of the measure by which the best is chosen.
func (c Criterion) Deciding() string {
	if len(c.By) == 0 {
		return "packed.total"
	}
	return c.By[0]
}

// complete fills in what follows from the rest and refuses what makes no sense
// for so many options and replications of the first stage.
func (c Criterion) complete(options, first int) (Criterion, error) {
	if c.Method == "" {
		c.Method = KimNelson
	}
	if c.Way == Neither {
		c.Way = DirectionOf(c.Deciding())
	}
	switch {
	case c.Way == Neither:
		return c, fmt.Errorf("experiment: %s is neither good nor bad in itself; say whether less or more of it is better", c.Deciding())
	case c.Method != KimNelson && c.Method != Rinott && c.Method != OCBA:
		return c, fmt.Errorf("experiment: no method %q to choose by", c.Method)
	case c.Method == OCBA && c.Budget < options*first:
		return c, fmt.Errorf("experiment: a budget of %d replications; the first stage of %d options takes %d", c.Budget, options, options*first)
	case c.Method != OCBA && c.Budget != 0:
		return c, fmt.Errorf("experiment: a budget goes with method %s only", OCBA)
	}
	return c, nil
}

// Of returns the margin in the unit of the measure, for the first option's
// value.
func (m Margin) Of(value float64) float64 { return m.of(value) }
