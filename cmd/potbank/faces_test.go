package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"potbank/internal/browser"
)

// kilnQuestion and hoursQuestion are small enough for a test.
const (
	kilnQuestion = `question: 1
ask: size
title: Which kiln for the small works?
base: small-works.yaml
run: {length: 10 wk, warm-up: 3 wk, replications: 3, most-replications: 4}
options:
  cooler: {changes: {casting-shop: {temperature: 24 degC}}, capital: 50000 EUR}
futures:
  as-planned: {weight: 70 %}
  dry-air: {weight: 30 %, changes: {casting-shop: {humidity: 55 %}}}
size: {demand: 255, worth: 42 EUR}
`
	hoursQuestion = `question: 1
ask: compare
title: How warm for the small works?
base: small-works.yaml
run: {length: 10 wk, warm-up: 3 wk, replications: 3, most-replications: 4}
options:
  cooler: {changes: {casting-shop: {temperature: 24 degC}}}
futures:
  as-planned: {weight: 70 %}
  dry-air: {weight: 30 %, changes: {casting-shop: {humidity: 55 %}}}
`
)

// faces runs every answering command on small works; of each it gives the path
// of page and workbook without their endings, and the JSON.
func faces(t *testing.T) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	files := map[string]string{"kiln.yaml": kilnQuestion, "hours.yaml": hoursQuestion, "faster.yaml": "base: small-works.yaml\nsorting: {time: 2 min}\n"}
	for _, name := range []string{"small-works.yaml", "holidays.ics"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "scenarios", name))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = string(text)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	works := filepath.Join(dir, "small-works.yaml")
	answers := map[string][]byte{}
	for name, args := range map[string][]string{
		"run":     {"run", works, "--replications", "3", "--weeks", "10"},
		"compare": {"compare", works, filepath.Join(dir, "faster.yaml"), "--replications", "3", "--weeks", "10"},
		"hours":   {"compare", filepath.Join(dir, "hours.yaml")},
		"size":    {"size", filepath.Join(dir, "kiln.yaml")},
		"promise": {"promise", works, "--ware", "pan", "--quantity", "400", "--due", "2027-01-27", "--replications", "16", "--pairs", "2"},
		"master":  {"master", works, "--ware", "pan", "--replications", "2", "--weeks", "14"},
		"tornado": {"tornado", works, "--replications", "2", "--weeks", "8", "--input", "sorting.time = 3 min .. 40 min"},
	} {
		path := filepath.Join(dir, name)
		c := newConsole()
		args = append(args, "--json", "--html", path+".html", "--xlsx", path+".xlsx")
		if code := run(args, strings.NewReader(""), &c.out, &c.err, c.environment()); code != 0 {
			t.Fatalf("%s: code %d: %s", name, code, c.err.String())
		}
		answers[path] = []byte(c.out.String())
	}
	return answers
}

// leastSheets and mostSheets are the least and the most sheets that the report of a small
// answer may take.
const leastSheets, mostSheets = 2, 25

// Every report opens from its file on a desk and on a telephone, is quiet, asks
// for nothing, can be used by all, and prints. Pictures for a person to look at
// are kept with go test -artifacts.
func TestReportsInTheBrowser(t *testing.T) {
	answers := faces(t)
	b := browser.Start(t)
	for path := range answers {
		name := filepath.Base(path)
		for view, width := range map[string]int{"desk": browser.Desk, "telephone": browser.Telephone} {
			p := b.Open(t, path+".html", width)
			p.Usable()
			p.Keep(name + "-" + view)
			if browser.Value[int](p, `document.querySelectorAll("figure").length`) == 0 {
				t.Errorf("%s: the report has no chart", name)
			}
			if width != browser.Desk {
				continue
			}
			if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(p.Print(name), -1)); n < leastSheets || n > mostSheets {
				t.Errorf("%s prints on %d sheets", name, n)
			}
		}
	}
	firstPages(t, b, answers)
}

// A4 within its margins of 14 and 15 mm, at 96 dots an inch.
const paperWide, paperHigh = 680, 1016

// firstPages: what stands before the words of an answer fits one sheet of paper.
func firstPages(t *testing.T, b *browser.Browser, answers map[string][]byte) {
	t.Helper()
	for path := range answers {
		p := b.Open(t, path+".html", paperWide)
		p.OnPaper()
		if at := browser.Value[float64](p, `document.querySelector(".leaves").getBoundingClientRect().top + scrollY`); at > paperHigh {
			t.Errorf("the first page of %s is %.0f high, of %d on a sheet", filepath.Base(path), at, paperHigh)
		}
	}
}

// TestWorkbooksOfAllAnswers: in each workbook the figures are numbers, those of
// the JSON, every formula works out to what was written, what begins like a
// formula and is none stays text, and the inputs tell where they come from.
func TestWorkbooksOfAllAnswers(t *testing.T) {
	for path, answer := range faces(t) {
		name := filepath.Base(path)
		told := numbersIn(t, answer)
		f, err := excelize.OpenFile(path+".xlsx", excelize.Options{UnzipSizeLimit: 1 << 27})
		if err != nil {
			t.Fatal(err)
		}
		formulas, figures := 0, 0
		for _, sheet := range f.GetSheetList() {
			rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
			if err != nil {
				t.Fatal(err)
			}
			for r := range rows {
				for c, cell := range rows[r] {
					at, _ := excelize.CoordinatesToCellName(c+1, r+1)
					formula, _ := f.GetCellFormula(sheet, at)
					if formula != "" {
						formulas++
						got, err := f.CalcCellValue(sheet, at, excelize.Options{RawCellValue: true})
						if v := asFloat(cell); err != nil || math.Abs(asFloat(got)-v) > 1e-8*math.Abs(v)+1e-9 {
							t.Errorf("%s, %s %s: %s works out to %s, not %s (%v)", name, sheet, at, formula, got, cell, err)
						}
					} else if kind, _ := f.GetCellType(sheet, at); strings.HasPrefix(sheet, "fig-") && r > 0 && c > 0 && kind != excelize.CellTypeInlineString && kind != excelize.CellTypeSharedString && cell != "" {
						figures++
						if v := asFloat(cell); !told[round(v)] && !told[round(v/100)] && !told[round(1000*v)] && v != math.Trunc(v) {
							t.Errorf("%s, %s %s: the JSON does not hold %s", name, sheet, at, cell)
						}
					}
				}
			}
		}
		if inputs := readSheet(t, path+".xlsx", "inputs"); len(inputs) < 20 || inputs[0]["key"] == "" || inputs[0]["from"] == "" {
			t.Errorf("%s: %d inputs with their origin", name, len(inputs))
		}
		own := name == "run" || name == "compare" // they have sheets of their own
		if own && formulas == 0 || name == "master" && formulas == 0 || !own && figures == 0 {
			t.Errorf("%s: %d formulas, %d figures of charts", name, formulas, figures)
		}
		f.Close()
	}
}

// round is a figure to six digits, as charts tell them.
func round(v float64) float64 {
	if v == 0 || math.IsNaN(v) {
		return 0
	}
	unit := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*unit) / unit
}

// numbersIn are the numbers of a JSON document, and 0.
func numbersIn(t *testing.T, text []byte) map[float64]bool {
	t.Helper()
	all := map[float64]bool{0: true}
	decoder := json.NewDecoder(strings.NewReader(string(text)))
	for {
		token, err := decoder.Token()
		if err != nil {
			return all
		}
		if v, ok := token.(float64); ok {
			all[round(v)] = true
		}
	}
}
