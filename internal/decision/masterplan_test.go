package decision_test

import (
	"math"
	"strings"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// demo reads the question in the repository about the bad master, its works
// shortened to some weeks.
func demo(t *testing.T, weeks int) (*scenario.MasterSection, *plant.Plant) {
	t.Helper()
	asked, faults := scenario.ReadQuestion("../../scenarios/questions/bad-master.yaml")
	if asked == nil {
		t.Fatal(scenario.Faults(faults))
	}
	asked.Master.Weeks = weeks
	works := asked.Works(0, 0).Works
	works.Run.Length = des.Time(weeks+1) * des.Week
	p, more := plant.New(works)
	if p == nil {
		t.Fatal(more)
	}
	return asked.Master, p
}

// TestMasterPlan: what the file says, and what is taken where it is silent.
func TestMasterPlan(t *testing.T) {
	a, p := demo(t, 10)
	q, err := decision.NewMasterPlan(a, p.Works(), p.Clock())
	if err != nil {
		t.Fatal(err)
	}
	if q.Fault.Born != 4*des.Week-6*des.Hour || q.Fault.Tooling != 5*des.Day || q.Fault.Shows != 1 {
		t.Errorf("born at %v, tooling %v, shows %g", q.Fault.Born, q.Fault.Tooling, q.Fault.Shows)
	}
	if len(q.Gates) != 4 || !q.Gates[3].InUse || q.Gates[1].Fraction != .05 || q.Gates[1].Finds != .45 || q.Gates[2].Each != .3 {
		t.Errorf("gates %+v", q.Gates)
	}
	m := q.Money
	if m.Case != 2500 || m.Mould != 120 || m.Return != 190 || m.Margin["pan"] != 9 || m.Margin["fireclay"] != 9 {
		t.Errorf("money %+v", m)
	}
	b := *a
	b.Date, b.Kind, b.Node, b.Tooling = "", "weak wall", "model", 0
	b.Gates = []scenario.GateSection{scenario.DefaultGate("white", "EUR")}
	b.Money.Case, b.Money.Margin = 0, nil
	if q, err = decision.NewMasterPlan(&b, p.Works(), p.Clock()); err != nil {
		t.Fatal(err)
	}
	if q.Fault.Born != 4*des.Week || q.Fault.Shows != .30 || q.Gates[0].Finds != .70 || q.Fault.Tooling != 11*des.Day || q.Money.Margin["pan"] != 0 {
		t.Errorf("by the kind: %+v, %+v", q.Fault, q.Gates[0])
	}
	b.Date = "2026-12-28"
	if _, err = decision.NewMasterPlan(&b, p.Works(), p.Clock()); err == nil || !strings.Contains(err.Error(), "before the works starts") {
		t.Errorf("born before the start: %v", err)
	}
	b.Date, b.Ware = "", "urinal"
	if _, err = decision.NewMasterPlan(&b, p.Works(), p.Clock()); err == nil {
		t.Error("a ware that the works does not make is not refused")
	}
}

// TestMasterDemo asks the question of the repository at a small size.
func TestMasterDemo(t *testing.T) {
	a, p := demo(t, 7)
	q, err := decision.NewMasterPlan(a, p.Works(), p.Clock())
	if err != nil {
		t.Fatal(err)
	}
	q.Replications, q.Most, q.Redraws, q.Workers = 2, 2, 2, 2
	answer, err := decision.AskMaster(t.Context(), p, q)
	if err != nil {
		t.Fatal(err)
	}
	if len(answer.Rows) != 5 || answer.Rows[3].Name != "flush-sample" || !answer.Rows[3].InUse {
		t.Errorf("rows %+v", answer.Rows)
	}
	for _, r := range answer.Rows {
		if math.IsNaN(r.Cost.Value) || math.IsNaN(r.Replayed) {
			t.Errorf("%s costs %v, replayed %v", r.Name, r.Cost.Value, r.Replayed)
		}
	}
}
