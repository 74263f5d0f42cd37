package random

import (
	"math"
	"os"
	"strings"
	"testing"
)

func TestEmpiricalDealsRecordedValuesByWeight(t *testing.T) {
	// By hand: shares .25, .5, .25 of the values 1, 3, 5; the value of weight zero
	// never comes. Mean 3, variance (4 + 0 + 4)/4.
	values, weights := []float64{5, 3, 4, 1}, []float64{1, 2, 0, 1}
	l := must(Empirical(values, weights))
	tests := []struct{ u, want float64 }{
		{0x1p-53, 1}, {0.2499, 1}, {0.25, 1}, {0.2501, 3}, {0.7499, 3}, {0.7501, 5}, {1 - 0x1p-53, 5},
	}
	for _, test := range tests {
		if got := l.Quantile(test.u); got != test.want {
			t.Errorf("Quantile(%v) = %v, want %v", test.u, got, test.want)
		}
	}
	if l.Mean() != 3 || !near(l.SD(), math.Sqrt2, 1e-15) {
		t.Errorf("mean %v, sd %v, want 3, sqrt 2", l.Mean(), l.SD())
	}
	values[0], weights[0] = 99, 99
	if l.Max() != 5 {
		t.Error("the law changed with the caller's slice")
	}
}

func TestEmpiricalCSV(t *testing.T) {
	file, err := os.Open("testdata/cycle_times.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	l, err := EmpiricalCSV(file, "glazing min")
	if err != nil {
		t.Fatal(err)
	}
	// 8 values that add up to 33.6, between 3.1 and 6.2.
	if !near(l.Mean(), 4.2, 1e-12) || l.Min() != 3.1 || l.Max() != 6.2 {
		t.Errorf("got %v", l)
	}
}

func TestEmpiricalCSVNamesTheLine(t *testing.T) {
	tests := []struct{ table, column, want string }{
		{"", "min", "the table is empty"},
		{"min\n", "min", "needs at least one value"},
		{"piece,min\n1,3.5\n", "max", `no column "max" in the heading, which has ["piece" "min"]`},
		{"piece,min\n1,3.5\n2,\n", "min", `line 3, column "min": "" is not a number`},
		{"piece,min\n1,3.5\n2,n/a\n", "min", `line 3, column "min": "n/a" is not a number`},
		{"piece,min\n1,\"3,5\"\n", "min", `line 2, column "min": "3,5" is not a number`},
		{"piece,min\n1,NaN\n", "min", `line 2, column "min": "NaN" is not a number`},
		{"piece,min\n1,3.5\n2\n", "min", "record on line 3: wrong number of fields"},
		{"piece,\"min\n1,3.5\n2\n", "min", "extraneous or missing \""},
	}
	for _, test := range tests {
		_, err := EmpiricalCSV(strings.NewReader(test.table), test.column)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%q: got error %v, want %q", test.table, err, test.want)
		}
	}
}

func TestEmpiricalCSVSkipsByteOrderMark(t *testing.T) {
	l, err := EmpiricalCSV(strings.NewReader("\ufeffmin, piece\n3.5, 1\n4.5, 2\n"), "min")
	if err != nil || l.Mean() != 4 {
		t.Errorf("got %v, %v", l, err)
	}
}
