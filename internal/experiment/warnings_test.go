package experiment

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/plant"
)

func TestLawsAreAddedUpOverReplications(t *testing.T) {
	laws := addLaws(nil, []plant.Law{{Name: "pieces", Checked: 10}, {Name: "time", Checked: 5}})
	laws = addLaws(laws, []plant.Law{{Name: "pieces", Checked: 10, Broken: 2, First: "pan: 7 cast, 6 found"}, {Name: "moulds", Checked: 1}})
	laws = addLaws(laws, []plant.Law{{Name: "pieces", Checked: 10, Broken: 1, First: "a later one"}})
	want := []Law{
		{Law: "pieces", Checked: 30, Broken: 3, First: "pan: 7 cast, 6 found"},
		{Law: "time", Checked: 5}, {Law: "moulds", Checked: 1},
	}
	if diff := cmp.Diff(want, laws); diff != "" {
		t.Errorf("laws (-want +got):\n%s", diff)
	}
	if laws[0].Held() || !laws[1].Held() {
		t.Error("a broken law is said to hold, or the other way round")
	}
}

func TestBrokenLawComesFirst(t *testing.T) {
	w := toy()
	w.laws = []plant.Law{{Name: "pieces", Checked: 1, Broken: 1, First: "7 cast, 6 found"}}
	w.notes = []string{"bench A never opened", "bench A never opened"}
	a := ask(t, w, Settings{Replications: 3, WarmUp: 1})
	const want = "A law of the works was broken 3 times, so no figure can be trusted: pieces (7 cast, 6 found)."
	if len(a.Warnings) == 0 || a.Warnings[0] != want {
		t.Errorf("warnings %q, want first %q", a.Warnings, want)
	}
	wantWarning(t, a, "bench A never opened (in 3 of 3 replications)")
}

func TestUnfinishedWareIsSaid(t *testing.T) {
	tests := []struct {
		reason     string
		stock      float64
		weeks, cut int
		want       bool
	}{
		{"3000 of 4000 cast", 3000, 8, 4, true},
		{"3000 of 44000 cast", 3000, 48, 4, false},
	}
	for _, test := range tests {
		a := answerOf(map[string]float64{"wip.total": test.stock, "cast.total": 1000}, "wip.total", "cast.total")
		a.Weeks, a.WarmUp.Weeks = test.weeks, test.cut
		if got := len(a.aboutUnfinished()) == 1; got != test.want {
			t.Errorf("%s: warned %v", test.reason, got)
		}
	}
}

func TestIdentifyCountsWhatNobodyMeasured(t *testing.T) {
	a := &Answer{}
	a.Identify(Scenario{Name: "Works"}, nil)
	if len(a.Warnings) != 0 {
		t.Errorf("warned of nothing: %q", a.Warnings)
	}
	a.Identify(Scenario{Name: "Works"}, []Assumption{{Path: "fuel.carbon", Value: "56.1 kg/GJ"}})
	wantWarning(t, a, "Values that nobody measured: 1")
}
