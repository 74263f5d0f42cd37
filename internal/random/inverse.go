package random

import (
	"math"
)

// The quantiles of the gamma and beta laws have no closed form. Inverting them
// by iteration costs 1.3 to 11 us a draw, some twenty times the event the draw
// belongs to, so the inverse is tabulated when the law is made: about 2 ms then,
// some 30 ns a draw afterwards.
//
// The table runs over the normal score z of u, not over u: on that scale both
// tails are straight and these quantiles are close to cubics (the cube-root law
// of E. B. Wilson and M. M. Hilferty, PNAS 17, 1931), which is what a cubic
// Hermite cell reproduces exactly.
const (
	// scoreEnd is the largest score tabulated; one draw in 5e8 lies beyond.
	scoreEnd = 6
	// cellsPerScore is the number of cells to one standard normal deviation.
	cellsPerScore = 32
	// inverseError bounds the table's error at the middle of each cell, where
	// a cubic Hermite cell errs most, as a fraction of the standard deviation:
	// for an sd of an hour, a third of the millisecond a time is rounded to.
	inverseError = 1e-7
)

// inverse is a quantile function: a table where the table is good enough, the
// exact iteration elsewhere.
type inverse struct {
	exact func(u float64) float64
	cells []hermiteCell
}

// hermiteCell is one cubic piece, given by its end values and end slopes, the
// slopes taken per cell width. A negative slope marks a piece that is not used.
type hermiteCell struct{ start, end, startSlope, endSlope float64 }

// newInverse tabulates an exact quantile. The density gives the slopes, sd the
// scale of the permitted error.
func newInverse(exact, density func(float64) float64, sd float64) inverse {
	const n = 2 * scoreEnd * cellsPerScore
	cells := make([]hermiteCell, n)
	value, slope := knot(exact, density, 0)
	for i := range cells {
		nextValue, nextSlope := knot(exact, density, float64(i+1))
		cell := hermiteCell{value, nextValue, slope, nextSlope}
		middle := exact(chance(float64(i) + 0.5))
		if !cell.rising() || !(math.Abs(cell.at(0.5)-middle) <= inverseError*sd) {
			cell.startSlope = -1
		}
		cells[i] = cell
		value, slope = nextValue, nextSlope
	}
	return inverse{exact, cells}
}

// knot returns the quantile at a knot and its slope per cell: with x(z) the
// quantile at score z, dx/dz is the normal density at z over the law's at x.
func knot(exact, density func(float64) float64, i float64) (value, slope float64) {
	z := float64(i/cellsPerScore) - scoreEnd
	value = exact(chance(i))
	normal := exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return value, normal / density(value) / cellsPerScore
}

// chance returns the probability below a place on the table's scale.
func chance(place float64) float64 {
	return normalCDF(float64(place/cellsPerScore) - scoreEnd)
}

// rising reports whether the cubic rises all the way: end slopes between zero
// and three times the mean slope suffice (F. N. Fritsch, R. E. Carlson, SIAM J.
// Numer. Anal. 17, 1980). A slope that is not a number fails.
func (c hermiteCell) rising() bool {
	limit := 3 * (c.end - c.start)
	return c.startSlope >= 0 && c.endSlope >= 0 && c.startSlope <= limit && c.endSlope <= limit
}

// at evaluates the cubic at a fraction s of the cell. Rounding must not carry
// the value past the cell's ends, or a larger u could give a smaller value.
func (c hermiteCell) at(s float64) float64 {
	rise := c.end - c.start
	bend := c.startSlope + c.endSlope - float64(2*rise)
	curve := float64(3*rise) - float64(2*c.startSlope) - c.endSlope
	x := float64((float64((float64(bend*s)+curve)*s) + c.startSlope) * s)
	return min(max(c.start+x, c.start), c.end)
}

// quantile returns the value at u.
func (v inverse) quantile(u float64) float64 {
	place := float64((normalQuantile(u) + scoreEnd) * cellsPerScore)
	if place < 0 || place >= float64(len(v.cells)) {
		return v.exact(u)
	}
	i := int(place)
	cell := &v.cells[i]
	if cell.startSlope < 0 {
		return v.exact(u)
	}
	return cell.at(place - float64(i))
}
