package scenario_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/scenario"
)

// ask writes the sample as a base, a question about it in a folder below, and
// reads the question.
func ask(t *testing.T, question string) (*scenario.Asked, []scenario.Fault) {
	t.Helper()
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	write(t, ".", "base.yaml", string(sample))
	write(t, ".", "slower.yaml", "base: base.yaml\nkilns: {tunnel: {push: 85 min}}\n")
	if err := os.Mkdir("questions", 0o755); err != nil {
		t.Fatal(err)
	}
	write(t, "questions", "q.yaml", question)
	return scenario.ReadQuestion("questions/q.yaml")
}

// TestQuestion reads options, a grid and futures: every option in every future
// is a works of its own, with the changes of both.
func TestQuestion(t *testing.T) {
	a, faults := ask(t, `question: 1
ask: size
title: Push faster, or a longer kiln?
base: ../base.yaml
run: {length: 20 wk, replications: 4}
options:
  slower: {file: ../slower.yaml}
  faster: {changes: {kilns: {tunnel: {push: 65 min}}}, capital: 20000 EUR}
grid:
  length:
    choices:
      now: {changes: {kilns: {tunnel: {inside: 12}}}}
      longer: {changes: {kilns: {tunnel: {inside: 14}}}, capital: 300000 EUR, life: 20 yr, upkeep-per-year: 5000 EUR}
  push:
    choices:
      push-70: {changes: {kilns: {tunnel: {push: 70 min}}}, capital: 1000 EUR, life: 10 yr}
      push-90: {changes: {kilns: {tunnel: {push: 90 min}}}}
futures:
  expected: {weight: 3 %}
  gas-dear: {weight: 1 %, changes: {fuel: {price: 0.12 EUR/kWh}}}
judge: {by: cost.per_good, best: least, matters: 0.05 EUR, at-least: {packed.total: 6000.5}}
`)
	if a == nil {
		t.Fatal(scenario.Faults(faults))
	}
	var names []string
	for _, o := range a.Options {
		names = append(names, o.Name)
	}
	if got, want := strings.Join(names, ", "), "today, slower, faster, now push-70, now push-90, longer push-70, longer push-90"; got != want {
		t.Errorf("options are %s, want %s", got, want)
	}
	for i, want := range []des.Time{75, 85, 65, 70, 90, 70, 90} {
		for f := range a.Futures {
			if got := a.Works(i, f).Works.Kilns[0].Push; got != want*des.Minute {
				t.Errorf("%s pushes every %v", a.Options[i].Name, got)
			}
			if got := a.Works(i, f).Works.Run; got.Length != 20*des.Week || got.Replications != 4 {
				t.Errorf("%s runs %+v", a.Options[i].Name, got)
			}
		}
	}
	if a.Works(5, 1).Works.Fuel.Price == a.Works(5, 0).Works.Fuel.Price {
		t.Error("the dear gas costs as much as the other")
	}
	if o := a.Options[5]; o.Capital != 301_000_000_000 || o.Upkeep != 5_000_000_000 || o.Life != 10*365*des.Day {
		t.Errorf("longer push-70 takes %+v", o)
	}
	if w := float64(a.Futures[0].Weight); math.Abs(w-0.75) > 1e-12 {
		t.Errorf("the first future weighs %v", w)
	}
	if a.Judge.AtLeast["packed.total"] != 6000.5 || a.Judge.By[0] != "cost.per_good" || a.Judge.Service != 0.95 {
		t.Errorf("judged by %+v", a.Judge)
	}
	if !scenario.IsQuestion("questions/q.yaml") || scenario.IsQuestion("base.yaml") || scenario.IsQuestion("none.yaml") {
		t.Error("a question is not told from a scenario")
	}
}

