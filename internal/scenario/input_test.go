package scenario_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"potbank/internal/des"
	"potbank/internal/scenario"
)

// plantAMeasured reads Plant A with its evidence.
func plantAMeasured(t *testing.T) *scenario.File {
	t.Helper()
	file, faults := scenario.Read("../../scenarios/plant-a-measured.yaml")
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return file
}

// TestInputsOfCounts holds the range of a counted share against the tenth and
// the ninetieth percentile of Beta(x + 1/2, n - x + 1/2), Jeffreys' posterior.
// Ranks among 199 draws are off by the luck of the draws: three standard errors
// of a rank are sqrt(199 x .1 x .9) x 3 = 13 of 199, that is .10 +- .065.
// source: gonum.org/v1/gonum/stat/distuv, a general-purpose library
func TestInputsOfCounts(t *testing.T) {
	law := distuv.Beta{Alpha: 460.5, Beta: 40.5}
	for _, in := range plantAMeasured(t).Inputs() {
		if in.Path != "ware.pan.yields.white" {
			continue
		}
		for text, p := range map[string]float64{in.Low: 0.1, in.High: 0.9} {
			v, err := strconv.ParseFloat(strings.TrimSuffix(text, " %"), 64)
			if got := law.CDF(v / 100); err != nil || math.Abs(got-p) > 0.065 {
				t.Errorf("%s is the %.3f quantile, want %.1f (%v)", text, got, p, err)
			}
		}
		return
	}
	t.Error("no input ware.pan.yields.white")
}

// TestLeaning moves inputs to a side: one given as text, one of evidence, and
// nothing else.
func TestLeaning(t *testing.T) {
	file := plantAMeasured(t)
	inputs := append(file.Inputs(), scenario.Input{Path: "kilns.tunnel.push", Low: "21 min", High: "24 min", Rests: "as given"})
	sides := make([]scenario.Side, len(inputs))
	sides[len(inputs)-1] = scenario.AtHigh
	for i, in := range inputs {
		if in.Path == "ware.pan.yields.white" {
			sides[i] = scenario.AtLow
		}
	}
	moved, faults := file.Leaning(inputs, sides)
	if moved == nil {
		t.Fatal(scenario.Faults(faults))
	}
	before, after := file.Works, moved.Works
	if after.Kilns[0].Push != 24*des.Minute || before.Kilns[0].Push == 24*des.Minute {
		t.Errorf("the push is %v, and was %v", after.Kilns[0].Push, before.Kilns[0].Push)
	}
	if w := float64(after.Ware[0].Yields.White); w >= 0.92 || w < 0.88 {
		t.Errorf("the white yield of pans is %v", w)
	}
	if before.Ware[0].Yields.Casting != after.Ware[0].Yields.Casting {
		t.Error("another value was moved too")
	}
	if fmt.Sprint(before.Ware[1].Yields.White) != fmt.Sprint(after.Ware[1].Yields.White) {
		t.Error("the yield of another ware was moved too")
	}
	if p, more := moved.Plant(); p == nil {
		t.Error(scenario.Faults(more))
	}
}

// TestLeaningTooFar refuses a side at which no works can be had.
func TestLeaningTooFar(t *testing.T) {
	file := plantAMeasured(t)
	for _, bad := range []scenario.Input{
		{Path: "kilns.tunel.push", Low: "21 min", High: "24 min"},
		{Path: "kilns.tunnel.push", Low: "21", High: "24 min"},
	} {
		if moved, faults := file.Leaning([]scenario.Input{bad}, []scenario.Side{scenario.AtLow}); moved != nil || len(faults) == 0 {
			t.Errorf("%+v is taken", bad)
		}
	}
}
