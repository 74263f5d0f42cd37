package plant_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"hash/fnv"
	"runtime"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/plant"
	"potbank/internal/random"
)

// bytesOf is everything a run leaves behind, as bytes: counters by week, lead
// times, orders, audit, notes and the count of events.
func bytesOf(t *testing.T, r *plant.Result) []byte {
	t.Helper()
	leads := make([][]float64, len(r.Leads))
	for k, l := range r.Leads {
		leads[k] = []float64{float64(l.N())}
		for _, q := range []float64{0.01, 0.25, 0.5, 0.75, 0.99} {
			ms, _ := l.Quantile(q)
			leads[k] = append(leads[k], ms)
		}
	}
	text, err := json.Marshal(struct {
		Week   [][]int64
		Leads  [][]float64
		Orders []plant.OrderResult
		Audit  []plant.Law
		Notes  []string
		Events uint64
	}{r.Week, leads, r.Orders, r.Audit, r.Notes, r.Events})
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// sameWorks are the works compared: hand shops, tunnel and shuttle kilns,
// pressure casting, breakdowns and correlated luck.
func sameWorks(t *testing.T) map[string]*plant.Plant {
	t.Helper()
	all := map[string]*plant.Plant{}
	for _, name := range []string{"plant-a", "small-works", "pressure-works"} {
		all[name] = build(t, readWorks(t, "../../scenarios/"+name+".yaml"))
	}
	return all
}

func options(seed uint64, replication uint32) plant.Options {
	return plant.Options{Source: random.New(seed, replication), Weeks: sameWeeks}
}

// One seed gives one answer: run again, on a new layout of the same works, on
// one processor or two.
func TestSameSeedSameBytes(t *testing.T) {
	for name, p := range sameWorks(t) {
		first := bytesOf(t, simulate(t, p, options(11, 3)))
		if !bytes.Equal(first, bytesOf(t, simulate(t, p, options(11, 3)))) {
			t.Errorf("%s: the same seed gave another answer", name)
		}
		anew := build(t, readWorks(t, "../../scenarios/"+name+".yaml"))
		for _, processors := range []int{1, 2} {
			before := runtime.GOMAXPROCS(processors)
			again := simulate(t, anew, options(11, 3))
			runtime.GOMAXPROCS(before)
			if !bytes.Equal(first, bytesOf(t, again)) {
				t.Errorf("%s: another answer on %d processors", name, processors)
			}
		}
	}
}

// Replications that run side by side on one plant do not touch one another.
func TestSideBySide(t *testing.T) {
	p := build(t, readWorks(t, "../../scenarios/small-works.yaml"))
	want := make([][]byte, 4)
	for k := range want {
		want[k] = bytesOf(t, simulate(t, p, options(2, uint32(k))))
	}
	got := make([]*plant.Result, len(want))
	done := make(chan error)
	for k := range got {
		go func() {
			r, err := p.Simulate(options(2, uint32(k)))
			got[k] = r
			done <- err
		}()
	}
	for range got {
		if err := <-done; err != nil {
			t.Fatal(err)
		}
	}
	for k := range got {
		if !bytes.Equal(want[k], bytesOf(t, got[k])) {
			t.Errorf("replication %d gave another answer beside others", k)
		}
	}
}

// Observing changes nothing, and what is observed is the same each time.
func TestObserverChangesNothing(t *testing.T) {
	for name, p := range sameWorks(t) {
		want := bytesOf(t, simulate(t, p, options(5, 1)))
		var sums [2]uint64
		for k := range sums {
			h := fnv.New64a()
			o := options(5, 1)
			var buf []byte
			o.Observer = func(x plant.Observation) {
				buf = binary.LittleEndian.AppendUint64(buf[:0], uint64(x.At))
				buf = binary.LittleEndian.AppendUint64(buf, x.Piece)
				for _, text := range []string{x.Ware, x.Event, x.Section, x.Where, x.Detail} {
					buf = append(append(buf, text...), 0)
				}
				for _, spent := range x.Spent {
					buf = binary.LittleEndian.AppendUint64(buf, uint64(spent))
				}
				h.Write(buf)
			}
			if !bytes.Equal(want, bytesOf(t, simulate(t, p, o))) {
				t.Errorf("%s: the answer of an observed run differs", name)
			}
			sums[k] = h.Sum64()
		}
		if sums[0] != sums[1] {
			t.Errorf("%s: two runs of one seed were observed differently", name)
		}
	}
}

// Other seeds and other replications differ.
func TestOtherSeedsDiffer(t *testing.T) {
	p := build(t, readWorks(t, "../../scenarios/small-works.yaml"))
	seen := map[string]string{}
	for _, o := range []struct {
		name        string
		seed        uint64
		replication uint32
	}{{"seed 1", 1, 0}, {"seed 2", 2, 0}, {"seed 3", 3, 0}, {"seed 1, replication 1", 1, 1}, {"seed 1, replication 2", 1, 2}} {
		text := string(bytesOf(t, simulate(t, p, options(o.seed, o.replication))))
		if first := seen[text]; first != "" {
			t.Errorf("%s and %s give the same answer", first, o.name)
		}
		seen[text] = o.name
	}
}

// With randomness off the seed does not matter.
func TestFixedKnowsNoSeed(t *testing.T) {
	p := build(t, readWorks(t, "../../scenarios/plant-a.yaml"))
	a, b := options(1, 0), options(99, 7)
	a.Fixed, b.Fixed = true, true
	if diff := cmp.Diff(simulate(t, p, a).Week, simulate(t, p, b).Week); diff != "" {
		t.Errorf("two seeds differ although nothing is random:\n%s", diff)
	}
}

// The order of entries in a file changes nothing: all lists of a works turned
// round give the same measures.
func TestOrderOfEntries(t *testing.T) {
	straight := readWorks(t, "../../scenarios/plant-a.yaml")
	turned := readWorks(t, "../../scenarios/plant-a.yaml")
	slices.Reverse(turned.Crews)
	slices.Reverse(turned.Hours)
	slices.Reverse(turned.Benches)
	slices.Reverse(turned.Presses)
	p, q := build(t, straight), build(t, turned)
	a, b := simulate(t, p, options(4, 0)), simulate(t, q, options(4, 0))
	for _, m := range p.Measures() {
		num, den := m.Of(a, 0, sameWeeks)
		if got, want := figure(t, q, b, m.Name, 0, sameWeeks), num/den; den != 0 && got != want {
			t.Errorf("%s is %v, and %v with the lists turned round", m.Name, want, got)
		}
	}
}
