package experiment

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// figureOf is a measure without an interval.
func figureOf(name string, value float64) Figure {
	return Figure{Name: name, Estimate: stats.Estimate{Value: value, Low: math.NaN(), High: math.NaN(), N: 1}}
}

// Source: Hopp and Spearman, Factory Physics, chapter 7, Penny Fab One, from
// memory: half a penny an hour, 8 h without waiting, so 4 pennies are critical.
// With 4 in the line the best case makes 0.5 an hour, the practical worst 4/14
// and the worst 1/8.
func TestLawsOfOutputAgainstStock(t *testing.T) {
	a := &Answer{
		Measures: []Figure{figureOf("lead.working", 8), figureOf("wip.total", 4), figureOf("packed.total", 60)},
		Hand:     []HandFigure{{Name: "packed.total", Value: 0.25 * hoursPerWeek}},
		Loads:    []plant.Department{{Name: "stamping", Load: 0.3}, {Name: "rim", Load: 0.5}}, // half loaded: the limit is twice the plan
	}
	c := curveOf(a)
	if c == nil {
		t.Fatal("no curve")
	}
	if math.Abs(c.Rate/hoursPerWeek-0.5) > 1e-12 || math.Abs(c.Critical-4) > 1e-12 {
		t.Errorf("rate %g an hour, critical stock %g; want 0.5 and 4", c.Rate/hoursPerWeek, c.Critical)
	}
	last := len(c.Of) - 1
	if c.Of[0] != 1 || math.Abs(c.Of[last]-5) > 1e-12 {
		t.Errorf("stocks from %g to %g, want 1 to 5", c.Of[0], c.Of[last])
	}
	for k, w := range c.Of {
		best, practical := min(w/8, 0.5), w/(w+3)*0.5
		for _, law := range []struct {
			name      string
			got, want float64
		}{{"best", c.Best[k], best}, {"practical worst", c.PracticalWorst[k], practical}, {"worst", c.Worst[k], 1.0 / 8}} {
			if math.Abs(law.got/hoursPerWeek-law.want) > 1e-9 {
				t.Errorf("%s case with %g pennies: %g an hour, want %g", law.name, w, law.got/hoursPerWeek, law.want)
			}
		}
	}
	for _, lacking := range []*Answer{{}, {Measures: a.Measures}, {Hand: a.Hand, Loads: a.Loads}} {
		if curveOf(lacking) != nil {
			t.Error("a curve of an answer that lacks what it needs")
		}
	}
}

// Hand calculation: 100 cast, 10 lost in finishing, 5 in the fire, 8 refired, 15
// seconds; no white inspection, no test.
func TestFlowFollowsThePiecesThroughTheStages(t *testing.T) {
	a := &Answer{Measures: []Figure{
		figureOf("cast.total", 100), figureOf("packed.total", 69), figureOf("seconds.pan", 15), figureOf("refires.total", 8),
		figureOf("lost.finishing.crack", 7), figureOf("lost.finishing.dry", 3), figureOf("lost.firing.crack", 5), figureOf("lost.white.none", math.NaN()),
	}}
	want := []FlowStage{
		{Name: "casting", In: 100}, {Name: "finishing", In: 100, Lost: 10}, {Name: "white inspection", In: 90}, {Name: "firing", In: 90},
		{Name: "sorting", In: 90, Lost: 5, Again: 8, Out: 15, What: "seconds"}, {Name: "packing", In: 70, Out: 69, What: "good"},
	}
	got := flowOf(a)
	if len(got) != len(want) {
		t.Fatalf("stages %+v, want %+v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("stage %+v, want %+v", got[i], want[i])
		}
	}
	if flowOf(&Answer{}) != nil {
		t.Error("a flow of nothing")
	}
}

// Hand calculation: a tunnel with 1 GJ/h of base burns 168 of its 400 GJ a week
// whatever the load; of 1,000 good pieces each bears 168 + 232 MJ. With half the
// output the base weighs twice as much.
func TestEnergyIsSplitIntoBaseAndLoad(t *testing.T) {
	w := &plant.Works{Kilns: []plant.Kiln{{Name: "tunnel", Base: 1_000_000}}}
	a := &Answer{Measures: []Figure{figureOf("packed.total", 1000), figureOf("fuel.week", 450), figureOf("fuel.tunnel", 400), figureOf("fuel.chamber", 50)}}
	uses, curve := energyOf(w, a)
	if len(uses) != 2 || math.Abs(uses[0].Base-168) > 1e-9 || math.Abs(uses[0].Load-232) > 1e-9 || uses[1] != (EnergyUse{"chamber", 0, 50}) {
		t.Errorf("uses %+v", uses)
	}
	if got := curve.PerGood[0]; curve.Output[0] != 500 || math.Abs(got-(2*168+232+50)) > 1e-9 {
		t.Errorf("%g MJ at %g pieces, want %d at 500", got, curve.Output[0], 2*168+232+50)
	}
	if uses, curve := energyOf(w, &Answer{}); uses != nil || curve != nil {
		t.Error("fuel of pieces that were not packed")
	}
}

