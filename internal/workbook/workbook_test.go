package workbook_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"reflect"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"potbank/internal/report"
	"potbank/internal/workbook"
)

// sheets are two sheets with everything a cell can be.
func sheets() []report.Sheet {
	return []report.Sheet{
		{
			Name: "cost", Columns: []string{"line", "mean, EUR", "n"},
			Rows:   [][]any{{"gas", 1.25, 3}, {`=HYPERLINK("http://x")`, -0.5, nil}, {"@SUM(A1) & <b>", nil, 4}},
			Live:   [][]any{{"total", report.Formula{Text: "SUM(B2:B4)", Value: 0.75}}},
			Charts: []report.SheetChart{{Title: "Cost <of> a piece", Label: 0, Drawn: []int{1}, Rows: 3, Unit: "EUR"}},
		},
		{
			Name: "series", Columns: []string{"week", "+packed"}, Rows: [][]any{{1, 200.5}, {2, 210.0}},
			Charts: []report.SheetChart{{Title: "By week", Line: true, Label: 0, Drawn: []int{1}, Rows: 2, Unit: "pieces"}},
		},
	}
}

// excel writes the sheets and opens what was written.
func excel(t *testing.T) (*excelize.File, []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := workbook.Excel(&b, sheets()); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()), excelize.Options{UnzipSizeLimit: 1 << 26})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f, b.Bytes()
}

func TestExcelReadsBack(t *testing.T) {
	f, _ := excel(t)
	if got := f.GetSheetList(); !reflect.DeepEqual(got, []string{"cost", "series", "charts"}) {
		t.Errorf("the sheets are %q", got)
	}
	for at, want := range map[string]string{
		"A1": "line", "B1": "mean, EUR", "A2": "gas", "B2": "1.25", "C2": "3", "A3": `=HYPERLINK("http://x")`, "B3": "-0.5", "C3": "",
		"A4": "@SUM(A1) & <b>", "B4": "", "C4": "4", "A5": "total", "B5": "0.75",
	} {
		if got, err := f.GetCellValue("cost", at, excelize.Options{RawCellValue: true}); err != nil || got != want {
			t.Errorf("%s is %q, want %q (%v)", at, got, want, err)
		}
		formula, err := f.GetCellFormula("cost", at)
		if err != nil || (formula != "") != (at == "B5") {
			t.Errorf("%s has the formula %q (%v)", at, formula, err)
		}
	}
	if formula, _ := f.GetCellFormula("cost", "B5"); formula != "SUM(B2:B4)" {
		t.Errorf("the total is %q", formula)
	}
	if worked, err := f.CalcCellValue("cost", "B5"); err != nil || worked != "0.75" {
		t.Errorf("the total works out to %s (%v)", worked, err)
	}
}

// TestExcelHasCharts: both charts refer to the cells of their sheets.
func TestExcelHasCharts(t *testing.T) {
	_, raw := excel(t)
	parts := contents(t, raw)
	bar, line := parts["xl/charts/chart1.xml"], parts["xl/charts/chart2.xml"]
	for _, want := range []string{"<barChart>", "&#39;cost&#39;!$B$2:$B$4", "&#39;cost&#39;!$A$2:$A$4", "Cost &lt;of&gt; a piece"} {
		if !strings.Contains(strings.ReplaceAll(bar, "'cost'", "&#39;cost&#39;"), want) {
			t.Errorf("the first chart has no %s", want)
		}
	}
	if !strings.Contains(line, "<lineChart>") || !strings.Contains(line, "$B$2:$B$3") {
		t.Error("the second chart is no line over the weeks")
	}
}

// contents are the parts of a workbook by name.
func contents(t *testing.T, raw []byte) map[string]string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string]string{}
	for _, part := range z.File {
		r, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		parts[part.Name] = string(text)
		if !part.Modified.IsZero() && part.Modified.Year() > 1980 {
			t.Errorf("%s was written at %v", part.Name, part.Modified)
		}
	}
	return parts
}

func TestSameSheetsSameBytes(t *testing.T) {
	_, first := excel(t)
	for range 12 {
		if _, again := excel(t); !bytes.Equal(first, again) {
			t.Fatal("two workbooks of the same sheets differ")
		}
	}
}

func TestCSVReadsBack(t *testing.T) {
	var b bytes.Buffer
	for _, s := range sheets() {
		if err := workbook.CSV(&b, s); err != nil {
			t.Fatal(err)
		}
	}
	want := "line,\"mean, EUR\",n\ngas,1.25,3\n\"'=HYPERLINK(\"\"http://x\"\")\",-0.5,\n'@SUM(A1) & <b>,,4\n" +
		"week,'+packed\n1,200.5\n2,210\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	r := csv.NewReader(strings.NewReader(want))
	r.FieldsPerRecord = -1
	if rows, err := r.ReadAll(); err != nil || rows[2][0] != `'=HYPERLINK("http://x")` {
		t.Errorf("%q, %v", rows, err)
	}
}
