package report

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// promisedSample is a date with something in every part. Its figures are invented.
func promisedSample(t *testing.T) *decision.PromiseAnswer {
	t.Helper()
	start := time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC)
	day := func(n int) time.Time { return start.AddDate(0, 0, n) }
	due, err := calendar.ParseDates("2027-01-15")
	if err != nil {
		t.Fatal(err)
	}
	r := &decision.PromiseAnswer{
		Title: "1,000 pans", Currency: "EUR", Order: "pans", Ware: "pan", Quantity: 1000, Packed: 100, Start: start, Due: day(11), Zone: time.UTC, Seed: 7, Runs: 100, Service: 0.95,
		Promise: due.Last, Chance: about(0.96, 0.03), InTime: about(0.91, 0.05), Spread: 1.7, Recommendation: "Promise Friday 15 January 2027.", Flips: []string{"Below a yield of 80 % it is Saturday."},
		Dates:  []decision.PromisedDate{{P: 0.5, At: day(9), Runs: 100, WorkDays: about(6.8, 0.2), Calendar: about(9.2, 0.3)}, {P: 0.95, At: day(12), Runs: 100, WorkDays: about(8.8, 0.4), Calendar: about(12.1, 0.5)}},
		Causes: []decision.PromiseCause{{Name: "breakdowns", Where: "kiln", Share: about(0.52, 0.11), Days: 1.2, Pairs: 40}, {Name: "yields", Share: about(0.2, 0.1), Days: 0.8, Pairs: 40}},
		Slips:  []decision.Slip{{Order: "basins", Ware: "basin", Due: day(20), Mean: about(1.3, 0.4), AtService: about(2, 1), Pairs: 40}},
		Levers: []decision.LeverGain{{Name: "a weekend shift", Cost: 900, Mean: about(2.2, 0.5), AtService: about(3, 1), Pairs: 40, Sure: true}, {Name: "not to be had", Why: "no such bench"}},
	}
	r.Casts.Mean, r.Casts.Batch = 1190, 1230
	for n := range 13 {
		d := decision.PromiseDay{End: day(n + 1), Low: float64(70 * n), Mid: float64(81 * n), High: float64(95 * n)}
		if n >= 8 {
			d.Done = 0.25 * float64(n-8)
		}
		r.Days = append(r.Days, d)
	}
	return r
}

// tornadoSample has an input that only one end of can be had.
func tornadoSample() *decision.Tornado {
	return &decision.Tornado{Name: "packed.total", Unit: "pieces/wk", Replications: 10, Seed: 1, AsStated: about(5900, 20), Bars: []decision.Bar{
		{Input: scenario.Input{Path: "kilns.tunnel.push", Low: "21 min", High: "25 min"}, AtLow: decision.Swing{Estimate: about(210, 15)}, AtHigh: decision.Swing{Estimate: about(-330, 18)}},
		{Input: scenario.Input{Path: "ware.pan.build", Low: "80 min", High: "120 min"}, AtLow: decision.Swing{Estimate: about(40, 15)}, AtHigh: decision.Swing{Impossible: "no cast fits the shift"}},
	}}
}

// answers are a document and its JSON of each decision.
func answers(t *testing.T) map[string]struct {
	document Document
	json     func(io.Writer) error
} {
	name := experiment.Scenario{Name: "Works", Hash: strings.Repeat("a", 64), Path: "works.yaml", Unmeasured: []experiment.Assumption{{Path: "ware.pan.glaze", Value: "99 %"}}}
	promise, size, master, shifts := promisedSample(t), sizedSample(), masterSample(), patterns()
	tornado := tornadoSample()
	type both = struct {
		document Document
		json     func(io.Writer) error
	}
	return map[string]both{
		"promise": {PromiseDocument(name, promise), func(w io.Writer) error { return PromiseJSON(w, name, promise, "0") }},
		"size":    {SizeDocument(name, size), func(w io.Writer) error { return SizedJSON(w, name, size, "0") }},
		"master":  {MasterDocument(name, master), func(w io.Writer) error { return MasterJSON(w, name, master, "0") }},
		"shifts":  {ComparedDocument(name, shifts), func(w io.Writer) error { return ComparedJSON(w, name, shifts, "0") }},
		"tornado": {TornadoDocument(name, tornado), func(w io.Writer) error { return TornadoJSON(w, name, 1, tornado, "0") }},
	}
}