// TestBadQuestions holds what is said of a wrong question: the place in the
// file that is wrong, which of the two it is, and what to do.
func TestBadQuestions(t *testing.T) {
	head := "question: 1\nask: compare\nbase: ../base.yaml\n"
	for name, c := range map[string]struct{ question, want string }{
		"no base":          {"question: 1\nask: compare\n", "questions/q.yaml:1:1: error: the question names no base; hint: add base: ../plant-a.yaml, or whichever scenario it is about"},
		"base not there":   {"question: 1\nask: compare\nbase: ../bse.yaml\n", `questions/q.yaml:3:7: error: there is no file "bse.yaml" in the folder of this scenario; hint: did you mean base.yaml?`},
		"base elsewhere":   {"question: 1\nask: compare\nbase: ../../etc/passwd\n", "questions/q.yaml:3:7: error: the path leaves the folder of this scenario; hint: keep data files beside the scenario"},
		"unknown kind":     {"question: 1\nask: compre\nbase: ../base.yaml\n", `questions/q.yaml:2:6: error: ask must be one of compare, size, promise, master, got "compre"; hint: did you mean compare?`},
		"newer format":     {"question: 2\nask: compare\nbase: ../base.yaml\n", "questions/q.yaml:1:11: error: this file needs format 2; this program reads format 1; hint: get a newer potbank; potbank version shows yours"},
		"unknown key":      {head + "option: {}\n", `questions/q.yaml:4:1: error: unknown key "option"; hint: did you mean options?`},
		"scenario key":     {head + "kilns: {}\n", `questions/q.yaml:4:1: error: unknown key "kilns"; hint: keys here: `},
		"typo in changes":  {head + "options:\n  a: {changes: {kilns: {tunnel: {psh: 1 h}}}}\n", `questions/q.yaml:5:34: error: unknown key "psh" under kilns.tunnel; hint: did you mean push?`},
		"nothing to leave": {head + "options:\n  a: {changes: {kilns: {tunel: left out}}}\n", `questions/q.yaml:5:25: error: the base has no "tunel" under kilns to leave out; hint: did you mean tunnel?`},
		"idle option":      {head + "options:\n  a: {changes: {}}\n", "questions/q.yaml:5:3: error: the option a changes nothing; hint: add changes:, or file:"},
		"today taken":      {head + "options:\n  today: {changes: {kilns: {tunnel: {push: 1 h}}}}\n", "questions/q.yaml:5:3: error: today is the works as it is; hint: give it another name"},
		"weightless":       {head + "futures:\n  a: {weight: 0 %}\n", "questions/q.yaml:4:1: error: no future has a weight; hint: give at least one a weight"},
		"not a number":     {head + "judge: {at-least: {packed.total: many}}\n", `questions/q.yaml:4:34: error: "many" is not a number; hint: write the number alone, in the unit of the measure`},
		"typo in input":    {head + "inputs:\n  - {key: kilns.tunnel.psh, low: 1 h, high: 2 h}\n", `questions/q.yaml:5:`},
		"input unit":       {head + "inputs:\n  - {key: kilns.tunnel.push, low: 70 min, high: 2}\n", `questions/q.yaml:5:49: error: push has no unit`},
		"no demand":        {strings.Replace(head, "compare", "size", 1) + "size: {worth: 1 EUR}\n", "questions/q.yaml:4:1: error: size lacks demand; hint: add demand: (good pieces wanted a week)"},
		"nothing wanted":   {strings.Replace(head, "compare", "size", 1) + "size: {demand: 0}\n", "questions/q.yaml:4:8: error: a demand of 0 pieces; hint: give the good pieces wanted a week"},
		"broken period":    {strings.Replace(head, "compare", "size", 1) + "size: {demand: 9, period: 10 d}\n", "questions/q.yaml:4:19: error: the period must be whole weeks, got 10 d; hint: write 4 wk"},
		"no such future":   {strings.Replace(head, "compare", "size", 1) + "futures: {slow: {weight: 1 %}}\nsize: {demand: 9, demand-times: {slw: 0.9}}\n", `questions/q.yaml:5:34: error: there is no future "slw"; hint: did you mean slow?`},
		"other currency":   {head + "options:\n  a: {changes: {kilns: {tunnel: {push: 1 h}}}, capital: 5 USD}\n", "questions/q.yaml:5:59: error: capital is in USD, but this scenario counts in EUR"},
	} {
		t.Run(name, func(t *testing.T) {
			a, faults := ask(t, c.question)
			if got := scenario.Faults(faults); a != nil || !strings.HasPrefix(got, c.want) {
				t.Errorf("said\n%swant\n%s", got, c.want)
			}
			if len(faults) != 1 {
				t.Errorf("%d faults, want the one", len(faults))
			}
		})
	}
}

// TestQuestionsOfTheProgram holds that the questions that come with the program
// are in order, and every works they speak of.
func TestQuestionsOfTheProgram(t *testing.T) {
	paths, err := filepath.Glob("../../scenarios/questions/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("found %v: %v", paths, err)
	}
	for _, path := range paths {
		a, faults := scenario.ReadQuestion(path)
		if a == nil || len(faults) > 0 {
			t.Errorf("%s is refused:\n%s", path, scenario.Faults(faults))
			continue
		}
		for o := range a.Options {
			for f := range a.Futures {
				if p, faults := a.Works(o, f).Plant(); p == nil {
					t.Errorf("%s: %s in %s:\n%s", path, a.Options[o].Name, a.Futures[f].Name, scenario.Faults(faults))
				}
			}
		}
	}
}

// TestFaultsOfAllOptions holds that all faults are told at once, and one that
// every works has only once.
func TestFaultsOfAllOptions(t *testing.T) {
	_, faults := ask(t, `question: 1
ask: compare
base: ../base.yaml
run: {lenth: 20 wk}
options:
  a: {changes: {kilns: {tunnel: {push: 1 hour}}}}
  b: {changes: {ware: {pan: {fired-mass: 17}}}}
`)
	if got := scenario.Faults(faults); len(faults) != 3 || !strings.Contains(got, "4:7") || !strings.Contains(got, "6:") || !strings.Contains(got, "7:") {
		t.Errorf("said\n%s", got)
	}
}
