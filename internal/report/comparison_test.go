package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// contest is a comparison with something in every part. Its figures are
// invented.
func contest() *experiment.Comparison {
	option := func(name string, runs int, broken int64, changes ...experiment.Change) experiment.Compared {
		return experiment.Compared{Name: name, Changes: changes, Answer: &experiment.Answer{
			Scenario:     experiment.Scenario{Name: "The works " + name, Hash: "3f2a9c0d5b11aa", Path: name + ".yaml"},
			Replications: runs, Audit: []experiment.Law{{Law: "pieces", Checked: 500, Broken: broken}},
			Measures: []experiment.Figure{{Name: "packed.total", Unit: "pieces/wk", Estimate: about(6012, 31)}},
			OneWeek:  stats.Estimate{Value: 6012, Low: 5610, High: 6391, Level: 0.95, N: 440},
		}}
	}
	nan := math.NaN()
	differ := func(value, half, base, rho float64, v experiment.Verdict) experiment.Difference {
		return experiment.Difference{Estimate: about(value, half), Relative: value / base, Correlation: rho, VarianceFactor: 1 - rho, Verdict: v}
	}
	var many []experiment.Change
	for range 15 {
		many = append(many, experiment.Change{Path: "hours.day.weeks", Before: "Mon-Fri 06:00-14:00", After: "Mon-Sat 06:00-14:00"})
	}
	return &experiment.Comparison{
		Seed: 7, Weeks: 52, WarmUp: experiment.WarmUp{Weeks: 8},
		Options: []experiment.Compared{
			option("works", 24, 0),
			option("longer-kiln", 24, 0, experiment.Change{Path: "kilns.tunnel.inside", Before: "40", After: "46"}, experiment.Change{Path: "kilns.tunnel.push", Before: "22.6 min", After: "21 min"}),
			option("seven-dryers", 10, 1, experiment.Change{Path: "dryers.chambers.chambers", Before: "8", After: "7"}),
			option("no-refire", 12, 0, experiment.Change{Path: "refire.crew", Before: "patchers"}, experiment.Change{Path: "orders.spring.ware", After: "pan"}),
			option("saturdays", 24, 0, many...),
			option("the-same", 24, 0),
		},
		Measures: []experiment.Contrast{
			{Name: "packed.total", Unit: "pieces/wk", Way: experiment.More, Margin: 60.123,
				Values: []stats.Estimate{about(6012, 31), about(6101, 30), about(5600, 40), about(6005, 90), about(6040, 33), about(6012, 31)},
				Differences: []experiment.Difference{{}, differ(89.3, 9.2, 6012, 0.97, experiment.Better), differ(-412, 18, 6012, 0.6, experiment.Worse),
					differ(-7, 81, 6012, -0.2, experiment.NoEvidence), differ(28, 12, 6012, 0.9, experiment.Alike), differ(0, 0, 6012, 1, experiment.Alike)}},
			{Name: "contribution", Unit: "EUR/wk", Way: experiment.More, Margin: 0,
				Values: []stats.Estimate{about(0, 200), about(1500, 210), about(-9000, 300), alone(nan), about(10, 200), about(0, 200)},
				Differences: []experiment.Difference{{}, differ(1500, 44, nan, 0.97, experiment.Better), differ(-9000, 120, nan, 0.6, experiment.Worse),
					{Estimate: alone(nan), Relative: nan, Correlation: nan, VarianceFactor: nan}, differ(10, 30, nan, 0.9, experiment.NoEvidence), differ(0, 0, nan, nan, experiment.Alike)}},
		},
		Choice: experiment.Choice{Measure: "packed.total", Unit: "pieces/wk", Way: experiment.More, Method: experiment.KimNelson, Margin: 60.123, First: 10, Best: 1, Decided: true, InRace: []int{1}},
		Standings: []stats.Standing{
			{Best: about(0, 0), Loss: about(89.3, 1)}, {Best: about(0.9985, 0.001), Loss: about(0.0123, 0.001)}, {Best: about(0, 0), Loss: about(501, 1)},
			{Best: about(0.0065, 0.001), Loss: about(96.1, 1)}, {Best: about(0, 0), Loss: about(61, 1)}, {Best: about(0, 0), Loss: about(89.3, 1)},
		},
		Warnings: []string{"seven-dryers: Ware piles up in finishing by about 381 pieces a week to the end of the run."},
	}
}

