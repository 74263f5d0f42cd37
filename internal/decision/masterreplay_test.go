package decision

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// toyHistory is five bad pieces cast on days 0 to 4 in one mould of case 7, that
// pass white inspection a day later and are packed on day 10, but for the last,
// which stands between white inspection and the kiln to the end; and two good
// pieces. The first leaves the store on day 12.
func toyHistory(faults int) *history {
	day := des.Day
	q := &MasterPlan{
		Fault: plant.MasterFault{Ware: "pan", Node: "case", Born: 0, React: day, Trace: "case", Store: 2 * day, Returns: 1},
		Gates: []WatchGate{{MasterGate: plant.MasterGate{Name: "white", At: "white", Fraction: .5, Finds: .8, Alarm: plant.AlarmRule{By: "case", Faults: faults}}, InUse: true}},
		Money: MasterMoney{Tool: 1000, Case: 100, Mould: 10, Sort: 1, Return: 200, Margin: map[string]float64{"pan": 3}},
		Weeks: 8, Seed: 1,
	}
	w := &plant.Ware{Name: "pan"}
	f := worksFacts{ware: w, casting: true, stages: [5]float64{10, 14, 17, 20, 25}, reclaim: 1, disposal: 2}
	rec := &plant.MasterResult{FirstCast: 0, Alarm: 40 * day, Stop: 41 * day, CasesBroken: 1}
	for k := range 7 {
		p := plant.Passage{Key: uint64(k + 1), Filled: des.Time(k) * day, Gone: 10 * day, Packed: true, Bad: k < 5, Shows: k < 5, Case: 7, Mould: 3, Bench: 1}
		p.Passed[placeWhiteForTest] = p.Filled + day
		if k == 4 {
			p.Packed, p.Inside, p.Gone = false, true, 8*des.Week
		}
		if k >= 5 {
			p.Case, p.Mould = 8, 4
		}
		rec.Passages = append(rec.Passages, p)
	}
	return newHistory(q, f, base{yield: .8}, 1, rec)
}

const placeWhiteForTest = 2

// TestEscape: the chance of passing a gate, against the binomial and against
// replays.
//
// source: arithmetic: of five pieces that a gate sees with 0.4 each, fewer than
// two are found with .6^5 + 5 x .4 x .6^4 = .33696; none with .07776. Replays
// agree within three standard errors.
func TestEscape(t *testing.T) {
	for _, c := range []struct {
		faults int
		want   float64
	}{{1, .07776}, {2, .33696}} {
		h := toyHistory(c.faults)
		w := h.q.used()
		if got := h.escape(w); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%d faults: escape %.6f, by hand %.6f", c.faults, got, c.want)
		}
		const n = 4000
		through := 0.0
		for k := range n {
			if p := h.play(w, k); p.stop > 12*des.Day {
				through++
			}
		}
		se := math.Sqrt(c.want * (1 - c.want) / n)
		if math.Abs(through/n-c.want) > 3*se {
			t.Errorf("%d faults: %.4f of the replays escape, by hand %.4f ± %.4f", c.faults, through/n, c.want, se)
		}
	}
}

// TestRareEscape: an escape far too rare to be met in the replays is told all the
// same.
//
// source: arithmetic: (1 - .999)^5 for a gate that inspects all and finds 99.9 %.
func TestRareEscape(t *testing.T) {
	h := toyHistory(1)
	h.q.Gates[0].Fraction, h.q.Gates[0].Finds = 1, .999
	if got := h.escape(h.q.used()); math.Abs(got-1e-15) > 1e-20 {
		t.Errorf("escape %g, by hand 1e-15", got)
	}
}

// TestEvaluate: what a stop costs by where the pieces stand.
//
// source: worked by hand. At day 2.5 three pieces are cast, the third not yet seen
// finished: 2 x (17 - 1) + 1 x (10 - 1), one mould, one case, the tool, 3
// suspects, and 3 x .8 good pieces at 3. At day 11, before the first leaves the
// store, four packed at 25 + 2 and one at 17 - 1. At day 20 the four are out
// and come back; the pieces shipped are not burnt: 5 x .8 - 4 = 0.
func TestEvaluate(t *testing.T) {
	h := toyHistory(1)
	luck := h.q.Seed
	for _, c := range []struct {
		days      float64
		destroyed float64
		suspects  float64
		burnt     float64
		field     float64
	}{
		{2.5, 2*16 + 9, 3, 3 * .8 * 3, 0},
		{11, 4*27 + 16, 5, 5 * .8 * 3, 0},
		{20, 16, 1, 0, 4 * 200},
	} {
		p := h.evaluate(h.q.used(), des.Time(c.days*float64(des.Day)), nil, redrawn(luck, 1, 0))
		tools := 1000. + 100
		if c.days < 8 {
			tools += 10 // later the mould is worn out: it was last cast on day 4
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{
			{"destroyed", p.cost.Destroyed, c.destroyed}, {"tools", p.cost.Tools, tools}, {"suspects", p.cost.Search, c.suspects},
			{"burnt", p.cost.Burnt, c.burnt}, {"field", p.cost.Field, c.field},
		} {
			if math.Abs(x.got-x.want) > 1e-9 {
				t.Errorf("stop on day %g: %s %g, by hand %g", c.days, x.what, x.got, x.want)
			}
		}
	}
}

// TestMoreInspectedMoreFound: a larger fraction inspects the same pieces and more,
// so it never stops later.
func TestMoreInspectedMoreFound(t *testing.T) {
	h := toyHistory(2)
	for k := range 200 {
		var last des.Time = des.Never
		for _, f := range []float64{.05, .2, .5, 1} {
			w := h.q.used()
			w.gates[0].Fraction = f
			if p := h.play(w, k); p.stop > last {
				t.Fatalf("redraw %d: inspecting %g stops at %v, less at %v", k, f, p.stop, last)
			} else {
				last = p.stop
			}
		}
	}
}

// TestTail: source: arithmetic on the numbers 1 to 20 and 1 to 30.
func TestTail(t *testing.T) {
	var xs []float64
	for k := range 30 {
		xs = append(xs, float64(k+1))
	}
	if got := tail(xs[:20], .05); got != 20 {
		t.Errorf("worst 5 %% of 20: %g", got)
	}
	// 1.5 values: the 30 whole and half of the 29.
	if got, want := tail(xs, .05), (30+.5*29)/1.5; math.Abs(got-want) > 1e-12 {
		t.Errorf("worst 5 %% of 30: %g, by hand %g", got, want)
	}
	if e := less([]float64{1, 2, 3}, []float64{5, 7, 6}); e.Value != -4 {
		t.Errorf("1, 2, 3 less 5, 7, 6: %g, by hand -4", e.Value)
	}
}

// TestPoisson: source: tables of the Poisson law, mean 2: at least 1 .8647, at
// least 3 .3233, at least 6 .0166.
func TestPoisson(t *testing.T) {
	for _, c := range []struct {
		k    int
		want float64
	}{{0, 1}, {1, .8647}, {3, .3233}, {6, .0166}} {
		if got := poissonAtLeast(2, c.k); math.Abs(got-c.want) > .00005 {
			t.Errorf("at least %d: %.5f, table %.4f", c.k, got, c.want)
		}
	}
}
