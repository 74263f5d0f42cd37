package random

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Law is a distribution: immutable, and checked when it was made, so that its
// methods cannot fail. A law has no unit of its own; it carries the unit of the
// numbers it was made from.
type Law interface {
	// Quantile returns the value below which the law lies with probability u,
	// for u strictly inside (0, 1). It is finite, and never falls as u rises
	// by more than the rounding of the last digits.
	Quantile(u float64) float64
	// Mean returns the expected value; always finite.
	Mean() float64
	// SD returns the standard deviation; always finite, 0 for a constant.
	SD() float64
	// Min and Max return the bounds of the support; either may be infinite.
	Min() float64
	Max() float64
	// String spells the law as a scenario file does, in plain numbers without
	// units, such as "lognormal(mean 75, sd 8)".
	String() string
}

// unbounded is the upper bound of laws that have none.
var unbounded = math.Inf(1)

// Trial turns a uniform into a yes or no that is yes with probability p. With
// the same u a larger p never turns a yes into a no.
func Trial(u, p float64) bool { return u < p }

// Scaled returns the law of factor times a value drawn from l. It is for unit
// conversion by the reader of a file: minutes to milliseconds, say. The factor
// must be positive and finite; anything else is a fault of the program and
// panics.
func Scaled(l Law, factor float64) Law {
	if !(factor > 0) || math.IsInf(factor, 1) {
		panic(fmt.Sprintf("random: scale factor %v is not positive and finite", factor))
	}
	switch inner := l.(type) {
	case constant:
		// Kept a plain constant, which a gate deals without drawing.
		return constant{value: inner.value * factor}
	case scaled:
		return scaled{law: inner.law, factor: inner.factor * factor}
	}
	if factor == 1 {
		return l
	}
	return scaled{law: l, factor: factor}
}

// scaled is a law in another unit.
type scaled struct {
	law    Law
	factor float64
}

func (s scaled) Quantile(u float64) float64 { return float64(s.factor * s.law.Quantile(u)) }
func (s scaled) Mean() float64              { return s.factor * s.law.Mean() }
func (s scaled) SD() float64                { return s.factor * s.law.SD() }
func (s scaled) Min() float64               { return s.factor * s.law.Min() }
func (s scaled) Max() float64               { return s.factor * s.law.Max() }
func (s scaled) String() string             { return plain(s.factor) + " x " + s.law.String() }

// parameter is one number of a law as its maker gave it, with its trade name.
type parameter struct {
	name  string
	value float64
}

// finite reports the first parameter that is not an ordinary number. Without it
// a NaN would pass every later comparison.
func finite(law string, parameters ...parameter) error {
	for _, p := range parameters {
		if math.IsNaN(p.value) || math.IsInf(p.value, 0) {
			return fmt.Errorf("%s: %s must be a finite number, got %v", law, p.name, p.value)
		}
	}
	return nil
}

// positive reports the first parameter that is not a finite number above zero.
func positive(law string, parameters ...parameter) error {
	if err := finite(law, parameters...); err != nil {
		return err
	}
	for _, p := range parameters {
		if p.value <= 0 {
			return fmt.Errorf("%s: %s must be above 0, got %s", law, p.name, plain(p.value))
		}
	}
	return nil
}

// deviation reports a standard deviation that is not finite or below zero.
func deviation(law string, sd float64) error {
	if err := finite(law, parameter{"sd", sd}); err != nil {
		return err
	}
	if sd < 0 {
		return fmt.Errorf("%s: sd cannot be negative, got %s", law, plain(sd))
	}
	return nil
}

// spell writes a law as name(parameter value, ...).
func spell(law string, parameters ...parameter) string {
	parts := make([]string, len(parameters))
	for i, p := range parameters {
		parts[i] = p.name + " " + plain(p.value)
	}
	return law + "(" + strings.Join(parts, ", ") + ")"
}

// plain writes a number without an exponent, in the fewest digits that read
// back as the same number.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
