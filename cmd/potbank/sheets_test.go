package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// sheetsOf runs a command on small works, short enough for a test.
func sheetsOf(t *testing.T, args ...string) (folder string, answer []byte) {
	t.Helper()
	folder = t.TempDir()
	c := newConsole()
	args = append(args, "--replications", "2", "--weeks", "10", "--json",
		"--csv", filepath.Join(folder, "tables"), "--xlsx", filepath.Join(folder, "answer.xlsx"))
	if code := run(args, strings.NewReader(""), &c.out, &c.err, c.environment()); code != 0 {
		t.Fatalf("code %d: %s", code, c.err.String())
	}
	return folder, []byte(c.out.String())
}

// readCSV reads a table as a row of columns by name.
func readCSV(t *testing.T, path string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return named(lines)
}

// readSheet reads a sheet of a workbook likewise.
func readSheet(t *testing.T, path, sheet string) []map[string]string {
	t.Helper()
	f, err := excelize.OpenFile(path, excelize.Options{UnzipSizeLimit: 1 << 26})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	return named(lines)
}

// named turns lines under a head into rows by column.
func named(lines [][]string) []map[string]string {
	var rows []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, cell := range l {
			row[lines[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

// figure is a measure as the JSON has it.
type figure struct {
	Name, Unit          string
	Mean, Low, High, SD *float64
	N                   int
}

// sameFigure holds a row of a table to a figure, digit by digit.
func sameFigure(t *testing.T, where string, row map[string]string, f figure) {
	t.Helper()
	if row["unit"] != f.Unit || row["n"] != strconv.Itoa(f.N) {
		t.Errorf("%s: %s is %v", where, f.Name, row)
	}
	for column, want := range map[string]*float64{"mean": f.Mean, "low": f.Low, "high": f.High, "sd": f.SD} {
		got, err := strconv.ParseFloat(row[column], 64)
		switch {
		case want == nil && row[column] == "":
		case want == nil || err != nil || got != *want:
			t.Errorf("%s: %s of %s is %q", where, column, f.Name, row[column])
		}
	}
}

// TestRunAsSheets reads the files of a run back and holds them to its JSON:
// every measure, cost line and week, and the values of the scenario.
func TestRunAsSheets(t *testing.T) {
	folder, text := sheetsOf(t, "run", "../../scenarios/small-works.yaml")
	var answer struct {
		Measures  []figure
		CostLines []figure `json:"cost_lines"`
		WarmUp    struct {
			Series []struct {
				Name, Unit string
				Weeks      []*float64
			}
		} `json:"warm_up"`
	}
	if err := json.Unmarshal(text, &answer); err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(folder, "answer.xlsx")
	for where, read := range map[string]func(name string) []map[string]string{
		"csv":  func(name string) []map[string]string { return readCSV(t, filepath.Join(folder, "tables", name+".csv")) },
		"xlsx": func(name string) []map[string]string { return readSheet(t, book, name) },
	} {
		measures := read("measures")
		if len(measures) != len(answer.Measures) {
			t.Fatalf("%s: %d measures, want %d", where, len(measures), len(answer.Measures))
		}
		for i, m := range answer.Measures {
			if measures[i]["name"] != m.Name || measures[i]["definition"] == "" {
				t.Errorf("%s: measure %d is %v", where, i, measures[i])
			}
			sameFigure(t, where, measures[i], m)
		}
		cost := read("cost")
		for i, m := range answer.CostLines {
			sameFigure(t, where, cost[i], m)
		}
		weeks := read("series")
		for _, s := range answer.WarmUp.Series {
			for w, v := range s.Weeks {
				if got := weeks[w][s.Name+", "+s.Unit]; v == nil && got != "" || v != nil && asFloat(got) != *v {
					t.Errorf("%s: %s of week %d is %q", where, s.Name, w+1, got)
				}
			}
		}
		if inputs := read("inputs"); len(inputs) < 100 || inputs[0]["key"] == "" || inputs[0]["from"] == "" {
			t.Errorf("%s: %d inputs", where, len(inputs))
		}
	}
	liveTotals(t, book, answer.CostLines)
}

// asFloat reads a number, or NaN.
func asFloat(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// liveTotals has the formulas of a workbook worked out anew: cost adds up to the
// lines, production to the measures of the works.
func liveTotals(t *testing.T, book string, lines []figure) {
	t.Helper()
	f, err := excelize.OpenFile(book, excelize.Options{UnzipSizeLimit: 1 << 26})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sum := 0.0
	for _, l := range lines {
		sum += *l.Mean
	}
	at := "C" + strconv.Itoa(len(lines)+2)
	if got, err := f.CalcCellValue("cost", at, excelize.Options{RawCellValue: true}); err != nil || math.Abs(asFloat(got)-sum) > 1e-9*sum {
		t.Errorf("cost adds up to %s, want %v (%v)", got, sum, err)
	}
	of := map[string]float64{}
	for _, row := range readSheet(t, book, "measures") {
		of[row["name"]] = asFloat(row["mean"])
	}
	rows, err := f.GetRows("production")
	if err != nil {
		t.Fatal(err)
	}
	last := strconv.Itoa(len(rows))
	for column, name := range map[string]string{"B": "cast.total", "C": "packed.total", "E": "yield.total"} {
		got, err := f.CalcCellValue("production", column+last, excelize.Options{RawCellValue: true})
		if err != nil || math.Abs(asFloat(got)-of[name]) > 1e-8*of[name] {
			t.Errorf("%s works out to %s, want %v (%v)", name, got, of[name], err)
		}
	}
}

// TestCompareAsSheets does the same for a comparison.
func TestCompareAsSheets(t *testing.T) {
	option := filepath.Join(t.TempDir(), "faster.yaml")
	small, err := filepath.Abs("../../scenarios/small-works.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(small)
	if err != nil {
		t.Fatal(err)
	}
	holidays, err := os.ReadFile("../../scenarios/holidays.ics")
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string]string{
		"works.yaml": string(text), "holidays.ics": string(holidays), "faster.yaml": "base: works.yaml\nsorting: {time: 2 min}\n",
	} {
		if err := os.WriteFile(filepath.Join(filepath.Dir(option), name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	folder, out := sheetsOf(t, "compare", filepath.Join(filepath.Dir(option), "works.yaml"), option)
	var answer struct {
		Measures []struct {
			Name        string
			Differences []*struct {
				Mean, Low, High *float64
				Verdict         string
			}
		}
		Options []struct {
			Name     string
			Measures []figure
			Changes  []struct{ Path, Before, After string }
		}
	}
	if err := json.Unmarshal(out, &answer); err != nil {
		t.Fatal(err)
	}
	for where, read := range map[string]func(name string) []map[string]string{
		"csv":  func(name string) []map[string]string { return readCSV(t, filepath.Join(folder, "tables", name+".csv")) },
		"xlsx": func(name string) []map[string]string { return readSheet(t, filepath.Join(folder, "answer.xlsx"), name) },
	} {
		rows := read("differences")
		for i, m := range answer.Measures {
			row, d := rows[2*i+1], m.Differences[1]
			if row["measure"] != m.Name || row["verdict"] != d.Verdict || asFloat(row["difference"]) != *d.Mean || asFloat(row["low of difference"]) != *d.Low {
				t.Errorf("%s: %s is %v", where, m.Name, row)
			}
		}
		measures := read("measures")
		if n := len(answer.Options[0].Measures); len(measures) != 2*n || measures[n]["option"] != answer.Options[1].Name {
			t.Fatalf("%s: %d measures", where, len(measures))
		}
		for i, m := range answer.Options[1].Measures {
			sameFigure(t, where, measures[len(answer.Options[0].Measures)+i], m)
		}
		changes := read("changes")
		if c := answer.Options[1].Changes[0]; changes[0]["key"] != c.Path || changes[0]["after"] != c.After {
			t.Errorf("%s: the changes are %v", where, changes)
		}
	}
}
