package proof

import (
	"context"
	"os"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"potbank/internal/random"
)

// quick is what is proved where time is short: the laws, everything without
// chance, and a random case of each kind of model.
var quick = strings.Fields(`laws A01 A02 A13 A16 A30 A33 A37 B01 B02 B03 B05 B06 B13 B14
	C01 C02 C03 C05 C06 C07 C08 C09 C10 C11 C13 C15 C16 C17 C19 C20 C21 C23 C24 D04 D09 D10 D11 D12 D13 D14 D15
	E05 E06 E07 E08 E11 E12 F02 F03 F06 G01 G11 H01 H05 I01 I02 I03 I04 I06 I07 I08 I09 J04 K01 K02 K03 K05 K06`)

// raced is what is proved under the race detector, which looks for data shared
// between workers; that does not depend on how long a model runs.
var raced = strings.Fields("A16 A33 B01 B03 B05 B06 B14 C01 C03 C09 C13 C19 D04 D12 E06 F03 G01 G11 H01 H05 I01 I07 I09 K03 K05")

// weak is the checks that a value 5 % off may pass, and why.
var weak = map[string]string{
	"A23": "four or five machines of five are down too seldom",
	"A40": "the spread of a sum is known to 8 % only from 1,000 runs",
	"C25": "the variance of an average is a figure of chance itself",
	"E10": "ten days without a find are rare",
}

// proven is the report of one run for all tests, whole if there is time for it.
var proven = sync.OnceValues(func() (*Report, error) {
	s := Settings{Workers: 2}
	switch {
	case racing:
		s.Only = raced
	case !whole():
		s.Only = quick
	}
	return Run(context.Background(), s)
})

// whole tells whether everything is proved.
func whole() bool { return !testing.Short() && !racing }

func TestProof(t *testing.T) {
	r, err := proven()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range append(r.Laws, r.Checks...) {
		if !c.Applies() {
			continue
		}
		if len(c.Figures) == 0 {
			t.Errorf("%s yields no figure", c.ID)
		}
		for _, f := range c.Figures {
			if !f.Held {
				t.Errorf("%s: %s is %s, want %s (source: %s)", c.ID, f.Name, f.Got, f.Want, c.Source)
			}
		}
		if _, known := weak[c.ID]; strings.HasPrefix(c.Power(), "from") != known {
			t.Errorf("%s: power is %q, on the list of weak checks: %v", c.ID, c.Power(), known)
		}
	}
	if whole() {
		held, of := r.Held()
		if notApplicable := len(r.Checks) + len(r.Laws) - of; held != of || len(r.Checks) != 129 || notApplicable != 26 {
			t.Errorf("%d of %d held, %d do not apply", held, of, notApplicable)
		}
	}
	if !racing && (r.Equalities < 500_000 || r.Runs != lawRuns*len(examples()) || len(r.Laws) < 9) {
		t.Errorf("%d laws, %d equalities in %d runs", len(r.Laws), r.Equalities, r.Runs)
	}
}

// Every row of the list is run or excused, in the order of the list.
func TestEveryRow(t *testing.T) {
	rows, err := published()
	if err != nil {
		t.Fatal(err)
	}
	all := methods()
	if len(rows) != len(all) {
		t.Errorf("%d rows, %d methods", len(rows), len(all))
	}
	for i := range min(len(rows), len(all)) {
		m := all[i]
		if m.id != rows[i].ID {
			t.Fatalf("row %s meets method %s", rows[i].ID, m.id)
		}
		if (m.run == nil) == (m.not == "") || (m.run == nil) != (m.path == "") {
			t.Errorf("%s must have a way and a path, or a reason", m.id)
		}
	}
}

// What a figure is held against stands in its row, so that no value of another
// origin can creep in.
func TestWantsArePublished(t *testing.T) {
	derived := map[string]bool{
		"A06": true,                                        // the share lost stands among the inputs
		"A21": true, "K03": true, "K06": true, "B13": true, // parts of sentences, and counts of exceptions
		"A39": true, "C25": true, // digits run on, or stand for another unit
		"B03": true,                           // the law CT = w T0, at other w
		"B04": true,                           // the numbers of A29, to which its row points
		"C19": true, "K01": true, "K08": true, // true or false
		"I01": true, "I02": true, "I03": true, "I04": true, // dates in full
	}
	r, err := proven()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Checks {
		if derived[c.ID] {
			continue
		}
		for _, f := range c.Figures {
			if text := c.Expected + " " + c.Inputs; !strings.Contains(text, f.Want) {
				t.Errorf("%s: %s is held against %s, which its row does not have: %s", c.ID, f.Name, f.Want, c.Expected)
			}
		}
	}
}