// told is every number and text of a JSON document, numbers as charts print
// them: as they are, in per cent and in thousands.
func told(t *testing.T, write func(io.Writer) error) map[string]bool {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	all := map[string]bool{missing: true, "0": true}
	decoder := json.NewDecoder(&b)
	for {
		token, err := decoder.Token()
		if err != nil {
			return all
		}
		switch v := token.(type) {
		case float64:
			all[Digits(v)], all[Digits(100*v)], all[Digits(v/1000)] = true, true, true
		case string:
			all[v] = true
		}
	}
}

// Every figure in the table of a chart of a decision is one of its JSON. Names of
// rows, days that count along and places within a week are not figures.
func TestNumbersOfDecisionsAreThoseOfTheJSON(t *testing.T) {
	least := map[string]int{"promise": 5, "size": 6, "master": 4, "shifts": 7, "tornado": 1}
	for name, a := range answers(t) {
		numbers, charts := told(t, a.json), 0
		for _, part := range a.document.Parts {
			for i := range part.Charts {
				c := &part.Charts[i]
				charts++
				if c.Title == "" || c.Means == "" || c.Rests == "" {
					t.Errorf("%s: a chart of %s lacks its finding, its definition or its runs: %q", name, part.Heading, c.Title)
				}
				for _, row := range c.Numbers().Rows {
					for k, cell := range row.Cells {
						value := strings.TrimSuffix(cell, " %")
						if _, marked, ok := strings.Cut(cell, ": "); ok && k == 0 {
							value = marked
						}
						v, err := strconv.ParseFloat(value, 64)
						counted := k == 0 && v == float64(int(v)) || c.Kind == Calendar && k < 3 && name == "promise"
						if err == nil && !counted && !numbers[value] {
							t.Errorf("%s, %q: the JSON does not hold %q", name, c.Title, cell)
						}
					}
				}
			}
		}
		if charts < least[name] {
			t.Errorf("%s: %d charts, want %d or more", name, charts, least[name])
		}
	}
}

// The first page of a decision holds what a manager decides by.
func TestFirstPageOfDecisions(t *testing.T) {
	for name, a := range answers(t) {
		f := a.document.Front
		switch {
		case f == nil:
			t.Errorf("%s: no first page", name)
			continue
		case f.Answer == "" || f.Doubt == "" || len(f.Leaves) == 0:
			t.Errorf("%s: no answer, doubt, or what is left out", name)
		case len(f.Figures) == 0 || len(f.Figures) > 3:
			t.Errorf("%s: %d figures, want one to three", name, len(f.Figures))
		case f.Source.Hash == "" || f.Source.Runs == "":
			t.Errorf("%s: no hash or runs", name)
		case len(f.Notes) != 2:
			t.Errorf("%s: no audit, or nothing of what nobody measured", name)
		}
		if len(f.Trust) != 8 || !slices.IsSortedFunc(f.Trust, func(a, b Credit) int { return a.Level - b.Level }) {
			t.Errorf("%s: eight factors, the lowest first, are %v", name, f.Trust)
		}
	}
}

// What the picture claims is what the figures show.
func TestTitlesOfDecisionCharts(t *testing.T) {
	r := promisedSample(t)
	r.Levers[0].Mean = about(0.1, 0.5)
	if got := (&promised{r}).leverCharts()[0].Title; got != "No lever is shown to bring the date forward" {
		t.Errorf("a lever within luck: %q", got)
	}
	m := masterSample()
	m.Steps = m.Steps[1:]
	if got := (&master{m}).stepCharts()[0].Title; got != "No change of today's watch is shown to pay" {
		t.Errorf("a loss: %q", got)
	}
	z := sizedSample()
	for i := range z.Options {
		z.Options[i].Difference = stats.Estimate{Value: 5, Low: 1, High: 9}
	}
	if got := (&sized{z}).optionCharts()[0].Title; got != "Nothing here saves against today" {
		t.Errorf("dearer options: %q", got)
	}
}
