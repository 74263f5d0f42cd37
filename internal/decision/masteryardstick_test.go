package decision_test

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/scenario"
)

// punch is a question about a small works, with a gauge that was counted.
const punch = `question: 1
ask: master
base: small-works.yaml
master:
  ware: pan
  node: punch
  kind: hole
  weeks: 9
  gates:
    white-gauge: {at: white, inspects: 10 %, finds: 60 % from 12 of 20, each: 0.30 EUR, alarm: {faults: 2, within: 2 wk, by: ware}}
    flush: {at: test, in-use: yes, inspects: 2 %, finds: 50 %, each: 1 EUR, alarm: {faults: 2, within: 4 wk, by: ware}}
  money: {return: 190 EUR, margin: {pan: 9 EUR, others: 9 EUR}}
`

// TestMovesTheQuestion: the values of the question move what a change of the watch
// gains as the sum says it is made up: savings x faults a year, less pieces x price.
func TestMovesTheQuestion(t *testing.T) {
	files := fstest.MapFS{"punch.yaml": {Data: []byte(punch)}}
	for _, name := range []string{"small-works.yaml", "holidays.ics"} {
		data, err := os.ReadFile("../../scenarios/" + name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: data}
	}
	asked, faults := scenario.ReadQuestionIn(files, "punch.yaml")
	if asked == nil {
		t.Fatal(scenario.Faults(faults))
	}
	file := asked.Works(0, 0)
	file.Works.Run.Length = des.Time(asked.Master.Weeks+1) * des.Week
	p, more := file.Plant()
	if p == nil {
		t.Fatal(more)
	}
	plan := func(a *scenario.MasterSection) (decision.MasterPlan, error) {
		return decision.NewMasterPlan(a, p.Works(), p.Clock())
	}
	q, err := plan(asked.Master)
	if err != nil {
		t.Fatal(err)
	}
	y, err := decision.GainOfWatch(context.Background(), p, file, q, 3, func(inputs []scenario.Input, sides []scenario.Side) (decision.MasterPlan, error) {
		a, faults := asked.LeaningMaster(inputs, sides)
		if a == nil {
			return decision.MasterPlan{}, errors.New(faults[0].What)
		}
		return plan(a)
	})
	if err != nil {
		t.Fatal(err)
	}
	const gate = "master.gates.white-gauge."
	tornado, err := decision.MoveInputs(context.Background(), []scenario.Input{
		{Path: "master.per-year", Low: "0", High: "3"},
		{Path: gate + "each", Low: "0 EUR", High: "0.60 EUR"},
		{Path: gate + "finds", Low: "1 %", High: "99 %"},
		{Path: gate + "at", Low: "moon", High: "test"},
	}, y, 3, nil)
	if err != nil {
		t.Fatal(err)
	}
	low, high, why := map[string]float64{}, map[string]float64{}, ""
	for _, b := range tornado.Bars {
		low[b.Path], high[b.Path] = b.AtLow.Value, b.AtHigh.Value
		why += b.AtLow.Impossible
	}
	near(t, "three faults a year for one gain twice what none loses", high["master.per-year"], -2*low["master.per-year"], 1e-6)
	near(t, "inspecting at twice the price loses what it gains for nothing", high[gate+"each"], -low[gate+"each"], 1e-6)
	if s := -low["master.per-year"]; s < 1000 || low[gate+"each"] < 50 {
		t.Errorf("a fault a year is worth %.0f, inspection for nothing %.0f", s, low[gate+"each"])
	}
	if s := low["master.per-year"]; low[gate+"finds"] < s || low[gate+"finds"] > .8*s || high[gate+"finds"] < 0 {
		t.Errorf("a gauge that finds hardly anything is worth %.0f less, one that finds nearly all %.0f more; all that the change saves is %.0f", -low[gate+"finds"], high[gate+"finds"], -s)
	}
	if !strings.Contains(why, "at must be one of") {
		t.Errorf("a gate on the moon: %q", why)
	}

	// Of 20 faults 12 were found: the tenth and the ninetieth percentile of
	// Beta(12.5, 8.5), by numerical integration.
	if len(asked.Inputs) != 1 || asked.Inputs[0].Path != gate+"finds" || asked.Inputs[0].Low != "45.71 %" || asked.Inputs[0].High != "72.92 %" {
		t.Errorf("inputs that were counted: %+v", asked.Inputs)
	}
}
