package draft_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"potbank/internal/draft"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// TestQuestionsCanBeAsked writes both questions about the example works and about
// a draft of every kind, and holds that each is read without a fault and has the
// options that it should.
func TestQuestionsCanBeAsked(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../scenarios")); err != nil {
		t.Fatal(err)
	}
	names := []string{"plant-a.yaml", "plant-a-wages.yaml", "small-works.yaml", "pressure-works.yaml"}
	for _, kind := range draft.Kinds {
		sheet, err := draft.NewSheet(kind)
		if err != nil {
			t.Fatal(err)
		}
		text, err := sheet.Scenario(kind+".yaml", time.Date(2026, 12, 30, 12, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, kind+".yaml"), text)
		names = append(names, kind+".yaml")
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			file, faults := scenario.Read(filepath.Join(dir, name))
			if file == nil {
				t.Fatal(scenario.Faults(faults))
			}
			var usual []string
			for _, c := range draft.Crews(file.Works) {
				if c.Usual {
					usual = append(usual, c.Name)
				}
			}
			if !slices.ContainsFunc(usual, func(c string) bool { return c == "finishers" || c == "sorters" || c == "kiln-hands" }) {
				t.Errorf("the usual crews are %v", usual)
			}
			shifts := draft.Shifts{Base: "../" + name, Title: `Two shifts, or "three"? #1: it's open`, Crews: usual, By: "cost.per_good", Premium: [3]string{"0 %", "10 %", "25 %"}, Weeks: 12}
			text, err := shifts.Question(file.Works)
			options := readable(t, filepath.Join(dir, "questions", "drafted.yaml"), text, err)
			if !slices.Contains(options, "three-shifts") || !slices.Contains(options, "three-shifts-more-people") {
				t.Errorf("the options are %v", options)
			}
			kilns := draft.Kilns{Base: "../" + name, Title: "Which kiln?", Demand: 900, Worth: "42 EUR", Car: "60000", Kiln: "350000 EUR", Weeks: 12}
			text, err = kilns.Question(file.Works)
			if options = readable(t, filepath.Join(dir, "questions", "drafted.yaml"), text, err); len(options) != 3 {
				t.Errorf("the options are %v", options)
			}
		})
	}
}

// readable writes a question and returns its options, today's works first.
func readable(t *testing.T, path string, text []byte, err error) []string {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	write(t, path, text)
	asked, faults := scenario.ReadQuestion(path)
	if asked == nil {
		t.Fatalf("%s\n%s", scenario.Faults(faults), text)
	}
	var names []string
	for i, o := range asked.Options {
		names = append(names, o.Name)
		if p, faults := asked.Works(i, 0).Plant(); p == nil {
			t.Errorf("%s: %s", o.Name, scenario.Faults(faults))
		}
	}
	return names
}

func write(t *testing.T, path string, text []byte) {
	t.Helper()
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestShiftsOfACrew holds the rosters of a crew of seven on two shifts, and what
// is refused.
func TestShiftsOfACrew(t *testing.T) {
	w := &plant.Works{
		Hours: []plant.Hours{{Name: "late", Weeks: []string{"Mon-Fri 14:00-22:00"}}, {Name: "day", Weeks: []string{"Mon-Fri 06:00-14:00"}}},
		Crews: []plant.Crew{{Name: "finishers", Roster: map[string]int{"late": 2, "day": 5}}},
	}
	q := draft.Shifts{Base: "w.yaml", Title: "Shifts", Crews: []string{"finishers"}, By: "cost.per_good", Premium: [3]string{"0 %", "10 %", "25 %"}, Weeks: 12}
	text, err := q.Question(w)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"finishers: {roster: {day: 7, late: left out}}",
		"finishers: {roster: {day: 3, late: 2, added-night: 2}, premium: {added-night: 25 %}}",
		"finishers: {roster: {day: 5, late: 5, added-night: 5}, premium: {added-night: 25 %}}",
	} {
		if !strings.Contains(strings.ReplaceAll(string(text), "{ ", "{"), want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}
	if strings.Contains(string(text), "two-shifts") {
		t.Error("today is an option")
	}
	for what, wrong := range map[string]func(*draft.Shifts){
		"no crew":            func(q *draft.Shifts) { q.Crews = nil },
		"an unknown crew":    func(q *draft.Shifts) { q.Crews = []string{"poets"} },
		"too few weeks":      func(q *draft.Shifts) { q.Weeks = 2 },
		"a premium of lines": func(q *draft.Shifts) { q.Premium[2] = "25 %\nx: y" },
		"a measure of lines": func(q *draft.Shifts) { q.By = "a\nb: c" },
	} {
		bad := q
		wrong(&bad)
		if _, err := bad.Question(w); err == nil {
			t.Errorf("%s is not refused", what)
		}
	}
}
