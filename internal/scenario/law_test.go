package scenario

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"potbank/internal/quantity"
	"potbank/internal/random"
)

// lawField is a key whose value may be spread.
func lawField(unit string) field { return field{owner: "Test", key: "time", unit: unit} }

// TestLaws reads laws and holds the random law made of them, in milliseconds,
// percent or casts, and how they are printed.
func TestLaws(t *testing.T) {
	tests := []struct{ unit, text, law, printed string }{
		{"time", "12 min", "constant(720000)", "12 min"},
		{"time", "12 min +- 25 %", "uniform(min 540000, max 900000)", "uniform(9 min, 15 min)"},
		{"time", "12 min ± 25 %", "uniform(min 540000, max 900000)", "uniform(9 min, 15 min)"},
		{"time", "12 min +- 90 s", "uniform(min 630000, max 810000)", "uniform(630 s, 810 s)"},
		{"time", "uniform(9 min, 15 min)", "uniform(min 540000, max 900000)", "uniform(9 min, 15 min)"},
		{"time", "uniform(min 9 min, max 15 min)", "uniform(min 540000, max 900000)", "uniform(9 min, 15 min)"},
		{"time", "triangular(6 min, 8 min, 9 min)", "triangular(least 360000, likely 480000, greatest 540000)", "triangular(6 min, 8 min, 9 min)"},
		{"time", "pert(6 min, 8 min, 9 min)", "pert(least 360000, likely 480000, greatest 540000)", "pert(6 min, 8 min, 9 min)"},
		{"time", "lognormal(mean 75 min, sd 8 min)", "lognormal(mean 4500000, sd 480000)", "lognormal(mean 75 min, sd 8 min)"},
		{"time", "lognormal(sd 8 min, mean 75 min)", "lognormal(mean 4500000, sd 480000)", "lognormal(mean 75 min, sd 8 min)"},
		{"time", "lognormal(75 min, 8 min)", "lognormal(mean 4500000, sd 480000)", "lognormal(mean 75 min, sd 8 min)"},
		{"time", "exponential(mean 50 h)", "exponential(mean 180000000)", "exponential(mean 50 h)"},
		{"time", "gamma(mean 1 h, sd 30 min)", "gamma(mean 3600000, sd 1800000)", "gamma(mean 1 h, sd 30 min)"},
		{"time", "erlang(k 4, mean 1 h)", "erlang(k 4, mean 3600000)", "erlang(k 4, mean 1 h)"},
		{"time", "weibull(shape 2, scale 100 h)", "weibull(shape 2, scale 360000000)", "weibull(shape 2, scale 100 h)"},
		{"time", "normal(mean 36 h, sd 2 h)", "normal(mean 129600000, sd 7200000, min 0)", "normal(mean 36 h, sd 2 h, from 0 s)"},
		{"time", "normal(mean 36 h, sd 2 h, from 30 h, to 40 h)", "normal(mean 129600000, sd 7200000, min 108000000, max 144000000)", "normal(mean 36 h, sd 2 h, from 30 h, to 40 h)"},
		{"time", "beta(2, 3, 1 min, 4 min)", "beta(alpha 2, beta 3, min 60000, max 240000)", "beta(alpha 2, beta 3, min 1 min, max 4 min)"},
		{"time", "empirical(12 min x 3, 15 min)", "empirical(12 min x 3, 15 min x 1)", "empirical(12 min x 3, 15 min x 1)"},
		{"moisture", "uniform(21.3 %, 22.7 %)", "uniform(min 21.3, max 22.7)", "uniform(21.3 %, 22.7 %)"},
		{"moisture", "22 %", "constant(22)", "22 %"},
		{"casts", "80", "constant(80)", "80"},
		{"casts", "80 casts +- 10 %", "uniform(min 72, max 88)", "uniform(72, 88)"},
		{"casts", "weibull(shape 1, mean 80 casts)", "weibull(shape 1, scale 80)", "weibull(shape 1, scale 80)"},
	}
	for _, tt := range tests {
		f := lawField(tt.unit)
		x, err := parseLaw(&decoder{}, f, tt.text)
		if err != nil {
			t.Errorf("%s: %v", tt.text, err)
			continue
		}
		law := x.(random.Law)
		if law.String() != tt.law {
			t.Errorf("%s is %s, want %s", tt.text, law, tt.law)
		}
		printed := printLaw(reflect.ValueOf(&law).Elem(), f, "")
		if printed != tt.printed {
			t.Errorf("%s prints as %s, want %s", tt.text, printed, tt.printed)
		}
		again, err := parseLaw(&decoder{}, f, printed)
		if err != nil || again.(random.Law).String() != law.String() {
			t.Errorf("%s, printed and read again, is %v, %v", tt.text, again, err)
		}
	}
}

