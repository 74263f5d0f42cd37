package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// sizedSample is an answer with something in every part. Its figures are invented.
func sizedSample() *decision.Sized {
	nan := math.NaN()
	three := func(a, b, c stats.Estimate) []stats.Estimate { return []stats.Estimate{a, b, c} }
	chance := func(v, low, high float64) stats.Estimate {
		return stats.Estimate{Value: v, Low: low, High: high, SD: 0.1, N: 10, Level: 0.95}
	}
	tunnel := decision.SizedKiln{
		Name: "tunnel", Kind: "tunnel", Inside: 46, Slots: 490.3, Need: 485.9, Load: about(98.8, 0.1), Empty: about(1.2, 0.1), Part: about(0.2, 0.05),
		Needed: 135.4, Held: alone(138.8), Racks: alone(2286), Least: alone(0.3), Cars: alone(64), Fleet: 70, AsCars: 318,
	}
	shuttle := decision.SizedKiln{Name: "refire", Kind: "shuttle", Slots: 21, Need: 14.5, Load: about(68.8, 0.2), Empty: alone(nan), Part: about(0, 0), Held: alone(nan), Racks: alone(nan), Least: alone(nan), Cars: alone(nan)}
	return &decision.Sized{
		Title: "Which kiln?", Currency: "EUR",
		Terms: decision.SizeTerms{Rate: 0.08, Weeks: 50, Service: 0.95, Period: 4, Worth: 42, Matters: 23000, Limits: []decision.Limit{{Measure: "kiln.tunnel.empty", Least: math.Inf(-1), Most: 2}}},
		Futures: []decision.SizeFuture{
			{Name: "as-planned", Weight: 0.6, Demand: []decision.Demand{{Pieces: 7200}}},
			{Name: "slow", Weight: 0.25, Demand: []decision.Demand{{Pieces: 6700}}},
			{Name: "dear-gas", Weight: 0.15, Demand: []decision.Demand{{Pieces: 7200}}},
		},
		Options: []decision.SizedOption{
			{
				SizeOption: decision.SizeOption{Name: "today", Outlay: decision.Outlay{Life: 1}}, Replications: 10,
				Meets: chance(0, 0, 0.28), Keeps: chance(1, 0.72, 1), MeetsIn: three(chance(0, 0, 0.28), chance(0.1, 0.01, 0.4), chance(0, 0, 0.28)), UpTo: alone(5896),
				Good: about(5945, 7), Short: about(1129, 7), Yearly: about(11.375e6, 13e3), PerGood: about(30.29, 0.03),
				Difference: alone(nan), Worth: alone(nan), Payback: nan, Energy: decision.Split{Base: 45.2, Variable: 83.3}, CO2: decision.Split{Base: 2.54, Variable: 4.67},
				Kilns: []decision.SizedKiln{shuttle}, Bottleneck: experiment.Binding{Resource: "tunnel", Load: 99, Next: "pan-benches"},
			},
			{
				SizeOption:   decision.SizeOption{Name: "push-21", Outlay: decision.Outlay{Capital: 1.5e6, Upkeep: 150e3, Life: 15}, Changes: []experiment.Change{{Path: "kilns.tunnel.push", Before: "22.6 min", After: "21 min"}}},
				Replications: 10, Meets: chance(0.98, 0.7, 1), Keeps: chance(1, 0.72, 1), MeetsIn: three(chance(0.97, 0.68, 1), chance(1, 0.72, 1), chance(0.97, 0.68, 1)), Eligible: true, UpTo: alone(7205),
				Good: about(7131, 5), Short: about(0, 0), Yearly: about(10.955e6, 8e3), Fixed: 325e3, PerGood: about(30.96, 0.02),
				Difference: about(-419e3, 7e3), Worth: about(3.59e6, 62e3), Payback: 2.5, Energy: decision.Split{Base: 37.7, Variable: 83.1}, CO2: decision.Split{Base: 2.12, Variable: 4.66},
				Kilns: []decision.SizedKiln{shuttle}, Bottleneck: experiment.Binding{Load: 84, Next: "finishers"},
				Leaves: []string{"tunnel fires in 14 h, and losses were measured at 15.1 to 24 h"},
			},
			{
				SizeOption: decision.SizeOption{Name: "cars-46", Outlay: decision.Outlay{Capital: 2.4e6, Residual: 1e5, Upkeep: 60e3, Life: 15}, Changes: []experiment.Change{
					{Path: "kilns.tunnel.push", Before: "22.6 min", After: "21 min"}, {Path: "kilns.tunnel.inside", Before: "40", After: "46"}, {Path: "kilns.tunnel.cars", After: "70"},
				}},
				Replications: 12, Meets: chance(1, 0.72, 1), Keeps: chance(1, 0.72, 1), MeetsIn: three(chance(1, 0.72, 1), chance(1, 0.72, 1), chance(1, 0.72, 1)), Eligible: true, UpTo: alone(7261),
				Good: about(7179, 8), Short: about(0, 0), Yearly: about(10.917e6, 10e3), Fixed: 340e3, PerGood: about(30.85, 0.03),
				Difference: about(-458e3, 7e3), Worth: about(3.917e6, 58e3), Payback: math.Inf(1), Energy: decision.Split{Base: 37.4, Variable: 83}, CO2: decision.Split{Base: 2.1, Variable: 4.66},
				Kilns: []decision.SizedKiln{tunnel, shuttle}, Bottleneck: experiment.Binding{Resource: "tunnel", Load: 98.8, Next: "pan-benches"},
			},
		},
		Best: 2, Met: true, Rival: 1, Decided: true, Minimax: 1,
		Advantage: decision.Advantage{Than: 1, Yearly: about(38187, 4988), Fresh: about(40334, 6063), Meets: chance(0.99, 0.94, 1), NewRuns: 10, Trials: 73},
		Regret:    [][]float64{{497e3, 388e3, 434e3}, {55e3, 0, 57e3}, {0, 14e3, 0}},
		Curve: []decision.SizePoint{
			{Option: 0, Could: 6008, Makes: 5922, On: true, More: nan, PerPlace: nan, PerPiece: nan},
			{Option: 1, Could: 7253, Makes: 7237, Outlay: 325e3, On: true, More: 1315, PerPlace: 1.06, PerPiece: 4.94},
			{Option: 2, Could: 7409, Makes: 7237, Outlay: 340e3, More: nan, PerPlace: nan, PerPiece: nan},
		},
		Knee: 1,
		Flips: []decision.Flip{
			{Input: "capital of cars-46", Unit: "EUR", Now: 2.4e6, At: about(2.727e6, 43e3), Above: true, To: 1},
			{Input: "price of fuel", Unit: "EUR/kWh", Now: 0.045, At: about(0.11, 0.02), Above: true, To: 1},
			{Input: "demand", Unit: "pieces/wk", Now: 7200, At: alone(7261), Above: true, To: -1},
			{Input: "demand", Unit: "pieces/wk", Now: 7200, At: alone(5896), To: 0},
		},
		Seed: 1, Weeks: 18, WarmUp: 6, Warnings: []string{"This is invented."},
	}
}

