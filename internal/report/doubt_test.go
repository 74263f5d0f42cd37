package report

import (
	"math"
	"strings"
	"testing"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// sampleDoubt is a doubt with a measure that is mostly not known, one that is
// mostly luck, one of both, and orders with and without a range. Its figures
// are invented.
func sampleDoubt() *experiment.Doubt {
	nan := math.NaN()
	white := experiment.Evidence{Path: "ware.pan.yields.white", Rests: "460 of 500", Of: 500}
	punch := experiment.Evidence{Path: "finishing.punch.pan", Rests: "40 records in times.csv", Of: 40}
	share := func(value, low, high float64) stats.Estimate {
		return stats.Estimate{Value: value, Low: low, High: high, N: 40, Level: 0.95}
	}
	return &experiment.Doubt{
		Evidence: []experiment.Evidence{white, punch}, Draws: 40, Runs: 2, Refused: 1, Why: "ware.pan.yields.white: too rare",
		Measures: []experiment.Spread{
			{Name: "packed.total", Unit: "pieces/wk", Luck: 22.4, Inputs: 191.2, Range: about(6005, 194), Share: share(0.986, 0.972, 0.993)},
			{Name: "lead_time.mean", Unit: "h", Luck: 2.31, Inputs: 0.44, Range: about(251.2, 2.4), Share: share(0.035, 0, 0.29)},
			{Name: "wip.total", Unit: "pieces", Luck: 300, Inputs: 320, Range: about(12030, 441), Share: share(0.53, 0.29, 0.71)},
			{Name: "energy.per_good", Unit: "MJ/piece", Luck: 0.2, Inputs: 1.1, Range: about(148.3, 1.2), Share: share(0.97, 0.94, 0.98)},
		},
		Orders: []experiment.OrderSpread{
			{Spread: experiment.Spread{Name: "spring", Unit: "d", Luck: 0.27, Inputs: 1.33, Range: about(80.1, 1.4), Share: share(0.96, 0.93, 0.98)}, Low: civil(3, 22), High: civil(3, 27), HasInterval: true},
			{Spread: experiment.Spread{Name: "autumn", Unit: "d", Luck: nan, Inputs: nan, Range: alone(nan), Share: alone(nan)}, Note: "No range of a single case: need >= 39 draws, there are 25."},
		},
		Next: []experiment.Contribution{{Measure: "packed.total", Evidence: white, Share: 0.81}, {Measure: "spring", Evidence: punch, Share: 0.4}},
	}
}

// What the inputs leave open must stand where the result stands, and what
// neither side is said to make most of is left to the table.
func TestDoubtIsSaid(t *testing.T) {
	text := string(terminal(t, AnswerDocument(sample())))
	flat := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{
		"a run packs between 5,811 and 6,199 good pieces a week with 95 % probability",
		"2 values of this scenario rest on counts or records. 40 works were drawn",
		"Mostly not known: packed.total, energy.per_good, spring.",
		"Mostly luck: lead_time.mean.",
		"spring: ends between 2027-03-22 and 2027-03-27 with a probability of 95 %",
		"autumn: No range of a single case",
		"No one input stands out among 40 works for energy.per_good.",
	} {
		if !strings.Contains(flat, want) {
			t.Errorf("not said: %s", want)
		}
	}
	known := sample()
	known.Doubt = nil
	if text := string(terminal(t, AnswerDocument(known))); strings.Contains(text, "What to measure next") || strings.Contains(text, "drawn") {
		t.Error("an answer whose inputs are known speaks of doubt")
	}
}

func TestSpreadRow(t *testing.T) {
	tests := []struct {
		spread experiment.Spread
		want   string
		reason string
	}{
		{experiment.Spread{Name: "a", Unit: "h", Luck: 0.136, Inputs: 0.678, Range: about(30.34, 0.69)}, "a|± 0.14|± 0.68|29.65 to 31.03|h|-", "two digits of the smaller"},
		{experiment.Spread{Name: "b", Unit: "d", Luck: 1234, Inputs: 0, Range: about(60000, 1234)}, "b|± 1,234|± 0|58,766 to 61,234|d|-", "no digits after the point of a great one"},
	}
	for _, test := range tests {
		test.spread.Share = alone(math.NaN())
		if got := strings.Join(spreadRow(test.spread), "|"); got != test.want {
			t.Errorf("%s: %s, want %s", test.reason, got, test.want)
		}
	}
}