// TestBadLaws holds what is said of laws that are none, and where it points.
func TestBadLaws(t *testing.T) {
	tests := []struct {
		unit, text string
		at         int
		want       string
	}{
		{"time", "12", 0, "time has no unit; hint: write 12 h or 12 min"},
		{"time", "soon", 0, `"soon" is no value of time; hint: write a value such as 12 min, or a law such as uniform(a, b)`},
		{"time", "lognromal(mean 1 h, sd 1 min)", 0, `there is no law called "lognromal"; hint: did you mean lognormal?`},
		{"time", "zipf(2)", 0, `there is no law called "zipf"; hint: write ` + familyNames},
		{"time", "uniform(9 min, 15 min", 21, "uniform( is never closed; hint: add ) at the end"},
		{"time", "uniform(9 min)", 0, "uniform lacks max; hint: write uniform(min, max)"},
		{"time", "uniform(9 min, 15 min, 16 min)", 23, "uniform takes 2 values; hint: write uniform(min, max)"},
		{"time", "uniform(15 min, 9 min)", 16, "uniform takes min, max in that order; hint: did you mean uniform(9 min, 15 min)?"},
		{"time", "uniform(9, 15 min)", 8, "min has no unit; hint: write 9 h or 9 min"},
		{"time", "lognormal(mean 75 min, sd -8 min)", 26, "sd cannot be negative; hint: write sd 8 min"},
		{"time", "lognormal(mean 75 min, dev 8 min)", 23, `lognormal has no "dev"; hint: write lognormal(mean, sd)`},
		{"time", "lognormal(mean 75 min, mean 8 min)", 23, "lognormal has two values of mean; hint: give each once"},
		{"time", "lognormal(mean 0 min, sd 8 min)", 0, "lognormal: mean must be above 0; hint: write lognormal(mean, sd)"},
		{"time", "weibull(shape 2)", 0, "weibull lacks scale or mean; hint: write weibull(shape, scale)"},
		{"time", "erlang(k 2.5, mean 1 h)", 0, "erlang: k counts stages, a whole number from 1 to 10000; hint: write erlang(k, mean)"},
		{"time", "exponential(mean 60 yr)", 17, "mean is above the limit of 50 yr; hint: shorten it"},
		{"time", "12 min +- 125 %", 10, "a share must lie between 0 % and 100 %; hint: write a share such as 6 %"},
		{"time", "12 min +- 15 min", 9, "the spread reaches below zero; hint: write a smaller spread"},
		{"moisture", "22 % +- 0.7 %", 5, "this could be points of moisture or a share of 22 %; hint: write uniform(21.3 %, 22.7 %) with the two ends"},
		{"casts", "80 moulds", 3, `mould-life counts casts, not "moulds"; hint: write 80 casts`},
		{"time", "empirical(12 min x many)", 19, `"many" is not a number; hint: write a number such as 2.5`},
		{"time", "empirical(each 12 min)", 10, `empirical has no "each"; hint: write values such as 12 min x 3`},
		{"time", "csv(times.csv)", 0, "csv takes a file, a column and a unit; hint: write csv(times.csv, column minutes, min)"},
	}
	for _, tt := range tests {
		f := lawField(tt.unit)
		if tt.unit == "casts" {
			f.key = "mould-life"
		}
		x, err := parseLaw(&decoder{folder: &folder{path: "testdata"}}, f, tt.text)
		var fault *quantity.Fault
		if !errors.As(err, &fault) {
			t.Errorf("%s gives %v, %v", tt.text, x, err)
			continue
		}
		if fault.Error() != tt.want || fault.Offset != tt.at {
			t.Errorf("%s:\ngot  %d: %s\nwant %d: %s", tt.text, fault.Offset, fault, tt.at, tt.want)
		}
	}
}

// TestRecordedTimes reads a table beside the scenario.
func TestRecordedTimes(t *testing.T) {
	d := &decoder{folder: &folder{path: "testdata"}}
	x, err := parseLaw(d, lawField("time"), "csv(times.csv, column minutes, min)")
	if err != nil {
		t.Fatal(err)
	}
	law := x.(random.Law)
	// By hand: (8.5 + 9 + 11.25 + 9) / 4 = 9.4375 min.
	if law.Mean() != 9.4375*60_000 || law.Min() != 8.5*60_000 || law.Max() != 11.25*60_000 {
		t.Errorf("mean %v, from %v to %v ms", law.Mean(), law.Min(), law.Max())
	}
	for text, want := range map[string]string{
		"csv(times.csv, column hours, min)":      `no column "hours"`,
		"csv(times.csv, column minutes, kg)":     "time is a time, but kg is a mass",
		"csv(none.csv, column minutes, min)":     `there is no file "none.csv"`,
		"csv(../law.go, column minutes, min)":    "the path leaves the folder of this scenario",
		"csv(/etc/passwd, column minutes, min)":  "the path leaves the folder of this scenario",
		"csv(., column minutes, min)":            "is not a regular file",
		"csv(sample.yaml, column minutes, min)":  "no column",
		"csv(times.csv, column minutes, min, x)": "csv takes a file, a column and a unit",
	} {
		if _, err := parseLaw(d, lawField("time"), text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s gives %v, want %s", text, err, want)
		}
	}
}
