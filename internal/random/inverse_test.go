package random

import (
	"math"
	"testing"
)

// The tables must hold everywhere, not only at the cell middles where they were
// checked when made, and must be used for nearly every draw of an ordinary law.
func TestTablesAgreeWithTheIteration(t *testing.T) {
	tests := []struct {
		law    Law
		reason string
	}{
		{must(Gamma(20, 10)), "hand work"},
		{must(Gamma(20, 20)), "exponential, as a gamma"},
		{must(Gamma(20, 30)), "most draws near zero"},
		{must(Erlang(3, 12)), "stages"},
		{must(PERT(8, 10, 18)), "a guess"},
		{must(PERT(0, 0, 3)), "a guess whose likeliest value is its least"},
		{must(Beta(0.36, 8.64, 0, 1)), "scrap of 4 %, correlation 0.1"},
		{must(Beta(0.5, 0.5, 0, 1)), "poles at both ends"},
	}
	for _, test := range tests {
		var table inverse
		switch l := test.law.(type) {
		case gamma:
			table = l.inverse
		case beta:
			table = l.inverse
		}
		unused := 0.0
		for i, cell := range table.cells {
			if cell.startSlope < 0 {
				unused += chance(float64(i+1)) - chance(float64(i))
				continue
			}
			for _, s := range []float64{0, 0.1, 0.25, 0.4, 0.6, 0.75, 0.9} {
				exact := table.exact(chance(float64(i) + s))
				if e := math.Abs(cell.at(s) - exact); e > 2*inverseError*test.law.SD() {
					t.Errorf("%v (%s): cell %d at %v errs by %.3g", test.law, test.reason, i, s, e)
				}
			}
		}
		if unused > 1e-4 {
			t.Errorf("%v (%s): %.3g of all draws miss the table", test.law, test.reason, unused)
		}
	}
}

func TestHermiteCellRefusesCubicsThatTurn(t *testing.T) {
	tests := []struct {
		cell hermiteCell
		want bool
	}{
		{hermiteCell{start: 0, end: 1, startSlope: 1, endSlope: 1}, true},
		{hermiteCell{start: 0, end: 1, startSlope: 3, endSlope: 3}, true},
		{hermiteCell{start: 0, end: 1, startSlope: 4, endSlope: 1}, false},
		{hermiteCell{start: 0, end: 1, startSlope: 1, endSlope: -0.1}, false},
		{hermiteCell{start: 0, end: 1, startSlope: math.NaN(), endSlope: 1}, false},
		{hermiteCell{start: 0, end: 1, startSlope: math.Inf(1), endSlope: 1}, false},
	}
	for _, test := range tests {
		if got := test.cell.rising(); got != test.want {
			t.Errorf("%+v: rising %v, want %v", test.cell, got, test.want)
		}
	}
}