// certified is contest with its choice put to fresh luck.
func certified() *experiment.Comparison {
	r := contest()
	r.Certified = &experiment.Certified{Measure: "packed.total", Unit: "pieces/wk", Chosen: about(6094, 33), Than: about(6011, 32), Difference: about(83.1, 9.4), Replications: 10}
	r.FreshVerdict = experiment.Better
	return r
}

func TestComparisonOnTheTerminal(t *testing.T) {
	text := terminal(t, ComparisonDocument(certified()))
	golden(t, "comparison.txt", text)
	for i, line := range strings.Split(string(text), "\n") {
		if n := utf8.RuneCountInString(line); n > Width {
			t.Errorf("line %d is %d wide: %s", i+1, n, line)
		}
	}
}

func TestComparisonAsJSON(t *testing.T) {
	var b bytes.Buffer
	if err := ComparisonJSON(&b, certified(), "0.0.0"); err != nil {
		t.Fatal(err)
	}
	golden(t, "comparison.json", b.Bytes())
	var doc struct {
		Options  []struct{ Changes, Measures, Audit []any }
		Measures []struct{ Differences []*struct{ Mean *float64 } }
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	for i, o := range doc.Options {
		if o.Changes == nil || o.Measures == nil || o.Audit == nil {
			t.Errorf("option %d has a list that is null", i)
		}
	}
	for _, m := range doc.Measures {
		if len(m.Differences) != len(doc.Options) || m.Differences[0] != nil || m.Differences[1] == nil {
			t.Errorf("differences %v: want one for each option, and none for the first", m.Differences)
		}
	}
}

// The figure of the title is that of fresh replications, which may take back
// what those that chose had shown.
func TestTitleOfACertifiedChoice(t *testing.T) {
	r := certified()
	if got, want := ComparisonDocument(r).Title, "longer-kiln packs 83 ± 9 more pieces a week than works"; got != want {
		t.Errorf("title %q, want %q", got, want)
	}
	r.FreshVerdict, r.Certified.Difference = experiment.NoEvidence, about(3, 9)
	if got, want := ComparisonDocument(r).Title, "No option is shown to be better than works by the output of good pieces"; got != want {
		t.Errorf("not confirmed: title %q, want %q", got, want)
	}
}

// How well a mean is known and where a single week lies are told apart in words
// wherever figures with a half-width stand, in an answer and in a comparison.
func TestTheTwoIntervalsAreNeverConfused(t *testing.T) {
	run := string(terminal(t, AnswerDocument(sample())))
	compare := string(terminal(t, ComparisonDocument(certified())))
	for _, words := range []string{"the mean of many such weeks lies between 95 and 105", "It is not the range of one week.", "A single week packs between 5,610 and 6,391 good pieces with 95 % probability."} {
		if !strings.Contains(strings.Join(strings.Fields(run), " "), words) {
			t.Errorf("an answer does not say %q", words)
		}
	}
	for _, words := range []string{"over many such weeks the mean is", "Good pieces a week: the mean, and a single week", "a single week lies between least and most", "5,610", "6,391", "More replications narrow the first and never the second"} {
		if !strings.Contains(strings.Join(strings.Fields(compare), " "), words) {
			t.Errorf("a comparison does not say %q", words)
		}
	}
}

// The title claims what the figures show, and no more.
func TestTitleOfAComparison(t *testing.T) {
	tests := []struct {
		reason string
		change func(*experiment.Comparison)
		want   string
	}{
		{"a better one", func(*experiment.Comparison) {}, "longer-kiln packs 89 ± 9 more pieces a week than works"},
		{"the first is best", func(r *experiment.Comparison) { r.Choice.Best = 0 }, "Nothing beats works by the output of good pieces"},
		{"chosen, but alike", func(r *experiment.Comparison) { r.Choice.Best = 4 }, "Nothing beats works by a difference in the output of good pieces that matters"},
		{"ahead without evidence", func(r *experiment.Comparison) { r.Choice.Best, r.Choice.Decided = 3, false }, "No option is shown to be better than works by the output of good pieces"},
		{"the first is ahead, undecided", func(r *experiment.Comparison) { r.Choice.Best, r.Choice.Decided = 0, false }, "No option is shown to be better than works by the output of good pieces"},
		{"a cost", func(r *experiment.Comparison) {
			m := &r.Measures[0]
			m.Name, m.Unit = "cost.per_good", "EUR/piece"
			m.Differences[1].Estimate = about(-0.31, 0.02)
		}, "The cost of a good piece of longer-kiln is 0.31 ± 0.02 EUR/piece lower than of works"},
		{"randomness off", func(r *experiment.Comparison) {
			r.Standings, r.Fixed = nil, true
			r.Measures[0].Differences[1].Estimate = alone(89)
		}, "longer-kiln packs 89 more pieces a week than works, with randomness off"},
		{"one replication", func(r *experiment.Comparison) { r.Standings, r.Choice.Best = nil, 0 }, "Nothing beats works by the output of good pieces in one replication"},
		{"nothing to measure", func(r *experiment.Comparison) { r.Choice.Best = -1 }, "packed.total cannot be compared: there is nothing to measure"},
	}
	for _, test := range tests {
		r := contest()
		test.change(r)
		if got := ComparisonDocument(r).Title; got != test.want {
			t.Errorf("%s: %q, want %q", test.reason, got, test.want)
		}
	}
}

// Each method says what it promises, and when it did not come to its end.
func TestMethodSaysWhatItPromises(t *testing.T) {
	tests := []struct {
		reason string
		choice func(*experiment.Choice)
		says   []string
	}{
		{"sequential", func(*experiment.Choice) {}, []string{"Kim and Nelson's", "95 % confidence or more if it leads by 60 pieces/wk"}},
		{"sequential, cut short", func(c *experiment.Choice) { c.Decided, c.InRace = false, []int{0, 1} }, []string{"The choice is not made: works and longer-kiln are still in the race"}},
		{"two stages", func(c *experiment.Choice) {
			c.Method, c.Required, c.Decided = experiment.Rinott, []int{24, 1200, 10, 12, 24, 24}, false
		}, []string{"on luck of its own", "longer-kiln needs 1,200 replications for that and has 24"}},
		{"a budget", func(c *experiment.Choice) { c.Method, c.Budget = experiment.OCBA, 118 }, []string{"the rest of 118", "Nothing is guaranteed"}},
	}
	for _, test := range tests {
		r := contest()
		test.choice(&r.Choice)
		got := strings.Join(strings.Fields(string(terminal(t, ComparisonDocument(r)))), " ")
		for _, want := range test.says {
			if !strings.Contains(got, want) {
				t.Errorf("%s: nothing says %q", test.reason, want)
			}
		}
	}
}

func TestProbabilitiesAreNeverCertain(t *testing.T) {
	for p, want := range map[float64]string{1: "over 99 %", 0: "under 1 %", 0.994: "99 %", 0.5: "50 %", 0.006: "1 %"} {
		if got := probability(p); got != want {
			t.Errorf("%g is printed %q, want %q", p, got, want)
		}
	}
}

// A title wider than the page is broken, and underlined as far as it goes.
func TestLongTitleIsBroken(t *testing.T) {
	title := strings.Repeat("word ", 30)
	lines := strings.Split(string(terminal(t, Document{Title: strings.TrimSpace(title)})), "\n")
	if len(lines) != 4 || len(lines[0]) > Width || lines[2] != strings.Repeat("=", len(lines[0])) {
		t.Errorf("printed %q", lines)
	}
}

func TestSignsOfDifferences(t *testing.T) {
	tests := []struct {
		value, half float64
		want        string
	}{
		{41.2, 9, "+41 ± 9"}, {-41.2, 9, "-41 ± 9"}, {0.0001, 0.008, "0.000 ± 0.008"}, {0.2, 3, "0 ± 3"}, {10, 1, "+10 ± 1"}, {0, 0, "0 ± 0"},
	}
	for _, test := range tests {
		if got := signed(about(test.value, test.half)); got != test.want {
			t.Errorf("%g and %g: %q, want %q", test.value, test.half, got, test.want)
		}
	}
}