// The pictures of the toy works agree with its figures: the bands hold the mean,
// the output adds up, the last point of each path is the interval of the answer.
func TestPicturesAgreeWithTheFigures(t *testing.T) {
	w := toy()
	w.hand = &plant.Hand{Values: []plant.HandValue{{Name: "packed.total", Value: 990}}}
	a := replicated(t, w, Settings{Replications: 12, Weeks: 30, WarmUp: 5, Seed: 2})
	for _, band := range a.Pictures.Weekly {
		if band.Runs != 12 || len(band.Mean) != 30 {
			t.Fatalf("%s: %d runs, %d weeks", band.Name, band.Runs, len(band.Mean))
		}
		for k, mean := range band.Mean {
			if band.Low[k] > mean+1e-9 || band.High[k] < mean-1e-9 {
				t.Errorf("%s, week %d: mean %g not in %g to %g", band.Name, k+1, mean, band.Low[k], band.High[k])
			}
		}
	}
	o, f := a.Pictures.Output, a.Measures[0]
	if n := len(o.Mid); n != 25 || math.Abs(o.Mid[n-1]/25-f.Value) > 3*f.HalfWidth() || o.Ahead[n-1] != o.Mid[n-1]-25*990 {
		t.Errorf("after %d weeks %g pieces, %g ahead; %s is %g", n, o.Mid[n-1], o.Ahead[n-1], f.Name, f.Value)
	}
	for _, p := range a.Pictures.Paths {
		last := len(p.Runs) - 1
		m, _ := a.Figure(p.Name)
		if p.Runs[0] != 2 || p.Runs[last] != 12 || math.Abs(p.Relative[last]-m.HalfWidth()/m.Value) > 1e-12 {
			t.Errorf("%s: path %v %v, the answer has %g", p.Name, p.Runs, p.Relative, m.HalfWidth()/m.Value)
		}
	}
	if typical := a.Pictures.Typical; typical <= 5 || typical > 30 {
		t.Errorf("typical week %d", typical)
	}
	one := replicated(t, toy(), Settings{Replications: 1, Weeks: 10, WarmUp: 2, Seed: 2})
	if one.Pictures.Paths != nil || one.Pictures.Weekly[0].Low != nil || one.Pictures.Output.Plan != nil {
		t.Errorf("one run has bands, a path or a plan: %+v", one.Pictures)
	}
}

// A histogram has every lead time in one class, and classes of round hours.
func TestHistogramCountsEveryPiece(t *testing.T) {
	var l plant.LeadTimes
	for k := range 1000 {
		l.Add(des.Time(k) * des.Hour / 2)
	}
	h := histogram(&l)
	sum := int64(0)
	for _, n := range h.Count {
		sum += n
	}
	if sum != 1000 || h.Width != 12 || h.From != 0 || h.Count[1] != 24 || h.End(0) != 12 {
		t.Errorf("%d in classes of %g h from %g: %v", sum, h.Width, h.From, h.Count)
	}
	if h := histogram(&plant.LeadTimes{}); h.Count != nil {
		t.Errorf("classes of nothing: %+v", h)
	}
}

// Each factor is judged by what is in the answer, and the lowest comes first.
func TestCredibility(t *testing.T) {
	sound := Answer{Replications: 10, Audit: []Law{{Law: "pieces", Checked: 5}}, Hand: []HandFigure{{Name: "packed.total"}}, Unmeasured: []Assumption{{Path: "x"}}}
	tests := []struct {
		name, factor string
		change       func(a *Answer)
		want         int
	}{
		{"laws held", "verification", func(*Answer) {}, 3},
		{"a law broken", "verification", func(a *Answer) { a.Audit = []Law{{Law: "pieces", Checked: 5, Broken: 1}} }, 0},
		{"no law checked", "verification", func(a *Answer) { a.Audit = nil }, 1},
		{"by hand only", "validation", func(*Answer) {}, 1},
		{"against nothing", "validation", func(a *Answer) { a.Hand = nil }, 0},
		{"defaults", "input pedigree", func(*Answer) {}, 1},
		{"defaults and counts", "input pedigree", func(a *Answer) { a.Doubt = &Doubt{} }, 2},
		{"counts", "input pedigree", func(a *Answer) { a.Doubt, a.Unmeasured = &Doubt{}, nil }, 3},
		{"intervals", "results uncertainty", func(*Answer) {}, 3},
		{"intervals and inputs", "results uncertainty", func(a *Answer) { a.Doubt = &Doubt{} }, 4},
		{"one run", "results uncertainty", func(a *Answer) { a.Replications = 1 }, 1},
		{"not precise", "results uncertainty", func(a *Answer) { a.Precision.Wanted = 0.01 }, 2},
		{"one long run", "results uncertainty", func(a *Answer) { a.Replications, a.LongRun = 1, &LongRun{Stretches: 20} }, 3},
		{"not asked", "results robustness", func(*Answer) {}, 0},
		{"drawn works", "results robustness", func(a *Answer) { a.Doubt = &Doubt{} }, 2},
		{"nobody knows", "use history", func(*Answer) {}, 0},
	}
	for _, test := range tests {
		a := sound
		test.change(&a)
		sheet := a.Credibility()
		if len(sheet) != 8 {
			t.Fatalf("%d factors, want the eight of the standard", len(sheet))
		}
		for i, c := range sheet {
			if i > 0 && c.Level < sheet[i-1].Level {
				t.Errorf("%s: %s stands below a higher factor", test.name, c.Factor)
			}
			if c.Factor == test.factor && c.Level != test.want {
				t.Errorf("%s: %s at level %d, want %d", test.name, c.Factor, c.Level, test.want)
			}
			if c.Why == "" && c.Level < 3 {
				t.Errorf("%s: it is not said why %s is at level %d", test.name, c.Factor, c.Level)
			}
		}
	}
}