// The report does not depend on the number of workers.
func TestSameForAnyWorkers(t *testing.T) {
	only := []string{"A16", "A30", "B02", "C01", "C11", "F06", "G11", "I07", "K05", "D01"}
	if racing {
		only = []string{"B01", "C01", "G11", "I07", "K05", "D01"}
	}
	first, err := Run(context.Background(), Settings{Only: only, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, workers := range []int{0, 3, 16} {
		told := 0
		again, err := Run(context.Background(), Settings{Only: only, Workers: workers, Progress: func(done, of int) {
			if told++; done != told || of != len(only) {
				t.Errorf("told of %d of %d after %d", done, of, told)
			}
		}})
		if err != nil || !reflect.DeepEqual(first, again) {
			t.Errorf("%d workers give another report (%v)", workers, err)
		}
	}
}

// A check can fail: by a value 5 % off, by an interval that is too wide, by a
// text, and by a model that breaks down.
func TestFailing(t *testing.T) {
	one := func(t *trial) {
		t.chance(func(s random.Source) sample {
			q := newQueue(s, exponential(1), exponential(0.8))
			q.run(1, 200, 4_000)
			return q.yields(q.wait())
		}, wanted{name: "Wq", want: "3.36", width: 0.1})
	}
	for name, m := range map[string]method{
		"5 % off":        {run: one},
		"another text":   {run: func(t *trial) { t.same("x", 1, "2") }},
		"another number": {run: func(t *trial) { t.exact("x", 1.01, "1", 1e-3) }},
		"a panic":        {run: func(*trial) { panic("no way") }},
		"nothing":        {run: func(*trial) {}},
	} {
		c := conduct(Published{ID: "X"}, m)
		if c.Held() {
			t.Errorf("%s: held", name)
		}
	}
	if c := conduct(Published{ID: "X"}, method{not: "a reason"}); c.Applies() || c.Held() {
		t.Error("what does not apply must not hold")
	}
	wide := &trial{}
	wide.judge(wanted{name: "x", want: "10"}, estimate([]sample{{values: []float64{9}}, {values: []float64{11}}, {values: []float64{10}}}, 0))
	if wide.figures[0].Held {
		t.Error("an interval that is too wide held")
	}
}

// A proof that is cut short says so, and begins nothing new.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	begun := time.Now()
	r, err := Run(ctx, Settings{Workers: 2})
	if err == nil || time.Since(begun) > 5*time.Second {
		t.Error("a cancelled proof went on")
	}
	if held, _ := r.Held(); held > 0 {
		t.Errorf("%d held before anything was run", held)
	}
}

// A broken law is a check that does not hold, and so is a run without end.
func TestBrokenLaw(t *testing.T) {
	fine := audit("small-works.yaml")
	broken := audited{scenario: "invented", fault: "stuck", laws: append(fine.laws[:0:0], fine.laws...)}
	broken.laws[1].Broken, broken.laws[1].First = 2, "3 against 4"
	var r Report
	r.keepLaws([]audited{fine, broken})
	if r.Laws[0].Held() || r.Laws[2].Held() || !r.Laws[1].Held() {
		t.Errorf("laws: %+v", r.Laws[:3])
	}
	if got := r.Laws[2].Got(); !strings.Contains(got, "2 of ") || !strings.Contains(got, "first: 3 against 4") {
		t.Errorf("a broken law tells %q", got)
	}
	if c := audit("no-such.yaml"); c.fault == "" {
		t.Error("a scenario that is not there has no fault")
	}
}

// Each source names where data came from, and none a place on some machine.
func TestDataNamesItsSource(t *testing.T) {
	entries, err := os.ReadDir("checks")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() == "checks.csv" || e.Name() == "README.md" {
			continue // sources are a column, or the whole content
		}
		if head := dataFile(e.Name())[:80]; !strings.HasPrefix(head, "# ") {
			t.Errorf("%s begins with %q, not with its source", e.Name(), head)
		}
	}
}
