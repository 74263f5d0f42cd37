package plant_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// orderOfPans is what is seen of the 10,000 pans ordered of Plant A.
type orderOfPans struct {
	from   des.Time
	cast   []uint64 // serials of pans filled from the start of the order, in order
	packed map[uint64]bool
	fired  map[uint64]bool
	fills  map[uint64]des.Time
}

func (k *orderOfPans) watch(o plant.Observation) {
	if o.Ware != "pan" || o.At < k.from {
		return
	}
	switch {
	case o.Event == "filled":
		k.cast = append(k.cast, o.Piece)
		k.fills[o.Piece] = o.At
	case o.Event == "packed" && k.fills[o.Piece] > 0:
		k.packed[o.Piece] = true
	case o.Event == "into the kiln" && o.Where == "tunnel" && k.fills[o.Piece] > 0:
		k.fired[o.Piece] = true
	}
}

// casts is how many casts, in their order, gave so many good pans, and how many
// of them went into the kiln.
func (k *orderOfPans) casts(good int) (casts, fired int) {
	for _, piece := range k.cast {
		casts++
		if k.fired[piece] {
			fired++
		}
		if k.packed[piece] {
			if good--; good == 0 {
				return casts, fired
			}
		}
	}
	return math.MaxInt, 0
}

// TestPlantAOrder: 10,000 pans ordered on a Monday morning of a works that has
// long been running.
//
// source: Plant A hand calculation, line "10,000 pans": 10,000 / .7783 = 12,849
// casts; at 616.7 a day the last are cast at 06:00 of the 21st day, 20.0 d
// elapsed; and 4.2 to 4.5 d of lead time: 24.2 to 24.5 working days; 12,849 / 80
// = 161 moulds; 12,849 x .95 x .92 x .99 / 16 = 695 cars.
func TestPlantAOrder(t *testing.T) {
	w := readWorks(t, "../../scenarios/plant-a-10000-pans.yaml")
	w.Orders[0].Start = "2027-02-01 06:00" // four weeks are enough to run in
	w.Orders[0].Priority = 3               // that of ware for stock: the hand calculation knows no precedence
	p := build(t, w)
	const from = 4 * des.Week
	k := &orderOfPans{from: from, packed: map[uint64]bool{}, fired: map[uint64]bool{}, fills: map[uint64]des.Time{}}
	o := fixed(11)
	o.Observer = k.watch
	r := simulate(t, p, o)
	order := r.Orders[0]
	if order.Good < order.Want || order.Want != 10000 {
		t.Fatalf("the order ended with %d of %d", order.Good, order.Want)
	}
	if order.WorkDays < 24.2 || order.WorkDays > 24.5 {
		t.Errorf("done after %.2f working days, by hand 24.2 to 24.5", order.WorkDays)
	}
	if want := workingTime(order.Done) - workingTime(from); math.Abs(order.WorkDays-hours(want)/24) > 1e-9 {
		t.Errorf("done at %v, which is %.3f working days after the start, but told as %.3f", order.Done, hours(want)/24, order.WorkDays)
	}
	w.Orders[0].Priority = 2
	if hurried := simulate(t, build(t, w), fixed(11)).Orders[0]; hurried.WorkDays >= order.WorkDays || hurried.WorkDays < 23.8 {
		t.Errorf("with precedence over stock done after %.2f working days, without after %.2f", hurried.WorkDays, order.WorkDays)
	}
	casts, fired := k.casts(10000)
	day := int64((k.fills[k.cast[casts-1]] - k.from) / des.Day)
	for _, c := range []struct {
		what      string
		got, hand float64
	}{
		{"casts", float64(casts), 12849},
		{"moulds worn", float64(casts) / 80, 161}, // none casts beyond its life, which the audit checks
		{"kiln cars", float64(fired) / 16, 695},
		{"calendar days to the last cast", float64(day), 28}, // the 21st working day, a Monday
	} {
		if math.Abs(c.got-c.hand) > 0.02*c.hand {
			t.Errorf("%s: %.1f by the model, %.0f by hand", c.what, c.got, c.hand)
		}
	}
}

