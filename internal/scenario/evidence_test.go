package scenario_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/scenario"
)

// measured is the sample with evidence of every kind.
func measured(t testing.TB) *scenario.File {
	t.Helper()
	file := mustRead(t, "testdata/measured.yaml")
	if len(file.Evidence()) == 0 {
		t.Fatal("the file says nothing of what it rests on")
	}
	return file
}

// TestEvidence holds what the file says its values rest on, and that each
// value is the one stated.
func TestEvidence(t *testing.T) {
	file := measured(t)
	var got strings.Builder
	for _, e := range file.Evidence() {
		fmt.Fprintf(&got, "%s: %s\n", e.Path, e)
	}
	const want = `ware.pan.window.late-loss-after.1 h: 3 of 50
ware.pan.yields.casting: 470 of 500
ware.pan.yields.white: 185 of 200
ware.pan.yields.glaze: 300 of 300
ware.pan.yields.first-fire.a: 415 of 500
ware.pan.yields.first-fire.refire: 40 of 500
ware.pan.yields.refire.a: 31 of 40
ware.pan.yields.fired-faults.cracks: 10 of 42
ware.pan.yields.fired-faults.pin-holes: 32 of 42
benches.bench-1.mould-life: 30 records
finishing.punch: 40 records
finishing.finish: 6 records in minutes.csv
dryers.chamber.cycle: 25 records
white-inspection.time: 9 records
glazing.booths.booth.time: 40 records
sorting.time: 6 records in minutes.csv
packing.time.pan: 12 records
`
	if d := cmp.Diff(want, got.String()); d != "" {
		t.Errorf("evidence (-want +got):\n%s", d)
	}
	y := file.Works.Ware[0].Yields
	if y.White != 185.0/200 || y.Casting != 0.94 || y.FirstFire.A != 0.83 || y.LaterFire.A != 0.78 {
		t.Errorf("yields %+v", y)
	}
	recorded := file.Evidence()[11]
	if recorded.Kind != scenario.Recorded || len(recorded.Data) != 6 || recorded.Data[2] != 11.25*60_000 {
		t.Errorf("the records are %+v", recorded)
	}
}

// TestEvidenceIsPrinted holds that a file prints with its evidence and reads
// back with it, that evidence counts in the hash, and that the works alone
// prints without.
func TestEvidenceIsPrinted(t *testing.T) {
	file := measured(t)
	dir := t.TempDir()
	table, err := os.ReadFile("testdata/minutes.csv")
	if err != nil {
		t.Fatal(err)
	}
	write(t, dir, "minutes.csv", string(table))
	again := mustRead(t, write(t, dir, "printed.yaml", string(file.Print())))
	if d := cmp.Diff(string(file.Print()), string(again.Print())); d != "" {
		t.Errorf("printed again it differs (-first +second):\n%s", d)
	}
	if again.Hash != file.Hash {
		t.Errorf("hash %s became %s", file.Hash, again.Hash)
	}
	for i, e := range again.Evidence() {
		if was := file.Evidence()[i]; e.Path != was.Path || e.String() != was.String() {
			t.Errorf("%s: %s became %s: %s", was.Path, was, e.Path, e)
		}
	}
	bare := mustRead(t, write(t, dir, "bare.yaml", string(scenario.Print(file.Works))))
	if bare.Hash == file.Hash {
		t.Error("without its evidence the hash is the same")
	}
	if n := len(bare.Evidence()); n != 1 {
		t.Errorf("the works alone carries %d evidences, want that of its table", n)
	}
	if !bytes.Equal(scenario.Print(bare.Works), scenario.Print(file.Works)) {
		t.Error("the evidence changes the works")
	}
}

// TestEvidenceFitsTheSchema holds the patterns of the schema against the file
// and its printed form.
func TestEvidenceFitsTheSchema(t *testing.T) {
	s := compile(t, scenario.Schema())
	if err := s.Validate(instance(t, "testdata/measured.yaml")); err != nil {
		t.Error(err)
	}
	printed := write(t, t.TempDir(), "printed.yaml", string(measured(t).Print()))
	if err := s.Validate(instance(t, printed)); err != nil {
		t.Error(err)
	}
	bad, err := filepath.Glob("../../testdata/bad/6[56]-*.yaml")
	if err != nil || len(bad) != 2 {
		t.Fatal(bad, err)
	}
	if s.Validate(instance(t, bad[1])) == nil {
		t.Errorf("%s fits the schema", bad[1])
	}
}

