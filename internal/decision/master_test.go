package decision_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// smallPans is a small question about a case of the pans of the small works, to
// which a mould shop is given, and moulds of a short life, so that the fault
// spreads in weeks.
func smallPans(t *testing.T) (*plant.Plant, decision.MasterPlan) {
	t.Helper()
	f, faults := scenario.Read("../../scenarios/small-works.yaml")
	if f == nil {
		t.Fatal(faults)
	}
	w := f.Works
	w.Run.Length = 23 * des.Week
	supply := plant.MouldSupply{Cases: 2, CasePours: 3000, PoursDay: 5, CaseLead: 5 * des.Day, SpareCases: 1, BlockSets: 10, BlockLead: 3 * des.Day, Price: 120e6, Target: 8}
	pan, basin := supply, supply
	pan.Name, basin.Name = "pan", "basin"
	w.MouldShop = &plant.MouldShop{Hours: "casting", PerDay: 6, Pour: des.Day, Dry: 3 * des.Day, CasePrice: 2500e6, Moulds: []plant.MouldSupply{pan, basin}}
	life, err := random.Constant(25)
	if err != nil {
		t.Fatal(err)
	}
	w.Benches[0].Life = life
	p, more := plant.New(w)
	if p == nil {
		t.Fatal(more)
	}
	lag, err := random.Uniform(float64(14*des.Day), float64(21*des.Day))
	if err != nil {
		t.Fatal(err)
	}
	gate := func(name, at string, finds float64, inUse bool) decision.WatchGate {
		return decision.WatchGate{
			MasterGate: plant.MasterGate{Name: name, At: at, Fraction: .3, Finds: finds, Base: .002, Alarm: plant.AlarmRule{By: "case", Faults: 2, Within: 2 * des.Week}},
			InUse:      inUse, Each: .3,
		}
	}
	return p, decision.MasterPlan{
		Fault: plant.MasterFault{
			Ware: "pan", Node: "case", Born: 3 * des.Week, Shows: 1, React: des.Day, Trace: "case", Finds: .95, Rejects: .02,
			Store: 5 * des.Day, Returns: .3, Complains: lag, Tooling: 5 * des.Day, Proof: 6 * des.Day,
		},
		Gates:      []decision.WatchGate{gate("white gauge", "white", .5, false), gate("fired gauge", "fired", .7, true)},
		Complaints: plant.AlarmRule{By: "ware", Faults: 3},
		Release:    decision.ReleaseCheck{Finds: .6, Rework: 600, Each: 100, Year: 10},
		Pilot:      decision.PilotFire{Pieces: 3, Finds: .7, Each: 300, Year: 10},
		Money:      decision.MasterMoney{Tool: 1500, Case: 2500, Mould: 120, Sort: .5, FalseAlarm: 200, Return: 190, Margin: map[string]float64{"pan": 9}},
		PerYear:    2, Weeks: 22, Replications: 10, Redraws: 8, Seed: 1, Workers: 2, Constraint: "casting",
	}
}