var sizeName = experiment.Scenario{Name: "Which kiln?", Hash: "821b447e0e85aa", Path: "kiln.yaml"}

// TestSizeDocument holds the answer as it is read.
func TestSizeDocument(t *testing.T) {
	golden(t, "size.txt", terminal(t, SizeDocument(sizeName, sizedSample())))
	var b bytes.Buffer
	if err := SizedJSON(&b, sizeName, sizedSample(), "test"); err != nil {
		t.Fatal(err)
	}
	golden(t, "size.json", b.Bytes())
}

// TestSizeTitles holds the sentence that recommends in each case.
func TestSizeTitles(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*decision.Sized)
		want   string
	}{
		"clear":        {func(r *decision.Sized) {}, "Build cars-46: it meets demand in 99 % of 4-week periods (94 to 100 %) and costs 40 ± 6 thousand EUR a year less than push-21, the next cheapest that does"},
		"no fresh run": {func(r *decision.Sized) { r.Advantage.NewRuns = 0 }, "Build cars-46: it meets demand in 100 % of 4-week periods (72 to 100 %) and costs 38 ± 5 thousand"},
		"alike":        {func(r *decision.Sized) { r.Advantage.Fresh = about(-300, 6000) }, "Build cars-46: it meets demand in 99 % of 4-week periods (94 to 100 %) and costs no more than push-21 as far as it matters (0 ± 6 thousand EUR a year)"},
		"unlucky":      {func(r *decision.Sized) { r.Advantage.Fresh = about(-40000, 6000) }, "Build cars-46: it meets demand in 99 % of 4-week periods (94 to 100 %) and costs 40 ± 6 thousand EUR a year more than push-21 by the newest runs"},
		"only one":     {func(r *decision.Sized) { r.Rival, r.Advantage.Than = -1, 0 }, "Build cars-46: it meets demand in 99 % of 4-week periods (94 to 100 %), and nothing else here does"},
		"as it is":     {func(r *decision.Sized) { r.Best = 0 }, "Build nothing: it meets demand"},
		"nearest":      {func(r *decision.Sized) { r.Met, r.Best = false, 1 }, "None of these meets the demand and keeps the limits with 95 %: push-21 comes nearest, with 98 %"},
		"none":         {func(r *decision.Sized) { r.Met, r.Best, r.Terms.Limits = false, 0, nil }, "None of these meets the demand: today comes nearest, with 5,896 of 7,200 pieces a week"},
	} {
		r := sizedSample()
		c.change(r)
		if got := (&sized{r}).title(); !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: said %q, want %q", name, got, c.want)
		}
	}
}
