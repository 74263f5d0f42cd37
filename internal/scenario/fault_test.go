package scenario_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/scenario"
)

var update = flag.Bool("update", false, "write the schemas anew")

// judge reads a scenario as the program does, up to a plant that can run, and
// returns all it is told.
func judge(path string) []scenario.Fault {
	file, faults := scenario.Read(path)
	if file == nil {
		return faults
	}
	_, more := file.Plant()
	return append(faults, more...)
}

// TestSample holds that the file the bad ones vary is itself in order.
func TestSample(t *testing.T) {
	if faults := judge("testdata/sample.yaml"); scenario.ExitCode(faults) != 0 {
		t.Error(scenario.Faults(faults))
	}
}

// TestFaultsAreCutShort holds the list at 20.
func TestFaultsAreCutShort(t *testing.T) {
	var list []scenario.Fault
	for i := range 32 {
		list = append(list, scenario.Fault{File: "s.yaml", Line: i + 1, Col: 1, What: "wrong", Hint: "mend it", Code: scenario.Refused})
	}
	text := scenario.Faults(list)
	if n := strings.Count(text, "\n"); n != 21 || !strings.HasSuffix(text, "\nand 12 more\n") {
		t.Errorf("%d lines, ending %q", n, text[len(text)-30:])
	}
}

// TestManyFaultsAtOnce holds that faults are gathered, not found one by one,
// and come in the order of the file.
func TestManyFaultsAtOnce(t *testing.T) {
	text, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.NewReplacer("length: 26 wk", "length: 26", "17 kg", "17 kgs", "ware: pan\n", "ware: pam\n",
		"cycle: 36 h", "cylce: 36 h", "most: 1", "most: x").Replace(string(text))
	path := filepath.Join(t.TempDir(), "s.yaml")
	if err := os.WriteFile(path, []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	_, faults := scenario.Read(path)
	var lines []int
	for _, f := range faults {
		lines = append(lines, f.Line)
	}
	if d := cmp.Diff([]int{5, 18, 29, 45, 60}, lines); d != "" {
		t.Errorf("lines of faults (-want +got):\n%s%s", d, scenario.Faults(faults))
	}
}
