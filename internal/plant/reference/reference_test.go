// Package reference_test compares the simulator with a second model of a reduced
// works: same file in, same log of pieces out, line by line.
//
// The second model (works.py and its modules, in SimPy) was written from
// scenarios/GUIDE.md, the keys of the file and the documented draws, without the
// simulator's code. Covered: weekly hours, crews with all four rules for work in
// hand, plaster benches, plan, window by moisture and by the clock, punching and
// finishing, trolleys, chamber dryers by the clock and when full, floors and
// tunnels, white inspection, booths, tunnel kilns with placers and without,
// shuttles for first fires and refires, sorting, a test, packing.
//
// # Disagreements found
//
// What the two did differently, who was wrong, and what came of it. "Guide" means
// that it was silent or could be read in two ways, and was made to say it.
//
//	disagreement                                        wrong     now
//	time stretched by effective rounded twice           engine    rounded once
//	window opening under cover rounded twice            engine    rounded once
//	idle hand took work before all ends of an instant   engine    after all ends
//	work begun at the very end of a shift               engine    not begun
//	compact JSON refused by the reader                  engine    read
//	full shuttle load not taken when hours open         engine    taken
//	latest took a load without the piece that waited    engine    with it
//	fits of a part car judged by a full one             engine    by its own time
//	equal full loads told apart by rounding             engine    exact shares
//	clean or fill before demould, casters short         engine    open, not invented
//	plan overrun by benches in one instant              engine    looked at again
//	chamber loaded before its instant's work has ended  engine    open, not invented
//	half of an odd number of milliseconds cut off       engine    rounded once
//	order of full car, drawing, part car                model     as in the guide
//	a piece at the limit of punching places             model     as in the guide
//	car out before, car in after the placers looked     model     one push
//	plan shared by benches granted together             model     one by one
//	mixed load of 11 x 1/11 thought over-full           model     exact shares
//	vapour pressure: which formula                      guide     Hyland and Wexler
//	touches, fills and cleans: who goes first           guide     ware before empty
//	benches in one instant: file or name                guide     name, number
//	next work does not fit: look further?               guide     next department
//	most full loads: whole ones or shares               guide     shares
//	part car without placers: when                      guide     at the push
//	mixed load: full when; who is passed over           guide     next does not fit
//	several full loads of a shuttle                     guide     most, then file
//	set on outside hours                                guide     hours must be open
//	trolley for several wares; without inspection       guide     file; out of dryer
//	pieces of one instant before booths and kilns       guide     first filled
//	one-in: of all or of a ware                         guide     of a ware
//	B pieces and the tests                              guide     pass them by
//	one job: can it be late, too dry                    guide     yes
//	draws after sorting: ordinal                        guide     fires so far
//
// Not settled, and therefore not invented: whose turn it is among benches that
// are short of casters, held up by a plan or ready in one instant, after a
// closing; works laid down at the end of a shift that end together; pieces that
// come to one queue in one instant from two departments; rosters that overlap.
package reference_test

import (
	"bufio"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// Draws not in the guide, inferred from single values of the log: patching, tests
// and packing add the number of fires as ordinal, as sorting does.

// weeks is how long each invented works is run.
const weeks = 2

// python is Debian's, for which python3-simpy is installed.
const python = "/usr/bin/python3"

// line is one event of a piece.
type line struct {
	at    int64
	piece uint64
	text  string
}

// inOrder sorts a log by instant, then by piece; what happens to one piece in
// one instant stays in its order.
func inOrder(log []line) {
	slices.SortStableFunc(log, func(a, b line) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.piece, b.piece))
	})
}

// TestSecondModel runs invented works on both models and wants equal logs.
func TestSecondModel(t *testing.T) {
	if out, err := exec.Command(python, "-c", "from SimPy.Simulation import Process").CombinedOutput(); err != nil {
		t.Fatalf("%s cannot import SimPy: install Debian's python3-simpy (apt-get install python3-simpy)\n%s", python, out)
	}
	count := 50
	if os.Getenv("POTBANK_NIGHTLY") != "" {
		count = 1000
	}
	var works [][]byte
	for seed := range uint64(count) {
		works = append(works, invent(seed))
	}
	second := runSecond(t, works)
	for seed, text := range works {
		t.Run(fmt.Sprint(seed), func(t *testing.T) { compare(t, text, runPlant(t, text, seed), second[seed]) })
	}
}

// compare wants two logs to be the same line by line.
func compare(t *testing.T, text []byte, plant, second []line) {
	t.Helper()
	for i := range max(len(plant), len(second)) {
		if at(plant, i) == at(second, i) {
			continue
		}
		var b strings.Builder
		for k := max(0, i-4); k < i+6; k++ {
			fmt.Fprintf(&b, "%-72s %s\n", at(plant, k), at(second, k))
		}
		t.Fatalf("line %d of %d differs (plant, then second model):\n%s\nscenario:\n%s", i+1, len(plant), b.String(), text)
	}
}

// at is a line of a log, or its end.
func at(log []line, i int) string {
	if i < len(log) {
		return log[i].text
	}
	return "(end)"
}

// runPlant runs works on the simulator under test.
func runPlant(t *testing.T, text []byte, seed int) []line {
	t.Helper()
	path := filepath.Join(t.TempDir(), "works.yaml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	file, bad := scenario.Read(path)
	if file == nil {
		t.Fatalf("%s\n%s", scenario.Faults(bad), text)
	}
	p, faults := plant.New(file.Works)
	if p == nil {
		t.Fatalf("%v\n%s", faults, text)
	}
	var log []line
	_, err := p.Simulate(plant.Options{Source: random.New(uint64(seed), 0), Weeks: weeks, Observer: func(o plant.Observation) {
		if o.Event == "missed its window" {
			return // a remark on the punching just told; the guide says nothing of it
		}
		text := fmt.Sprintf("%d %d %s %s|%s|%s", int64(o.At), o.Piece, o.Ware, o.Event, o.Section, o.Where)
		log = append(log, line{int64(o.At), o.Piece, text})
	}})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	inOrder(log)
	return log
}

// runSecond runs works on the second model, all in one process.
func runSecond(t *testing.T, works [][]byte) [][]line {
	t.Helper()
	var jobs strings.Builder
	for seed, text := range works {
		job, err := json.Marshal(map[string]any{"works": json.RawMessage(text), "seed": seed, "replication": 0, "weeks": weeks})
		if err != nil {
			t.Fatal(err)
		}
		jobs.Write(append(job, '\n'))
	}
	path := filepath.Join(t.TempDir(), "jobs")
	if err := os.WriteFile(path, []byte(jobs.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-B", "works.py", path)
	var trouble strings.Builder
	command.Stderr = &trouble
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, trouble.String())
	}
	return readLogs(t, string(out), len(works))
}

// readLogs takes the second model's output apart.
func readLogs(t *testing.T, out string, count int) [][]line {
	t.Helper()
	logs := make([][]line, 0, count)
	scan := bufio.NewScanner(strings.NewReader(out))
	for scan.Scan() {
		var n int
		if _, err := fmt.Sscan(scan.Text(), &n); err != nil {
			t.Fatal(err)
		}
		log := make([]line, n)
		for i := range log {
			scan.Scan()
			log[i].text = scan.Text()
			if _, err := fmt.Sscan(scan.Text(), &log[i].at, &log[i].piece); err != nil {
				t.Fatal(err)
			}
		}
		inOrder(log)
		logs = append(logs, log)
	}
	return logs
}
