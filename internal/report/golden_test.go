package report

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares got with a file in testdata; a mismatch leaves name.got
// beside it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(want, got) {
		os.Remove(path + ".got")
		return
	}
	if err := os.WriteFile(path+".got", got, 0o644); err != nil {
		t.Error(err)
	}
	t.Errorf("%s differs from what was printed; see %s.got, or run with -update", path, path)
}

// about is an estimate from ten replications.
func about(value, half float64) stats.Estimate {
	return stats.Estimate{Value: value, Low: value - half, High: value + half, SD: half * math.Sqrt(10) / 2.262, N: 10, Level: 0.95}
}

// alone is an estimate without an interval.
func alone(value float64) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: value, Low: nan, High: nan, SD: nan, N: 1, Level: 0.95}
}

// sample is an answer with something in every part. Its figures are invented.
func sample() *experiment.Answer {
	a := &experiment.Answer{
		Scenario:   experiment.Scenario{Name: "Sample works", Hash: "3f2a9c0d", Path: "sample.yaml"},
		Unmeasured: []experiment.Assumption{{Path: "ware.pan.yields.glaze", Value: "99 %"}, {Path: "casting-shop.humidity", Value: "60 %"}},
		Seed:       7, Replications: 10, Asked: 60, Weeks: 52, Events: 123456,
		WarmUp:    experiment.WarmUp{Weeks: 8, Method: "MSER on week averages of wip.total over 10 replications", Found: true, Series: []experiment.Series{{Name: "wip.total", Unit: "pieces", Weeks: []float64{0, 1500.5, 3000}}}},
		Precision: experiment.Precision{Wanted: 0.01, Reached: true, Driver: "energy.per_good", At: 0.0083},
		OneWeek:   stats.Estimate{Value: 6012, Low: 5610, High: 6391, Level: 0.95, N: 440},
		HandSays:  "By hand the tunnel kiln has the highest load, 95 %.",
		Binding:   experiment.Binding{Resource: "tunnel", Load: 97.4, Next: "casters", Sentence: "Tunnel limits the works: it is busy 97.4 % of the time it is attended, more than any other. Next is casters with 88.1 %."},
		Resources: []plant.Resource{
			{Name: "casters", Kind: "crew", Parts: 4, States: []string{"busy", "starved", "blocked", "off_shift"}},
			{Name: "finishers", Kind: "crew", Parts: 4, States: []string{"busy", "starved", "blocked", "off_shift"}},
			{Name: "tunnel", Kind: "kiln", Parts: 1, States: []string{"full", "part", "empty", "held", "down"}},
		},
		Warnings: []string{"Order spring was not finished within the 52 weeks in 1 of 10 replications, and this line is long enough to be wrapped."},
		Audit:    []experiment.Law{{Law: "pieces: cast = packed + lost + in the works", Checked: 520}, {Law: "time: states of every resource add up to the run", Checked: 130, Broken: 2, First: "tunnel 3 ms short"}, {Law: "kiln cars: each is in one place"}},
		Loads:    []plant.Department{{Name: "tunnel", Capacity: 7200, Need: 6840, Unit: "pieces/wk", Load: 0.95, How: "20 pieces a car x 360 pushes a week, less the ware of refires"}},
		Hand: []experiment.HandFigure{
			{Name: "packed.total", Unit: "pieces/wk", Value: 6630, How: "least capacity x yields", Explained: "Simulated is 9 % lower: the estimate by hand takes every department to work whenever it is open and no piece to wait."},
			{Name: "wip.total", Unit: "pieces", Value: 11800, How: "rate x time"},
			{Name: "load.tunnel", Unit: "%", Value: 95, How: "cars needed of cars pushed"},
		},
	}
	add := func(name, unit string, e stats.Estimate) {
		a.Measures = append(a.Measures, experiment.Figure{Name: name, Unit: unit, Estimate: e, Headline: strings.HasSuffix(name, "total")})
	}
	add("packed.total", "pieces/wk", about(6012.4, 31.2))
	add("packed.pan", "pieces/wk", about(3511.9, 22.8))
	add("packed.wash-basin", "pieces/wk", about(2500.5, 18.1))
	add("cast.total", "pieces/wk", about(8104, 12))
	add("cast.pan", "pieces/wk", about(4900, 9))
	add("cast.wash-basin", "pieces/wk", about(3204, 6))
	add("yield.pan", "%", about(71.67, 0.34))
	add("wip.total", "pieces", about(12034, 210))
	add("wip.dryer", "pieces", about(2400.25, 3.1))
	add("wip_working.total", "pieces", about(12410, 190))
	add("wip_working.dryer", "pieces", about(2511, 4))
	add("lead_time.mean", "h", about(251.46, 2.31))
	add("lead_time.p50", "h", about(240, 2.2))
	add("lead_time.p95", "h", about(401.2, 6.8))
	add("lead_time.working_days", "d", about(7.42, 0.07))
	add("lead.working", "h", about(92.34, 0.2))
	add("lead.crew", "h", about(60.33, 1.4))
	add("lead.off_shift", "h", about(98.79, 1.1))
	add("lost.casting.crack", "pieces/wk", about(402, 4))
	add("lost.casting.bend", "pieces/wk", about(31.4, 0.9))
	add("lost.fired.pinholes", "pieces/wk", about(120, 3.1))
	add("window.late", "%", about(4.12, 0.2))
	add("window.late.pan", "%", about(5.9, 0.3))
	add("window.too_dry", "%", about(0.031, 0.012))
	add("lost.casting.never", "pieces/wk", about(0, 0))
	add("kiln.tunnel.firings", "1/wk", about(382, 2))
	add("kiln.tunnel.full", "%", about(91.2, 0.4))
	add("kiln.tunnel.part", "%", about(3.1, 0.2))
	add("kiln.tunnel.empty", "%", about(5.7, 0.3))
	add("energy.per_good", "MJ/piece", about(148.31, 1.02))
	add("co2.per_good", "kg/piece", about(8.32, 0.06))
	add("fuel.week", "GJ/wk", about(891.6, 3.3))
	add("fuel.tunnel", "GJ/wk", about(891.6, 3.3))
	add("cost.wages", "EUR/wk", about(67400, 420))
	add("cost.gas", "EUR/wk", about(11120, 75))
	add("cost.per_good", "EUR/piece", about(13.06, 0.1))
	add("contribution", "EUR/wk", about(101200, 900))
	a.CostLines = []experiment.Figure{
		{Name: "cost.wages", Unit: "EUR/piece", Estimate: about(11.21, 0.09)},
		{Name: "cost.gas", Unit: "EUR/piece", Estimate: about(1.85, 0.013)},
		{Name: "cost.reclaim", Unit: "EUR/piece", Estimate: about(0, 0)},
	}
	add("refires.total", "pieces/wk", about(611, 7))
	add("firings.per_good", "firings/piece", about(1.31, 0.004))
	add("moulds.worn.pan", "moulds/wk", about(61.2, 0.4))
	for _, s := range []struct {
		name  string
		share float64
	}{
		{"casters.busy", 29.36}, {"casters.starved", 3.33}, {"casters.blocked", 0.66}, {"casters.off_shift", 66.65},
		{"finishers.busy", 20.05}, {"finishers.starved", 13.25}, {"finishers.blocked", 0.05}, {"finishers.off_shift", 66.65},
		{"tunnel.full", 90.04}, {"tunnel.part", 3.06}, {"tunnel.empty", 5.63}, {"tunnel.held", 0}, {"tunnel.down", 1.27},
	} {
		add("state."+s.name, "%", about(s.share, 0.1))
	}
	add("load.casters", "%", about(88.1, 0.3))
	add("load.finishers", "%", about(60.1, 0.3))
	add("load.tunnel", "%", about(97.4, 0.2))
	add("refire.good", "%", alone(math.NaN()))
	add("moulds.borrowed", "moulds/wk", alone(3.25))
	for i := range a.Measures {
		if strings.HasPrefix(a.Measures[i].Name, "load.") {
			a.Measures[i].Formula = "crew: worked / attended; tunnel: cars with ware / pushes"
		}
	}
	a.Orders = []experiment.Order{{
		Name: "spring", Ware: "pan", Want: 10000, Good: 10000, Finished: 9, Of: 10, WorkDays: 41.26,
		Due:    time.Date(2027, 3, 31, 0, 0, 0, 0, time.UTC),
		InTime: stats.Estimate{Value: 0.8, Low: 0.49, High: 0.943, N: 10, Level: 0.95},
		Dates: []experiment.OrderDate{
			{P: 0.5, At: civil(3, 24), Low: civil(3, 19), High: civil(3, 30), HasInterval: true},
			{P: 0.8, At: civil(3, 30), Note: "No range for the 80 % point: need >= 14 values at 95 % confidence, there are 10."},
			{P: 0.95, At: experiment.When{Beyond: true}, Note: "No range for the 95 % point: need >= 59 values at 95 % confidence, there are 10."},
		},
	}}
	a.Doubt = sampleDoubt()
	return a
}

func civil(month time.Month, day int) experiment.When {
	return experiment.When{Civil: time.Date(2027, month, day, 14, 30, 0, 0, time.UTC)}
}

func terminal(t *testing.T, d Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Terminal(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The golden holds every part: an answer with intervals, orders, losses, a
// broken law and a measure that no part claims.
func TestAnswerOnTheTerminal(t *testing.T) {
	golden(t, "answer.txt", terminal(t, AnswerDocument(sample())))
}

func TestNoLineIsTooWide(t *testing.T) {
	for i, line := range strings.Split(string(terminal(t, AnswerDocument(sample()))), "\n") {
		if n := utf8.RuneCountInString(line); n > Width {
			t.Errorf("line %d is %d wide: %s", i+1, n, line)
		}
	}
}
