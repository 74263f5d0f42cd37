package experiment_test

import (
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// smallWorks is a real plant, short enough for a test.
func smallWorks(t *testing.T, weeks int) *plant.Plant {
	t.Helper()
	file, faults := scenario.Read(filepath.Join("..", "..", "scenarios", "small-works.yaml"))
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(faults))
	}
	if weeks > p.Weeks() {
		t.Fatalf("the works is open for %d weeks only", p.Weeks())
	}
	return p
}

// A real plant gives the same answer on any number of workers, keeps its laws,
// and its states and lead-time parts add up in the answer as in the run.
func TestReplicateAPlant(t *testing.T) {
	const weeks = 16
	p := smallWorks(t, weeks)
	s := experiment.Settings{Replications: 4, Seed: 3, Weeks: weeks, WarmUp: 4, Workers: 1}
	want, err := experiment.Replicate(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	s.Workers = 4
	got, err := experiment.Replicate(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("four workers give another answer (-one +four):\n%s", diff)
	}
	if len(want.Audit) == 0 || len(want.Hand) == 0 || len(want.CostLines) == 0 || want.Events == 0 {
		t.Errorf("an answer without audit, estimate by hand, cost lines or events: %+v", want)
	}
	var checked int64
	for _, law := range want.Audit {
		checked += law.Checked
		if !law.Held() {
			t.Errorf("law %+v", law)
		}
	}
	if checked < int64(want.Replications*len(want.Audit)) {
		t.Errorf("only %d equalities were checked", checked)
	}
	addsUp(t, want.Group("lead."), valueOf(t, want, "lead_time.mean"))
	for _, r := range want.Resources {
		addsUp(t, want.Group("state."+r.Name+"."), 100)
	}
	addsUp(t, want.CostLines, valueOf(t, want, "cost.per_good"))
}

func valueOf(t *testing.T, a *experiment.Answer, name string) float64 {
	t.Helper()
	f, ok := a.Figure(name)
	if !ok {
		t.Fatalf("no measure %s", name)
	}
	return f.Value
}

// addsUp allows for rounding in the last bits only.
func addsUp(t *testing.T, parts []experiment.Figure, total float64) {
	t.Helper()
	var sum float64
	for _, f := range parts {
		sum += f.Value
	}
	if len(parts) == 0 || sum < total*(1-1e-12) || sum > total*(1+1e-12) {
		t.Errorf("%d parts add up to %v, want %v", len(parts), sum, total)
	}
}
