package teeth_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"potbank/internal/teeth"
)

var (
	seed   = flag.Uint64("seed", 1, "with POTBANK_NIGHTLY: draws the mutants")
	sample = flag.String("mutants", "des=60,stats=60,plant=80", "with POTBANK_NIGHTLY: how many mutants of which packages")
)

// known reads the survivors that somebody has read, with what they are. Each is a
// line with its name and a line, indented, with the reason why no test can notice.
func known(t *testing.T) map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "survivors.txt"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	why := map[string]string{}
	name := ""
	for lines := bufio.NewScanner(file); lines.Scan(); {
		switch line := lines.Text(); {
		case line == "" || line[0] == '#':
		case line[0] != '\t':
			name = line
			why[name] = ""
		default:
			why[name] += strings.TrimSpace(line)
		}
	}
	return why
}

// TestSurvivorsFit keeps the list of known survivors from rotting: each is still a
// mutant, and has its reason.
func TestSurvivorsFit(t *testing.T) {
	all := map[string]bool{}
	for _, pkg := range []string{"des", "stats", "plant"} {
		mutants, err := teeth.Mutants(absolute(t), "internal/"+pkg, *seed)
		if err != nil || len(mutants) < 100 {
			t.Fatalf("%d mutants of %s, %v", len(mutants), pkg, err)
		}
		for i := range mutants {
			all[mutants[i].Name()] = true
		}
	}
	for name, why := range known(t) {
		if !all[name] || why == "" {
			t.Errorf("no mutant, or without a reason: %s", name)
		}
	}
}

// TestMutants draws mutants and runs the tests of their package over each. Those
// that survive must be known; those where no test comes by are told, not run.
// Outside the nightly tier it draws none.
func TestMutants(t *testing.T) {
	why := known(t)
	for part := range strings.SplitSeq(*sample, ",") {
		name, size, _ := strings.Cut(part, "=")
		n, err := strconv.Atoi(size)
		if err != nil {
			t.Fatalf("%s: %v", part, err)
		}
		if nightly {
			t.Run(name, func(t *testing.T) { runMutants(t, "internal/"+name, n, why) })
		}
	}
}

// runMutants tries the first n mutants of a package that tests come by.
func runMutants(t *testing.T, pkg string, n int, why map[string]string) {
	all, err := teeth.Mutants(absolute(t), pkg, *seed)
	if err != nil {
		t.Fatal(err)
	}
	cover, err := teeth.Cover(context.Background(), absolute(t), pkg)
	if err != nil {
		t.Fatal(err)
	}
	var drawn []teeth.Mutant
	var changes []teeth.Change
	unreached := 0
	for _, m := range all {
		if len(drawn) == n {
			break
		}
		if !cover.Reaches(&m) {
			unreached++
			fmt.Printf("no test comes by    %s:%d %s\n", m.File, m.Line, m.Name())
			continue
		}
		drawn, changes = append(drawn, m), append(changes, m.Change)
	}
	outcomes := map[teeth.Outcome]int{}
	equal := 0
	tryAll(t, pkg, changes, func(k int, v teeth.Verdict) {
		m := &drawn[k]
		fmt.Printf("%-18s %6.1f s  %s:%d %s  [%s]\n", v.Outcome, v.Took.Seconds(), m.File, m.Line, m.Name(), v.Test)
		outcomes[v.Outcome]++
		switch {
		case v.IsCaught() || v.Outcome == teeth.NotBuilt:
		case v.Outcome == teeth.Survived && why[m.Name()] != "":
			equal++
		default:
			t.Errorf("%s:%d %s: %s", m.File, m.Line, v.Outcome, m.Name())
		}
	})
	t.Logf("%d of %d mutants drawn: %v; %d of the survivors are known; besides %d where no test comes by",
		len(drawn), len(all), outcomes, equal, unreached)
}