// TestAskMaster asks a small question and holds the answer to what must be so.
func TestAskMaster(t *testing.T) {
	p, q := smallPans(t)
	a, err := decision.AskMaster(t.Context(), p, q)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Rows) != 3 || a.Replications != 10 {
		t.Fatalf("%d rows of %d replications", len(a.Rows), a.Replications)
	}
	for k, r := range a.Rows {
		if sum := r.Parts.Total(); math.Abs(sum-r.Cost.Value) > 1e-6*math.Abs(sum) {
			t.Errorf("%s: parts add up to %.2f, the cost is %.2f", r.Name, sum, r.Cost.Value)
		}
		if !(r.P50.Value <= r.P95.Value && r.P95.Value <= r.CVaR.Value) || r.N != 10*8 {
			t.Errorf("%s: median %.0f, 95 %% %.0f, worst %.0f of %d", r.Name, r.P50.Value, r.P95.Value, r.CVaR.Value, r.N)
		}
		if r.Times.Seen > r.Times.Alarm || r.Times.Alarm > r.Times.Stop {
			t.Errorf("%s: times %+v", r.Name, r.Times)
		}
		if d := math.Abs(r.Gap.Value / r.Cost.Value); d > .1 {
			t.Errorf("%s: the same luck costs %.0f more in the runs, of %.0f", r.Name, r.Gap.Value, r.Cost.Value)
		}
		if d := r.Replayed + r.Gap.Value - r.Cost.Value; math.Abs(d) > 1e-6*r.Cost.Value {
			t.Errorf("%s: replays of %.2f and a gap of %.2f do not make %.2f", r.Name, r.Replayed, r.Gap.Value, r.Cost.Value)
		}
		// One distribution: half lies at or below the median, 45 % at or below the
		// 95 % point, and the rest is the tail.
		if most := .5*r.P50.Value + .45*r.P95.Value + .05*r.CVaR.Value; r.Cost.Value > most*(1+1e-9) {
			t.Errorf("%s: a mean of %.0f is more than its quantiles %.0f and %.0f and its tail of %.0f allow", r.Name, r.Cost.Value, r.P50.Value, r.P95.Value, r.CVaR.Value)
		}
		if k > 0 && (r.Casts <= a.Rows[k-1].Casts || r.Escape < a.Rows[k-1].Escape) {
			t.Errorf("%s is later than %s, but %.0f casts against %.0f, escape %.3g against %.3g", r.Name, a.Rows[k-1].Name, r.Casts, a.Rows[k-1].Casts, r.Escape, a.Rows[k-1].Escape)
		}
	}
	if customer := a.Rows[2]; customer.Cost.Value < 2*a.Rows[1].Cost.Value || customer.Returned == 0 || customer.Parts.Field == 0 {
		t.Errorf("caught by customers: %+v", customer)
	}
	for k := 1; k < len(a.Traces); k++ {
		if a.Traces[k].Cost.Value > a.Traces[k-1].Cost.Value+1e-9 {
			t.Errorf("to know a piece by %s costs more than by %s", a.Traces[k].Level, a.Traces[k-1].Level)
		}
	}
	best := a.Steps[0]
	for _, s := range a.Steps {
		if s.Year.Value > best.Year.Value {
			t.Errorf("%s at %g is worth more than the first", s.Gate, s.To)
		}
		if want := q.PerYear*s.Saves.Value - s.Running; math.Abs(s.Year.Value-want) > 1e-6*(1+math.Abs(want)) {
			t.Errorf("%s at %g: %.1f a year, but %.1f by its parts", s.Gate, s.To, s.Year.Value, want)
		}
	}
	if best.Year.Value > 0 && a.Certified != 10 {
		t.Errorf("certified by %d replications", a.Certified)
	}
	if a.Recommendation == "" || strings.Contains(a.Recommendation, "NaN") || a.Pilot == nil || a.Release == nil {
		t.Errorf("recommendation %q", a.Recommendation)
	}
}

// TestAskMasterDoesNotDependOnWorkers: one worker or three, the same answer; and
// another rate of faults changes what a year costs, not what a fault does.
func TestAskMasterDoesNotDependOnWorkers(t *testing.T) {
	p, q := smallPans(t)
	q.Replications, q.Redraws, q.Weeks = 3, 2, 12
	texts := map[string]bool{}
	for _, workers := range []int{1, 3} {
		q.Workers = workers
		a, err := decision.AskMaster(t.Context(), p, q)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal([]any{a.Recommendation, a.Rows[0].Cost.Value, a.Rows[0].CVaR.Value, a.Steps[0].Year.Value, a.Traces[0].Cost.Value})
		if err != nil {
			t.Fatal(err)
		}
		texts[string(text)] = true
	}
	if len(texts) != 1 {
		t.Errorf("answers differ by workers: %v", texts)
	}
}

// TestAskMasterRefuses: questions that make no sense.
func TestAskMasterRefuses(t *testing.T) {
	p, q := smallPans(t)
	for _, change := range []func(*decision.MasterPlan){
		func(q *decision.MasterPlan) { q.Gates = nil },
		func(q *decision.MasterPlan) { q.Replications = 1 },
		func(q *decision.MasterPlan) { q.Fault.Born = 20 * des.Week },
		func(q *decision.MasterPlan) { q.Gates[0].At = "customer" },
		func(q *decision.MasterPlan) { q.Fault.Node = "glaze" },
	} {
		bad := q
		bad.Gates = append([]decision.WatchGate(nil), q.Gates...)
		bad.Weeks = min(bad.Weeks, 4)
		change(&bad)
		if _, err := decision.AskMaster(t.Context(), p, bad); err == nil {
			t.Errorf("not refused: %+v", bad.Fault)
		}
	}
}
