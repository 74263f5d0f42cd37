package randomworks_test

import (
	"flag"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// nightly asks for the long run: fresh seeds and many more works.
var nightly = os.Getenv("POTBANK_NIGHTLY") != ""

// draw checks a property of so many random works, or of many more in the
// nightly run. The ordinary run draws the same works every time.
func draw(t *testing.T, works, atNight int, property func(*rapid.T)) {
	t.Helper()
	seed := uint64(1)
	switch {
	case nightly:
		works, seed = atNight, 0
	case testing.Short():
		works = max(1, works/10)
	}
	for name, value := range map[string]string{
		"rapid.checks": strconv.Itoa(works), "rapid.seed": strconv.FormatUint(seed, 10), "rapid.nofailfile": "true",
	} {
		if given(name) {
			continue
		}
		if err := flag.Set(name, value); err != nil {
			t.Fatal(err)
		}
	}
	rapid.Check(t, property)
}

// given tells whether a flag was set on the command line.
func given(name string) bool {
	for _, arg := range os.Args[1:] {
		if strings.HasPrefix(strings.TrimLeft(arg, "-"), name+"=") {
			return true
		}
	}
	return false
}

// reporter is what rapid.T and testing.T share.
type reporter interface {
	Helper()
	Fatalf(format string, args ...any)
}

// fail ends a test, showing the works as the scenario file that describes it.
func fail(t reporter, w *plant.Works, format string, args ...any) {
	t.Helper()
	t.Fatalf("%s\nthe works:\n%s", fmt.Sprintf(format, args...), scenario.Print(w))
}

// accept makes a plant of a works that must be possible.
func accept(t reporter, w *plant.Works) *plant.Plant {
	t.Helper()
	p, faults := plant.New(w)
	if p == nil {
		fail(t, w, "the works is refused: %v", faults)
	}
	return p
}

// tooLong is far more than any small works takes; the slowest take a second.
const tooLong = 30 * time.Second

// simulate runs a plant and fails on an error, or if the run hangs.
func simulate(t reporter, p *plant.Plant, o plant.Options) *plant.Result {
	t.Helper()
	type end struct {
		result *plant.Result
		err    error
	}
	ended := make(chan end, 1)
	go func() {
		r, err := p.Simulate(o)
		ended <- end{r, err}
	}()
	select {
	case e := <-ended:
		if e.err != nil {
			fail(t, p.Works(), "the run failed: %v", e.err)
		}
		return e.result
	case <-time.After(tooLong):
		fail(t, p.Works(), "the run does not end")
	}
	return nil
}

// run draws a run of a works with a seed of its own.
func run(t reporter, w *plant.Works, o plant.Options) (*plant.Plant, *plant.Result) {
	t.Helper()
	p := accept(t, w)
	return p, simulate(t, p, o)
}

// chance is the options of an ordinary run.
func chance() plant.Options { return plant.Options{Source: random.New(7, 1)} }

// over is a measure over a whole run: numerator and denominator.
func over(m *plant.Measure, r *plant.Result) (num, den float64) { return m.Of(r, 0, len(r.Week)) }

// total is the numerator of a measure over a whole run, by its name.
func total(t reporter, p *plant.Plant, r *plant.Result, name string) float64 {
	t.Helper()
	for _, m := range p.Measures() {
		if m.Name == name {
			num, _ := over(m, r)
			return num
		}
	}
	t.Fatalf("no measure %s", name)
	return 0
}

// end is the length of a run.
func end(p *plant.Plant) des.Time { return des.Time(p.Weeks()) * des.Week }
