// Package internal holds no code of its own: its test keeps the direction of
// imports, in the manner of the Go distribution's go/build/deps_test.go.
package internal

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// allowed lists, for each package, the packages of this module and the
// third-party modules it may import; everything may import the standard
// library. Permission does not carry down: each line is complete.
//
// Do not widen a line to make a build pass: a new arrow is a design decision,
// and DEVELOPERS.md gives the reasons for the present ones.
var allowed = map[string]string{
	"internal/des":               "",
	"internal/quantity":          "",
	"internal/random":            "gonum.org/v1/gonum",
	"internal/calendar":          "des quantity github.com/teambition/rrule-go github.com/emersion/go-ical",
	"internal/stats":             "gonum.org/v1/gonum",
	"internal/plant":             "des quantity random calendar",
	"internal/plant/randomworks": "des quantity random calendar plant pgregory.net/rapid",
	"internal/scenario":          "des quantity random calendar plant go.yaml.in/yaml/v4",
	"internal/draft":             "des plant",
	"internal/cell":              "",
	"internal/eventlog":          "des calendar plant cell",
	"internal/experiment":        "des quantity random calendar stats plant",
	"internal/decision":          "des quantity random calendar stats plant scenario experiment",
	"internal/proof":             "des quantity random calendar stats plant scenario scenarios",
	"internal/teeth":             "",
	"internal/licence":           "",
	"internal/report":            "des quantity calendar plant stats experiment decision effort ledger proof github.com/olekukonko/tablewriter",
	"internal/effort":            "des quantity random plant stats experiment ledger",
	"internal/ledger":            "random plant modernc.org/sqlite",
	"internal/share":             "random plant ledger effort github.com/nats-io/nats-server github.com/nats-io/nats.go",
	"internal/page":              "report",
	"internal/workbook":          "report cell github.com/xuri/excelize",
	"internal/browser":           "github.com/chromedp/chromedp github.com/chromedp/cdproto",
	"internal/web":               "plant scenario draft experiment",
	"scenarios":                  "",
	"cmd/potbank":                "des quantity random calendar plant scenario draft experiment decision effort ledger licence share proof report page web eventlog workbook github.com/spf13/cobra github.com/spf13/pflag golang.org/x/term",
}

// onFiles are the packages that may touch files, onClock those that may read the
// clock of the machine. All others get what they need, so that an answer depends
// on its file and seed alone.
var (
	onFiles = strings.Fields("cmd/potbank internal/scenario internal/ledger internal/share internal/web internal/browser internal/teeth")
	onClock = strings.Fields("cmd/potbank internal/ledger internal/share internal/web internal/browser internal/teeth")
)

// checkMachine holds one file against them.
func checkMachine(t *testing.T, pkg, path string) {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "\n\t\"os\"\n") && !slices.Contains(onFiles, pkg) {
		t.Errorf("%s: %s may not touch files", path, pkg)
	}
	for _, call := range []string{"time.Now", "time.Since", "time.Sleep", "time.After"} {
		if strings.Contains(string(text), call) && !slices.Contains(onClock, pkg) {
			t.Errorf("%s: %s may not ask for %s", path, pkg, call)
		}
	}
}

func TestImportDirection(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		pkg := filepath.ToSlash(strings.TrimPrefix(filepath.Dir(path), ".."+string(filepath.Separator)))
		if filepath.Dir(path) == "." || pkg == "." {
			pkg = "internal"
		}
		if !strings.HasPrefix(pkg, "internal") && !strings.HasPrefix(pkg, "cmd") && pkg != "scenarios" {
			pkg = "internal/" + pkg
		}
		seen[pkg] = true
		checkFile(t, pkg, path)
		checkMachine(t, pkg, path)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for pkg := range allowed {
		if !seen[pkg] {
			t.Errorf("the rule for %s has no package", pkg)
		}
	}
}

// checkFile holds the imports of one file against the rule of its package.
func checkFile(t *testing.T, pkg, path string) {
	rule, ok := allowed[pkg]
	if !ok {
		t.Errorf("%s: package %s has no rule", path, pkg)
		return
	}
	words := strings.Fields(rule)
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	for _, spec := range file.Imports {
		name, _ := strconv.Unquote(spec.Path.Value)
		if own, ok := strings.CutPrefix(name, "potbank/internal/"); ok {
			name = own
		} else if own, ok := strings.CutPrefix(name, "potbank/"); ok {
			name = own
		} else if !strings.Contains(name, ".") {
			continue // standard library
		}
		if !slices.ContainsFunc(words, func(w string) bool { return name == w || strings.HasPrefix(name, w+"/") && strings.Contains(w, ".") }) {
			t.Errorf("%s: %s may not import %s", path, pkg, name)
		}
	}
}
