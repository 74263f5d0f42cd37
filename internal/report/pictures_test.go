package report

import (
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"potbank/internal/experiment"
	"potbank/internal/scenario"
)

// simulated is the answer of a real works with every picture, short.
func simulated(t *testing.T, name string) *experiment.Answer {
	t.Helper()
	file, faults := scenario.Read(filepath.Join("..", "..", "scenarios", name))
	if file == nil {
		t.Fatal(scenario.Faults(faults))
	}
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(faults))
	}
	s := experiment.Settings{Replications: 3, Seed: 4, Weeks: 10, WarmUp: 3, Workers: 2}
	a, err := experiment.Replicate(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.AddWeek(t.Context(), p, s); err != nil {
		t.Fatal(err)
	}
	return a
}

// Every number in the table of a chart is one of the JSON document: a page shows
// nothing that the answer does not hold. Weeks and hours that merely count along
// are whole numbers.
func TestNumbersOfChartsAreThoseOfTheJSON(t *testing.T) {
	for _, name := range []string{"small-works.yaml", "plant-a.yaml"} {
		a := simulated(t, name)
		told, charts := told(t, func(w io.Writer) error { return JSON(w, a, "0.0.0") }), 0
		for _, part := range AnswerDocument(a).Parts {
			for i := range part.Charts {
				c := &part.Charts[i]
				charts++
				if c.Title == "" || c.Means == "" || c.Rests == "" {
					t.Errorf("%s: a chart of %s lacks its finding, its definition or its runs: %q", name, part.Heading, c.Title)
				}
				checkNumbers(t, c, told)
			}
		}
		if charts < 15 {
			t.Errorf("%s: only %d charts", name, charts)
		}
	}
}

// checkNumbers looks up every cell of a chart's table. The hours of a calendar
// count from the midnight of their lane, so that only its texts are looked up.
func checkNumbers(t *testing.T, c *Chart, told map[string]bool) {
	t.Helper()
	for _, row := range c.Numbers().Rows {
		for k, cell := range row.Cells {
			_, value, marked := strings.Cut(cell, ": ")
			v, err := strconv.ParseFloat(cell, 64)
			switch {
			case c.Kind == Calendar && k < 3, cell == "":
			case c.Kind == Calendar && (told[cell] || cell == "holding" || cell == "stopped"):
			case told[cell], err == nil && k == 0 && v == math.Trunc(v):
			case err != nil && k == 0 && (!marked || told[value] || c.Kind == Bars):
			default:
				t.Errorf("%q: the JSON does not hold %q", c.Title, cell)
			}
		}
	}
}

func TestDigits(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 1234567: "1234567", 5923.381081: "5923.38", 0.000012345678: "0.0000123457", -2.5: "-2.5", 100: "100"} {
		if got := Digits(v); got != want {
			t.Errorf("%g is printed %s, want %s", v, got, want)
		}
	}
	if got := Digits(math.NaN()); got != missing {
		t.Errorf("what does not exist is printed %s", got)
	}
}