// TestEvidenceThatIsNone holds what is said of evidence that cannot be read,
// and where it points.
func TestEvidenceThatIsNone(t *testing.T) {
	tests := []struct{ old, new, want string }{
		{"casting: 94 %", "casting: 94 % from 470", `24:26: error: a share rests on counts, got "470"; hint: write how many of how many, such as from 460 of 500`},
		{"casting: 94 %", "casting: from 4.5 of 500", `24:21: error: casting must be a whole number, got 4.5; hint: write 4 or 5`},
		{"casting: 94 %", "casting: from 0 of 0", `24:21: error: nothing was counted; hint: write how many were looked at, or take it away`},
		{"casting: 94 %", "casting: from 470 of 500 kg", `24:32: error: casting is a whole number, but kg is a mass; hint: write 500 pieces`},
		{"casting: 94 %", "casting: from 470 of 5000000", `24:28: error: casting is above the limit of 1000000; hint: check the number`},
		{"casting: 94 %", "casting: 94.0 % from 471 of 500", `24:16: error: 94.0 % is not 471 of 500; hint: write 94.2 % from 471 of 500, or leave the share away`},
		{"casting: 94 %", "casting: 0.94 from 470 of 500", `24:16: error: casting is a share and has no unit; hint: write 94 %`},
		{"{a: 83 %, refire: 8 %}", "{a: from 415 of 500, refire: from 90 of 500}", `25:48: error: more of ware.pan.yields.first-fire are counted than the 500 there were: 505; hint: count each piece once`},
		{"time: 6 min", "time: 6 min from 40 records", "50:55: error: one value for all says nothing of how records differ; hint: write lognormal(mean, sd), gamma(mean, sd), weibull(shape, scale), exponential(mean) or csv(...)"},
		{"time: 6 min", "time: from 40 records", "50:55: error: time says what it rests on, but not what it is; hint: write the law first, or csv(times.csv, column minutes, min) alone"},
		{"time: 6 min", "time: exponential(mean 6 min) from 40 shifts", `50:87: error: time counts records, not "shifts"; hint: write 40 records`},
		{"time: 6 min", `time: "exponential(mean 6 min) from csv(times.csv, column hours, min)"`, `50:89: error: times.csv: no column "hours" in the heading, which has ["piece" "minutes"]; hint: a table has a heading, commas and numbers such as 8.5`},
		{"time: 6 min", `time: "csv(times.csv, column minutes, min) from 4 records"`, "50:92: error: a table brings its own records; hint: take it away"},
		{"push: 75 min", "push: 75 min from 40 records", "56:18: error: push does not rest on anything counted; hint: take it away: shares that are counted and laws say what they rest on"},
		{"cycle: 36 h", "cycle: normal(mean 36 h, sd 2 h, from 30 h to 44 h)", "45:43: error: from is written as two amounts; hint: write one number and one unit, such as 6 min"},
	}
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	table, err := os.ReadFile("testdata/times.csv")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	write(t, ".", "times.csv", string(table))
	for _, tt := range tests {
		if !bytes.Contains(sample, []byte(tt.old)) {
			t.Errorf("the sample has no %q", tt.old)
			continue
		}
		write(t, ".", "s.yaml", strings.Replace(string(sample), tt.old, tt.new, 1))
		file, faults := scenario.Read("s.yaml")
		if file != nil || len(faults) == 0 {
			t.Errorf("%s is accepted", tt.new)
			continue
		}
		if got := faults[0].String(); got != "s.yaml:"+tt.want {
			t.Errorf("%s\ngot  %s\nwant s.yaml:%s", tt.new, got, tt.want)
		}
	}
}

// TestRedrawnIsKeyed holds that a draw depends on seed, number and path alone,
// and leaves everything else as it was.
func TestRedrawnIsKeyed(t *testing.T) {
	file := measured(t)
	before := string(file.Print())
	one, again, other, seed := draw(t, file, 1, 1), draw(t, file, 1, 1), draw(t, file, 1, 2), draw(t, file, 2, 1)
	if d := cmp.Diff(one.Values, again.Values); d != "" {
		t.Errorf("the same draw differs:\n%s", d)
	}
	for i, e := range file.Evidence() {
		if one.Values[i] == other.Values[i] || one.Values[i] == seed.Values[i] {
			t.Errorf("%s is %v in different draws", e.Path, one.Values[i])
		}
	}
	if string(file.Print()) != before {
		t.Error("drawing changed the works of the file")
	}
	if one.Plant.Works().Ware[0].Yields.FirstFire == file.Works.Ware[0].Yields.FirstFire {
		t.Error("the grades are as stated")
	}
	// Of all that does not rest on evidence nothing changes.
	drawn := one.Plant.Works()
	if d := cmp.Diff(file.Works.Hours, drawn.Hours); d != "" {
		t.Error(d)
	}
	if drawn.Kilns[0].Push != file.Works.Kilns[0].Push || drawn.Ware[0].Yields.Test != file.Works.Ware[0].Yields.Test {
		t.Error("a value that rests on nothing was drawn")
	}
	// Evidence taken away elsewhere changes no other draw.
	text, err := os.ReadFile("testdata/measured.yaml")
	if err != nil {
		t.Fatal(err)
	}
	table, _ := os.ReadFile("testdata/minutes.csv")
	dir := t.TempDir()
	write(t, dir, "minutes.csv", string(table))
	less := mustRead(t, write(t, dir, "less.yaml", strings.Replace(string(text), "casting: 94 % from 470 of 500", "casting: 94 %", 1)))
	if d := draw(t, less, 1, 1); d.Values[1] != one.Values[2] {
		t.Errorf("white is %v, and was %v with casting counted", d.Values[1], one.Values[2])
	}
}

