package randomworks_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"potbank/internal/plant"
	"potbank/internal/plant/randomworks"
	"potbank/internal/scenario"
)

// TestLaws runs random works and checks every law that holds for all of them.
func TestLaws(t *testing.T) {
	draw(t, 200, 10_000, func(t *rapid.T) { checkLaws(t, randomworks.Works().Draw(t, "works")) })
}

// checkLaws runs a works while a witness looks on, and checks its laws.
func checkLaws(t reporter, w *plant.Works) {
	p := accept(t, w)
	o := chance()
	seen := newWitness(w)
	o.Observer = seen.observe
	r := simulate(t, p, o)
	if seen.broken != "" {
		fail(t, w, "%s", seen.broken)
	}
	for _, law := range r.Audit {
		if law.Broken > 0 {
			fail(t, w, "%s: %d of %d broken, first %s", law.Name, law.Broken, law.Checked, law.First)
		}
	}
	measuresHold(t, p, r)
	explained(t, p, r)
	seen.agrees(t, p, r)
}

// measuresHold checks that no measure is impossible and that what must add up
// adds up, over the whole run.
func measuresHold(t reporter, p *plant.Plant, r *plant.Result) {
	value := map[string]float64{}
	for _, m := range p.Measures() {
		num, den := over(m, r)
		if math.IsNaN(num) || math.IsInf(num, 0) || den < 0 {
			fail(t, p.Works(), "%s is %v / %v", m.Name, num, den)
		}
		if den == 0 {
			continue
		}
		value[m.Name] = num / den
		mayFall := m.Name == "contribution" || m.Name == "slip.fresh" || strings.HasPrefix(m.Name, "cost.")
		if num < 0 && !mayFall {
			fail(t, p.Works(), "%s is %v, below nought", m.Name, num/den)
		}
		if m.Unit == "%" && num/den > 100.000001 && !strings.HasPrefix(m.Name, "yield.") {
			fail(t, p.Works(), "%s is %v %%", m.Name, num/den)
		}
	}
	for _, res := range p.Resources() {
		sum := 0.0
		for _, s := range res.States {
			sum += value["state."+res.Name+"."+s]
		}
		// A crew may have no heads in any of its hours; then there is no time to share.
		if res.Parts > 0 && math.Abs(sum-100) > 1e-6 {
			fail(t, p.Works(), "the states of %s %s add up to %v %%", res.Kind, res.Name, sum)
		}
	}
	if lead, ok := value["lead_time.mean"]; ok {
		sum := 0.0
		for _, part := range plant.PartNames() {
			sum += value["lead."+part]
		}
		if math.Abs(sum-lead) > 1e-9*lead {
			fail(t, p.Works(), "lead time of %v h is told in parts of %v h", lead, sum)
		}
	}
}

// explained checks that a works in which nothing moves says so: a run that
// ends without a piece packed must leave a note.
func explained(t reporter, p *plant.Plant, r *plant.Result) {
	var packed float64
	for _, m := range p.Measures() {
		if m.Name == "packed.total" || strings.HasPrefix(m.Name, "seconds.") {
			num, _ := over(m, r)
			packed += num
		}
	}
	if packed == 0 && len(r.Notes) == 0 {
		fail(t, p.Works(), "nothing was packed in %d weeks and no note says why", p.Weeks())
	}
}

// TestPrintedWorksReadsBack: the scenario file printed for a works describes
// that works, value for value.
func TestPrintedWorksReadsBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "works.yaml")
	draw(t, 12, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		text := scenario.Print(w)
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		f, faults := scenario.Read(path)
		if f == nil {
			fail(t, w, "the printed works is refused: %v", faults)
		}
		if diff := cmp.Diff(string(text), string(scenario.Print(f.Works))); diff != "" {
			fail(t, w, "reading back changes it:\n%s", diff)
		}
		q, r := run(t, f.Works, chance())
		_, again := run(t, w, chance())
		if diff := cmp.Diff(again.Week, r.Week); diff != "" {
			fail(t, q.Works(), "the works read back runs otherwise:\n%s", diff)
		}
	})
}
