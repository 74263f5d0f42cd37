package decision_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// example reads a scenario of the examples.
func example(t *testing.T, name string) *scenario.File {
	t.Helper()
	file, faults := scenario.Read("../../scenarios/" + name)
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return file
}

// span is an input with a range in minutes.
func span(path string, low, high float64) scenario.Input {
	return scenario.Input{Path: path, Low: fmt.Sprintf("%g min", low), High: fmt.Sprintf("%g min", high), Rests: "as given"}
}

// minutes is a time of the works.
func minutes(t des.Time) float64 { return float64(t) / float64(des.Minute) }

// TestTornadoOfAKnownFigure moves the inputs of a figure that is a plain
// function of them, with luck on top that falls out of pairs:
// y = 3 x push - 2 x placing + drawing² + luck. The bars are then differences
// that a pencil gives.
func TestTornadoOfAKnownFigure(t *testing.T) {
	y := decision.Yardstick{Name: "y", Unit: "min", Works: []*scenario.File{example(t, "plant-a.yaml")}, Of: func(_ context.Context, works []*plant.Plant, n int) ([]float64, error) {
		k := works[0].Works().Kilns[0]
		all := make([]float64, n)
		for r := range all {
			all[r] = 3*minutes(k.Push) - 2*minutes(k.Place) + minutes(k.Draw)*minutes(k.Draw) + 10*float64(r)
		}
		return all, nil
	}}
	inputs := []scenario.Input{
		span("kilns.tunnel.place", 1, 2), span("kilns.tunnel.push", 22, 24), span("kilns.tunnel.draw", 1, 2), span("glazing.coat-drying", 200, 300),
	}
	got, err := decision.MoveInputs(t.Context(), inputs, y, 5, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		path      string
		low, high float64
	}{
		{"kilns.tunnel.push", 3 * (22 - 22.6), 3 * (24 - 22.6)},
		{"kilns.tunnel.draw", 1 - 1.44, 4 - 1.44},
		{"kilns.tunnel.place", -2 * (1 - 1.6), -2 * (2 - 1.6)},
		{"glazing.coat-drying", 0, 0},
	}
	for i, w := range want {
		b := got.Bars[i]
		if b.Path != w.path || math.Abs(b.AtLow.Value-w.low) > 1e-9 || math.Abs(b.AtHigh.Value-w.high) > 1e-9 {
			t.Errorf("bar %d is %s from %v to %v, want %+v", i, b.Path, b.AtLow.Value, b.AtHigh.Value, w)
		}
		if b.AtLow.High-b.AtLow.Low > 1e-9 {
			t.Errorf("%s: luck is left in the pairs: %v", b.Path, b.AtLow)
		}
	}
}

// TestEndsThatTurnTheAnswer parts the ends of bars at a value: a lead of 1 turns
// where a bar reaches below 0, and what cannot be had turns nothing.
func TestEndsThatTurnTheAnswer(t *testing.T) {
	swing := func(v float64) decision.Swing { return decision.Swing{Estimate: stats.Estimate{Value: v}} }
	got := decision.Tornado{AsStated: stats.Estimate{Value: 1}, Bars: []decision.Bar{
		{Input: scenario.Input{Path: "push", Low: "21 min", High: "24 min"}, AtLow: swing(-1.5), AtHigh: swing(2)},
		{Input: scenario.Input{Path: "place", Low: "1 min", High: "2 min"}, AtLow: decision.Swing{Impossible: "no"}, AtHigh: swing(-0.25)},
	}}
	turned, others := got.Ends()
	if len(turned) != 1 || turned[0] != (decision.End{Path: "push", At: "21 min", Value: -0.5}) {
		t.Errorf("turned by %+v", turned)
	}
	if len(others) != 2 || others[1] != (decision.End{Path: "place", At: "2 min", Value: 0.75}) {
		t.Errorf("not turned by %+v", others)
	}
}

// TestScreeningFindsPlantedInputs plants four inputs that matter, two of them
// with an interaction, among twenty, and wants just those in front, with the
// effects that the function has.
func TestScreeningFindsPlantedInputs(t *testing.T) {
	inputs, read := manyTimes()
	y := decision.Yardstick{Name: "y", Unit: "min", Works: []*scenario.File{example(t, "plant-a.yaml")}, Of: func(_ context.Context, works []*plant.Plant, n int) ([]float64, error) {
		x := read(works[0].Works())
		all := make([]float64, n)
		for r := range all {
			all[r] = 4*x[3] - 3*x[7] + 2*x[11] + x[17] + 0.5*x[3]*x[7] + float64(r)
		}
		return all, nil
	}}
	got, err := decision.MoveInputs(t.Context(), inputs, y, 3, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got.Runs != 2*20 { // 19 factors fill the 20 runs of a saturated design, doubled
		t.Errorf("%d works were tried", got.Runs)
	}
	if len(got.Bars) != 8 {
		t.Errorf("%d bars", len(got.Bars))
	}
	for i, want := range []struct {
		input int
		value float64
	}{{3, 2 * (4 + 0.5*10)}, {7, 2 * (-3 + 0.5*10)}, {11, 4}, {17, 2}} {
		found := false
		for _, e := range got.Screened[:4] {
			if e.Path == inputs[want.input].Path {
				found = true
				if math.Abs(e.Value-want.value) > 1e-9 {
					t.Errorf("%s has an effect of %v, want %v", e.Path, e.Value, want.value)
				}
			}
		}
		if !found {
			t.Errorf("planted input %d, %s, is not among the first four: %+v", i, inputs[want.input].Path, got.Screened[:4])
		}
	}
}

// manyTimes lists 19 times of Plant A, each with a range of 9 to 11 min, and
// how to read them back.
func manyTimes() ([]scenario.Input, func(*plant.Works) []float64) {
	var inputs []scenario.Input
	for _, path := range []string{
		"benches.pan-benches.fill", "benches.pan-benches.drain", "benches.pan-benches.set", "benches.pan-benches.demould", "benches.pan-benches.clean",
		"benches.fireclay-benches.fill", "benches.fireclay-benches.drain", "benches.fireclay-benches.set", "benches.fireclay-benches.demould", "benches.fireclay-benches.clean",
		"presses.cistern-presses.mould-change", "presses.basin-presses.mould-change", "finishing.tool-change", "refire.coat-drying", "glazing.coat-drying",
		"kilns.tunnel.place", "kilns.tunnel.draw", "glazing.booths.robots.colour-change", "glazing.booths.hand-booths.colour-change",
	} {
		inputs = append(inputs, span(path, 9, 11))
	}
	return inputs, func(w *plant.Works) []float64 {
		var x []float64
		for k := range w.Benches {
			b := &w.Benches[k]
			x = append(x, minutes(b.Fill), minutes(b.Drain), minutes(b.Set), minutes(b.Open), minutes(b.Clean))
		}
		return append(x, minutes(w.Presses[0].Change), minutes(w.Presses[1].Change), minutes(w.Finishing.Change), minutes(w.Refire.Dry), minutes(w.Glazing.Dry),
			minutes(w.Kilns[0].Place), minutes(w.Kilns[0].Draw), minutes(w.Glazing.Booths[0].Change), minutes(w.Glazing.Booths[1].Change))
	}
}