// TestPlantABenchDown: one bench of 16 without casters for a week.
//
// source: Plant A hand calculation, line "one bench down for a week": 15 x 40 x
// .97 = 582 casts a day against 616.7; packed pans fall by about 34.7 x 5 x
// .7783 = 135. The plan is cumulative, so that what moulds allow beyond it, 620.8
// - 616.7 a day, makes it up afterwards: 20.5 a week.
func TestPlantABenchDown(t *testing.T) {
	const down, weeks = 6, 10
	run := func(closed string) (*plant.Plant, *plant.Result) {
		w := readWorks(t, "../../scenarios/plant-a.yaml")
		w.Hours = append(w.Hours, plant.Hours{Name: "one-bench", Weeks: []string{"Mon-Fri 06:00-14:00"}})
		if closed != "" {
			w.Hours[len(w.Hours)-1].Closed = []string{closed}
		}
		w.Crews = append(w.Crews, plant.Crew{Name: "casters-one", Roster: map[string]int{"one-bench": 2}, InHand: "half", Effective: 1})
		one := w.Benches[0]
		one.Name, one.Count, one.Crew = "one-bench", 1, "casters-one"
		w.Benches[0].Count = 15
		w.Benches = append(w.Benches, one)
		p := build(t, w)
		return p, simulate(t, p, fixed(weeks))
	}
	p, normal := run("")
	q, hit := run("2027-W07") // weeks 6 of the run: 15 to 21 February
	fall := func(name string, from, to int) float64 {
		return float64(to-from) * (figure(t, p, normal, name, from, to) - figure(t, q, hit, name, from, to))
	}
	if got := fall("cast.pan", down, down+1); math.Abs(got-173.5) > 0.02*173.5 {
		t.Errorf("casts of the week fall by %.0f, by hand 173.5", got)
	}
	// Nothing made up until then: the week's own loss, when it has come through.
	made := fall("cast.pan", down, down+3)
	if got := fall("packed.pan", down, down+3); got < 0.7783*made-12 || got > 135+12 {
		t.Errorf("pans packed fall by %.0f in three weeks, by hand by 135 less what is made up (casts short by %.0f)", got, made)
	}
	// 4.1 casts a day are made up.
	if got, want := fall("cast.pan", down+1, weeks), -4.1*5*3; math.Abs(got-want) > 6 {
		t.Errorf("casts of the next three weeks fall by %.0f, by hand by %.1f", got, want)
	}
}

// TestPlantAWindowInCoolShop: at 22 degC and 65 % relative humidity ware dries
// at .544 points an hour, and a pan's window closes 11.94 h after demoulding.
// One pan is punched by a hand who comes just in time, another a few minutes
// later.
//
// source: Plant A hand calculation, line "sensitivity of the window": 6.5 points
// / .544 = 11.94 h. The pressure of saturated vapour is 2645 Pa at 22 degC and
// 4247 Pa at 30 degC; 2645 x .35 / (4247 x .40) = .545.
func TestPlantAWindowInCoolShop(t *testing.T) {
	for _, tt := range []struct {
		begins string
		late   float64 // %
	}{{"19:50", 0}, {"19:53", 100}} {
		w := readWorks(t, "testdata/one-pan.yaml")
		w.Shop.Temperature, w.Shop.Humidity = 22, 0.65
		setHours(w, "finish", "Mon "+tt.begins+"-20:30")
		p := build(t, w)
		// Demoulded at 07:58, closed at 07:58 + 11.93 h = 19:54; a punching takes 2
		// minutes and is late when it ends late.
		r := simulate(t, p, fixed(1))
		if got := figure(t, p, r, "window.late", 0, 1); got != tt.late {
			t.Errorf("finisher comes at %s: %.0f %% late, want %.0f", tt.begins, got, tt.late)
		}
	}
}

// TestPlantAInfeasiblePush: empty weekends would need a push of 18.1 min, which
// the curve does not allow.
//
// source: Plant A hand calculation, line "test case, infeasible": 120 h / 398.1
// = 18.1 min; the limit is .9 x 21 = 18.9 min.
func TestPlantAInfeasiblePush(t *testing.T) {
	w := readWorks(t, "../../scenarios/plant-a.yaml")
	w.Kilns[0].Push = 18*des.Minute + 5*des.Second // 18.1 min
	p, faults := plant.New(w)
	if p != nil {
		t.Fatal("a push of 18.1 min was accepted")
	}
	if !slices.ContainsFunc(faults, func(f plant.Fault) bool {
		return !f.Warning && f.Path == "kilns.tunnel.push" && strings.Contains(f.What, "faster than the fastest")
	}) {
		t.Errorf("the faults do not name the push: %v", faults)
	}
}

// TestPlantAInvariants are laws of the hand calculation that no audit covers.
//
// source: Plant A hand calculation, lines "invariants".
func TestPlantAInvariants(t *testing.T) {
	for name := range variants {
		if name != "" && !everyVariant {
			continue
		}
		a := plantAVariant(t, name)
		if a.w.leastCoat < 4*des.Hour {
			t.Errorf("%q: a piece was ready for the kiln %v after the booth, before 4 h", name, a.w.leastCoat)
		}
		if a.w.punching.outside > 0 {
			t.Errorf("%q: %d pans were punched before their window opened", name, a.w.punching.outside)
		}
		for _, m := range a.p.Measures() {
			if !strings.HasPrefix(m.Name, "load.") && !strings.HasPrefix(m.Name, "state.") {
				continue
			}
			if v := a.measure(m.Name); v < 0 || v > 100+1e-9 {
				t.Errorf("%q: %s is %.4f %%", name, m.Name, v)
			}
		}
	}
}
