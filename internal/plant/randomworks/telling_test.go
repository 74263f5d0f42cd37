package randomworks_test

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/plant/randomworks"
	"potbank/internal/scenario"
)

// inMinutes is a time of whole minutes with what stands before it.
var inMinutes = regexp.MustCompile(`([^\d.])(\d+) min\b`)

// TestUnitOfTime: it does not matter in which unit a file writes its times.
func TestUnitOfTime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "works.yaml")
	draw(t, 12, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		told := 0
		text := inMinutes.ReplaceAllStringFunc(string(scenario.Print(w)), func(s string) string {
			n, err := strconv.Atoi(strings.TrimSuffix(s[1:], " min"))
			if err != nil {
				t.Fatal(err)
			}
			told++
			return s[:1] + strconv.Itoa(60*n) + " s"
		})
		if told == 0 {
			return // a works that takes no time to tell
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		f, faults := scenario.Read(path)
		if f == nil {
			fail(t, w, "in seconds it is refused: %v", faults)
		}
		sameWeeks(t, w, f.Works, asItIs)
	})
}

// TestSplitReport: two reports of parts of a run add up to that of the whole, and a
// run of fewer weeks is the beginning of a longer one.
func TestSplitReport(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		p, r := run(t, w, chance())
		n := len(r.Week)
		cut := 0
		if n > 1 {
			cut = rapid.IntRange(1, n-1).Draw(t, "cut")
		}
		for _, m := range p.Measures() {
			if strings.HasPrefix(m.Name, "lead_time.p") {
				continue // a quantile of the whole is none of its parts
			}
			whole, wholeDen := m.Of(r, 0, n)
			first, firstDen := m.Of(r, 0, cut)
			then, thenDen := m.Of(r, cut, n)
			if off(whole, first+then) || off(wholeDen, firstDen+thenDen) {
				fail(t, w, "%s: %v / %v in two parts, %v / %v in one", m.Name, first+then, firstDen+thenDen, whole, wholeDen)
			}
		}
		if cut == 0 {
			return
		}
		o := chance()
		o.Weeks = cut
		if short := simulate(t, p, o); !reflect.DeepEqual(short.Week, r.Week[:cut]) {
			fail(t, w, "a run of %d weeks is not the beginning of one of %d", cut, n)
		}
	})
}

// off tells whether two sums of whole numbers at one scale differ by more than the
// rounding of the scale.
func off(a, b float64) bool { return math.Abs(a-b) > 1e-9*max(1, math.Abs(a)) }
