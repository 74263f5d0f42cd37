package internal

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// stated is one limit: what it is of, how its constant is shown, what raises it, and the
// test that holds it just below, at and just above.
type stated struct {
	of       string
	constant string // package.name
	unit     string // "bytes", "ns", "ms", "share" or a word behind the number
	raised   string // by a flag; empty: by nothing
	test     string // package.Test
}

// limits are all limits that a user can meet, in the order of the guide.
var limits = []stated{
	{"Scenario or question file", "scenario.mostBytes", "bytes", "", "scenario.TestFileSize"},
	{"Nesting", "scenario.mostDepth", "levels", "", "scenario.TestLimitsOfText"},
	{"Values in a file", "scenario.mostNodes", "", "", "scenario.TestLimitsOfText"},
	{"Entries under one key", "scenario.mostKeys", "", "", "scenario.TestLimitsOfText"},
	{"Text", "scenario.longestText", "characters", "", "scenario.TestLimitsOfText"},
	{"Name or key", "scenario.longestName", "characters", "", "scenario.TestLimitsOfText"},
	{"Number with its unit", "quantity.longest", "characters", "", "quantity.TestLimitsOfNumbers"},
	{"Power of ten, either way", "quantity.steepest", "", "", "quantity.TestLimitsOfNumbers"},
	{"Time, length of a run", "scenario.longestTime", "ms", "", "scenario.TestLimitsOfValues"},
	{"Count, unless another limit is given", "scenario.mostOfAny", "", "", "scenario.TestLimitsOfValues"},
	{"Pieces of an order", "scenario.largest Order.quantity", "", "", "scenario.TestLimitsOfValues"},
	{"Refires of a piece", "scenario.largest Refire.most", "", "", "scenario.TestLimitsOfValues"},
	{"Data file beside a scenario", "scenario.mostData", "bytes", "", "scenario.TestLimitsOfData"},
	{"Rows of the pieces at the start", "scenario.mostPieceRows", "", "", "scenario.TestLimitsOfData"},
	{"Records of one law", "random.empiricalMax", "", "", "random.TestLimitOfRecords"},
	{"Holiday file", "calendar.largestFile", "bytes", "", "calendar.TestLimitsOfHolidays"},
	{"Recurring holidays", "calendar.mostRules", "", "", "calendar.TestLimitsOfHolidays"},
	{"One holiday", "calendar.longestEvent", "days", "", "calendar.TestLimitsOfHolidays"},
	{"Mould places of a works", "plant.mostPlaces", "", "", "plant.TestSizesOfAWorks"},
	{"Pieces at the start", "plant.mostPieces", "", "", "plant.TestSizesOfAWorks"},
	{"Events of a replication, by hand and run", "plant.mostEvents", "", "", "plant.TestSizesOfAWorks"},
	{"Events at one instant", "des.instantLimit", "", "", "des.TestEventsOfAnInstant"},
	{"Money through a works, units of the currency", "plant.mostMoney", "", "", "plant.TestMoneyThatDoesNotFit"},
	{"Options of a question", "scenario.mostChoices", "", "", "scenario.TestLimitsOfQuestions"},
	{"Futures of a question", "scenario.mostFutures", "", "", "scenario.TestLimitsOfQuestions"},
	{"Files of `compare` and `size`", "potbank.mostOptions", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"Inputs of `tornado`", "potbank.mostInputs", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--replications`, `--most`, `--budget`, `--pairs`", "potbank.mostReplications", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--weeks`", "potbank.mostWeeks", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--workers`", "potbank.mostWorkers", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--doubt`", "potbank.mostDraws", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--repeats`", "potbank.mostRepeats", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"`--cores`", "potbank.mostCores", "", "", "potbank.TestLimitsOfTheCommandLine"},
	{"Time of a study, estimated", "effort.UsualLongest", "ns", "--longest", "effort.TestLimitsOfAStudy"},
	{"Time of one replication, estimated and run", "effort.UsualLongestRun", "ns", "--longest-run", "effort.TestLimitsOfAStudy"},
	{"Memory of a study, of the machine's", "effort.UsualMemory", "share", "--most-memory", "effort.TestLimitsOfAStudy"},
	{"Free disk, of what the ledger may grow by: at least", "effort.roomPerByte", "times", "", "effort.TestLimitsOfAStudy"},
	{"Result in a ledger", "ledger.mostResult", "bytes", "", "ledger.TestLimitOfAResult"},
}

// noLimits are constants that are named as limits are and bound nothing that a user
// gives: how much is shown or tried, and what the inside of a package needs.
var noLimits = map[string]string{
	"scenario.mostShown": "faults shown", "random.maxTick": "exact floats", "random.betaExponentMax": "of a formula",
	"calendar.mostOccurrences": "more dates than the rules of 250 years have", "plant.mostRounds": "of the estimate by hand",
	"plant.longest": "of a formula", "des.maxSlots": "pending events; memory ends before", "des.maxSeq": "renumbered when reached",
	"web.mostWalk": "weeks of the floor", "web.mostBody": "of the page", "web.mostQueued": "of the page", "web.mostKept": "of the page", "web.mostFile": "that of a scenario file",
	"share.mostPayload": "of the embedded broker", "share.mostDeaths": "held by TestPoison", "share.mostTasks": "of a message", "share.mostMessage": "of a hostile message",
	"report.mostTurns": "shown", "report.longest": "shown", "report.mostColumns": "shown", "report.mostDecimals": "shown", "report.mostly": "a share", "report.mostSheetColumns": "shown", "report.longestName": "of a sheet",
	"potbank.mostRead": "told after a fault of the program", "experiment.mostClasses": "shown", "experiment.mostNext": "shown",
	"decision.mostTrials": "of a certificate", "decision.mostPremium": "searched", "decision.mostBars": "before screening", "decision.mostFaults": "searched",
	"decision.mostPromiseWeeks": "simulated", "decision.mostTimes": "searched", "decision.mostRate": "searched",
}

// TestLimitsAreStated holds the table of limits in the guide against the constants of the
// code, and finds the constants that are missing there.
func TestLimitsAreStated(t *testing.T) {
	constants, tests := readLimits(t)
	var table strings.Builder
	table.WriteString("| what | limit | raised by |\n|---|---|---|\n")
	known := map[string]bool{}
	for _, l := range limits {
		known[l.constant] = true
		value, ok := constants[l.constant]
		if !ok {
			t.Errorf("%s: there is no constant %s", l.of, l.constant)
			continue
		}
		if !tests[l.test] {
			t.Errorf("%s: there is no test %s", l.of, l.test)
		}
		raised := ""
		if l.raised != "" {
			raised = "`" + l.raised + "`"
		}
		fmt.Fprintf(&table, "| %s | %s | %s |\n", l.of, shown(value, l.unit), raised)
	}
	for name := range constants {
		if _, listed := noLimits[name]; !known[name] && !listed {
			t.Errorf("the constant %s is named as a limit: add it to the limits, or say what it bounds", name)
		}
	}
	for name := range noLimits {
		if _, ok := constants[name]; !ok {
			t.Errorf("there is no constant %s to be left out", name)
		}
	}
	guide, err := os.ReadFile("../scenarios/GUIDE.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(guide), "\n"+table.String()) {
		t.Errorf("the guide has another table of limits than this:\n%s", table.String())
	}
}

// limitName is how constants are named that bound something.
var limitName = regexp.MustCompile(`^(most|longest|largest|steepest|max|instantLimit|empiricalMax|betaExponentMax|Usual(Longest|LongestRun|Memory)$|roomPerByte)`)

// times are constants of other packages, in ns and in ms, that limits are written with.
var times = strings.NewReplacer("time.Hour", "3600000000000", "time.Minute", "60000000000", "des.Day", "86400000")

// readLimits reads the constants that are named as limits, as package.name, and the
// names of all tests.
func readLimits(t *testing.T) (constants map[string]constant.Value, tests map[string]bool) {
	t.Helper()
	constants, tests = map[string]constant.Value{}, map[string]bool{}
	files, err := filepath.Glob("*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	more, err := filepath.Glob("../cmd/*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	for _, path := range append(files, more...) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		file, err := parser.ParseFile(set, path, text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		pkg := filepath.Base(filepath.Dir(path)) + "."
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				tests[pkg+d.Name.Name] = strings.HasSuffix(path, "_test.go")
			case *ast.GenDecl:
				if !strings.HasSuffix(path, "_test.go") {
					readConstants(t, set, d, text, pkg, constants)
				}
			}
		}
	}
	return constants, tests
}

// readConstants adds the constants of one declaration; those of the map of limits of
// counts go by its name and their key.
func readConstants(t *testing.T, set *token.FileSet, d *ast.GenDecl, text []byte, pkg string, constants map[string]constant.Value) {
	source := func(n ast.Node) string {
		return times.Replace(string(text[set.Position(n.Pos()).Offset:set.Position(n.End()).Offset]))
	}
	for _, s := range d.Specs {
		v, ok := s.(*ast.ValueSpec)
		if !ok || len(v.Values) != len(v.Names) {
			continue
		}
		for i, name := range v.Names {
			if !limitName.MatchString(name.Name) {
				continue
			}
			if list, ok := v.Values[i].(*ast.CompositeLit); ok && pkg+name.Name == "scenario.largest" {
				for _, e := range list.Elts {
					pair := e.(*ast.KeyValueExpr)
					if key, _ := strconv.Unquote(source(pair.Key)); key == "Order.quantity" || key == "Refire.most" {
						constants[pkg+name.Name+" "+key] = eval(t, source(pair.Value))
					}
				}
			} else if d.Tok == token.CONST {
				constants[pkg+name.Name] = eval(t, source(v.Values[i]))
			}
		}
	}
}

// eval is the value of a constant expression; one with names of its own counts as 0.
func eval(t *testing.T, text string) constant.Value {
	value, err := types.Eval(token.NewFileSet(), nil, token.NoPos, text)
	if err != nil || value.Value == nil {
		return constant.MakeInt64(0)
	}
	return value.Value
}

// shown prints a limit.
func shown(v constant.Value, unit string) string {
	n, _ := constant.Float64Val(constant.ToFloat(v))
	switch unit {
	case "bytes":
		return fmt.Sprintf("%.0f MiB", n/(1<<20))
	case "ms":
		return fmt.Sprintf("%.0f years of 365 days", n/86400000/365)
	case "ns":
		if n >= 3600e9 {
			return fmt.Sprintf("%.0f h", n/3600e9)
		}
		return fmt.Sprintf("%.0f min", n/60e9)
	case "share":
		return fmt.Sprintf("%.0f %%", 100*n)
	}
	text := strconv.FormatFloat(n, 'f', -1, 64)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return strings.TrimSpace(text + " " + unit)
}