func draw(t testing.TB, file *scenario.File, seed uint64, k int) scenario.Draw {
	t.Helper()
	d, err := file.Redrawn(seed, k)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestWholesStayWhole holds that grades keep to 100 %, that faults add up to
// it, and what a grade nobody counted gets.
func TestWholesStayWhole(t *testing.T) {
	file := measured(t)
	for k := range 200 / slower {
		y := draw(t, file, 9, 1+k).Plant.Works().Ware[0].Yields
		if sum := y.FirstFire.A + y.FirstFire.B + y.FirstFire.Refire; sum >= 1 || y.FirstFire.B <= 0 {
			t.Fatalf("draw %d: grades %+v", k, y.FirstFire)
		}
		// B was stated as 2 of the 9 points that are not counted; scrap has the others.
		scrap := 1 - y.FirstFire.A - y.FirstFire.B - y.FirstFire.Refire
		if got := y.FirstFire.B / (y.FirstFire.B + scrap); math.Abs(float64(got)-2.0/9) > 1e-9 {
			t.Fatalf("draw %d: B has %v of the rest, want 2/9", k, got)
		}
		var sum quantity.Share
		for _, name := range []string{"cracks", "pin-holes"} {
			sum += y.FiredFault[name]
		}
		if math.Abs(float64(sum)-1) > 1e-12 {
			t.Fatalf("draw %d: faults %v", k, y.FiredFault)
		}
	}
}

// TestRedrawnFollowsItsLaw holds mean and spread over many draws against those
// of Beta(x + 1/2, n - x + 1/2) and of the mean of records.
func TestRedrawnFollowsItsLaw(t *testing.T) {
	const draws = 400 / slower
	file := measured(t)
	sums, squares := map[string]float64{}, map[string]float64{}
	for k := range draws {
		d := draw(t, file, 3, 1+k)
		for i, e := range file.Evidence() {
			sums[e.Path] += d.Values[i]
			squares[e.Path] += d.Values[i] * d.Values[i]
		}
	}
	beta := func(x, n float64) (mean, sd float64) {
		a, b := x+0.5, n-x+0.5
		return a / (a + b), math.Sqrt(a*b/(a+b+1)) / (a + b)
	}
	white, whiteSD := beta(185, 200)
	refired, refiredSD := beta(31, 40)
	minute := 60_000.0
	for _, tt := range []struct {
		path     string
		mean, sd float64
	}{
		{"ware.pan.yields.white", white, whiteSD},
		{"ware.pan.yields.refire.a", refired, refiredSD},
		{"ware.pan.yields.first-fire.a", 415.5 / 501.5, math.Sqrt(0.8285 * 0.1715 / 502.5)}, // of A, refire and the rest
		{"finishing.punch", 3 * minute, 0.5 * minute / math.Sqrt(40-3)},                     // Student: variance s^2/n (n-1)/(n-3)
		{"finishing.finish", 9.29167 * minute, 1.08 * minute / math.Sqrt(6)},                // of the six in the table
		{"glazing.booths.booth.time", 6 * minute, 6 * minute / math.Sqrt(40*4)},
	} {
		mean := sums[tt.path] / draws
		sd := math.Sqrt(squares[tt.path]/draws - mean*mean)
		if math.Abs(mean-tt.mean) > 4*tt.sd/math.Sqrt(draws)+0.005*tt.mean || math.Abs(sd/tt.sd-1) > 0.05+4/math.Sqrt(2*draws) {
			t.Errorf("%s: %v +- %v, want %v +- %v", tt.path, mean, sd, tt.mean, tt.sd)
		}
	}
}

// TestRedrawnKeepsChanges holds that a draw is of the works as it stands, with
// what the command line changed of it.
func TestRedrawnKeepsChanges(t *testing.T) {
	file := measured(t)
	file.Works.Run.Length *= 2
	if d := draw(t, file, 1, 1); d.Plant.Weeks() != 52 {
		t.Errorf("the run is of %d weeks, want 52", d.Plant.Weeks())
	}
}

// TestRedrawnSaysWhyNot holds that a draw which cannot run is an error.
func TestRedrawnSaysWhyNot(t *testing.T) {
	file := measured(t)
	file.Works.Kilns = append([]plant.Kiln(nil), file.Works.Kilns...)
	file.Works.Kilns[0].Push = 0
	if d, err := file.Redrawn(1, 1); err == nil || !strings.Contains(err.Error(), "kilns.tunnel") {
		t.Errorf("drawn %+v, %v", d, err)
	}
}
