package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// masterSample is an answer with figures of every size, and some that do not
// exist.
func masterSample() *decision.MasterAnswer {
	money := func(v, h float64) stats.Estimate {
		return stats.Estimate{Value: v, Low: v - h, High: v + h, SD: h, N: 12, Level: .95}
	}
	none := math.NaN()
	row := func(name string, cost float64) decision.GateRow {
		return decision.GateRow{
			Name: name, Cost: money(cost, cost/9), P50: money(cost*.8, cost/20), P95: money(cost*2, cost/5), CVaR: money(cost*3, cost/2), N: 240,
			Parts: decision.MasterCost{Destroyed: cost / 2, Tools: cost / 2}, Times: decision.MasterTimes{Seen: 5.4, Alarm: 15.3, Stop: 16.3, Released: 26.3, Refilled: none},
			Casts: cost / 30, Moulds: 64, Shipped: 55, Returned: 12, Lost: money(cost/60, cost/600), Escape: .37, Running: 2215, Year: cost + 2215, Even: .0172,
			Hand: decision.HandGate{Casts: cost / 31, Cost: cost * 1.1, Lag: 2.4},
		}
	}
	a := &decision.MasterAnswer{
		Currency: "EUR", Ware: "pan", Node: "case", Born: "Mon 1 Feb 2027", Shows: 1, PerYear: 1, Weeks: 32, Replications: 12, Redraws: 20, Certified: 12,
		Constraint: "casting", Recommendation: "Inspect 10 % at white.", Flips: []string{"It no longer pays below 0.2 faults a year."},
		Rows: []decision.GateRow{row("white-gauge", 22260), row("flush-sample", 128308), row("customer", 1151151)},
		Steps: []decision.GateStep{
			{Gate: "white-gauge", To: .1, Saves: money(20863, 4332), Tail: 49287, Running: 4914, Year: money(15950, 4332), Even: .236, Formula: .0653, Floor: 4915},
			{Gate: "flush-sample", From: .02, To: .2, Saves: money(121227, 7305), Tail: 151960, Running: 23826, Year: money(-2600, 7305), Even: none, Formula: .044, Floor: 6427},
		},
		Traces: []decision.TraceRow{
			{Level: "none", By: "ware", Faults: 3, Cost: money(134387, 17871), Works: 2524, Store: 4778, Shipped: 10358, Good: 6852, Limit: .5},
			{Level: "case", By: "case", Faults: 2, Cost: money(24035, 2204), Saves: money(110352, 3333), Works: 201, Store: 249, Shipped: 67, InUse: true, Limit: .5},
		},
		Release: &decision.CheckWorth{Finds: .5, Running: 960, Saves: 13785, Year: 12825, Even: .0696},
	}
	a.Rows[0].Escape, a.Rows[1].InUse, a.Rows[2].Escape = 3.2e-9, true, 1
	a.Rows[2].Even, a.Rows[2].Hand = none, decision.HandGate{Casts: none, Cost: none}
	return a
}

// TestMasterDocument: the recommendation comes first, nothing is wider than a
// page, and what does not exist is not printed as a number.
func TestMasterDocument(t *testing.T) {
	var b bytes.Buffer
	if err := Terminal(&b, MasterDocument(experiment.Scenario{Path: "works.yaml", Hash: strings.Repeat("a", 64)}, masterSample())); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, want := range []string{"Inspect 10 % at white.", "flush-sample *", "1 in 310,000,000", "before release", "one such fault a year", Caution[:40]} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	for _, bad := range []string{"NaN", "Inf", "guaranteed", "optimal"} {
		if strings.Contains(text, bad) {
			t.Errorf("%q is printed", bad)
		}
	}
	for line := range strings.Lines(text) {
		if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > 100 {
			t.Errorf("%d wide: %s", n, line)
		}
	}
}

// TestMasterJSON: the document is JSON; what does not exist is null.
func TestMasterJSON(t *testing.T) {
	var b bytes.Buffer
	if err := MasterJSON(&b, experiment.Scenario{Name: "Plant A"}, masterSample(), "1.0.0"); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Recommendation string `json:"recommendation"`
		Gates          []struct {
			Even  *float64            `json:"worth_it_from_faults_per_year"`
			Parts map[string]*float64 `json:"parts"`
		} `json:"gates"`
		Pilot *struct{} `json:"pilot"`
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Recommendation == "" || len(doc.Gates) != 3 || doc.Gates[0].Even == nil || doc.Gates[2].Even != nil || doc.Pilot != nil || len(doc.Gates[0].Parts) != len(decision.MasterParts) {
		t.Errorf("%+v", doc)
	}
}
