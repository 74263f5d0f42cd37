package plant_test

import (
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// plantA is one run of Plant A, or of a variant of it, with randomness off.
type plantA struct {
	t        *testing.T
	p        *plant.Plant
	r        *plant.Result
	w        *watcher
	from, to int // weeks measured
}

// variant is a change to Plant A and the weeks over which it is measured.
type variant struct {
	change   func(*plant.Works)
	from, to int
}

// variants are the changes that the hand calculation works out. Plant A's pan moulds cast 80
// times, so wear comes round every 16 weeks; 4 weeks fill the refire loop.
var variants = map[string]variant{
	"":                {func(*plant.Works) {}, 4, plantAWeeks},
	"8 places":        {func(w *plant.Works) { w.Finishing.Places = 8 }, 1, 3},
	"9 places":        {func(w *plant.Works) { w.Finishing.Places = 9 }, 1, 3},
	"push 21 min":     {func(w *plant.Works) { w.Kilns[0].Push = 21 * des.Minute }, 4, 8},
	"21 min all week": {func(w *plant.Works) { w.Kilns[0].Push = 21 * des.Minute; w.Kilns[0].SlowPush = nil }, 1, 3},
	"46 cars": {func(w *plant.Works) {
		k := &w.Kilns[0]
		k.Inside, k.Push, k.Fastest = 46, 1_095_600, 990*des.Second
		k.SlowPush = map[string]des.Time{"weekend": 30 * des.Minute}
	}, 1, 3},
	"7 chambers": {func(w *plant.Works) { w.Dryers[0].Count = 7 }, 2, 8},
	"4 robots":   {func(w *plant.Works) { w.Glazing.Booths[0].Count = 4 }, 3, 9},
	"15 benches": {func(w *plant.Works) { w.Benches[0].Count = 15 }, 4, 8},
	"22 degC, 65 %": {func(w *plant.Works) {
		w.Shop.Temperature, w.Shop.Humidity = 22, 0.65
	}, 1, 3},
	"nothing cast": {func(w *plant.Works) {
		for i := range w.Ware {
			w.Ware[i].Plan = 0.001 // not one piece in the weeks of a run
		}
	}, 1, 3},
}

// ran keeps the runs of variants, since several tests look at the same.
var ran = map[string]*plantA{}

// plantAVariant runs a variant, or returns the run there was.
func plantAVariant(t *testing.T, name string) *plantA {
	t.Helper()
	v, ok := variants[name]
	if !ok {
		t.Fatalf("there is no variant %q of Plant A", name)
	}
	if a := ran[name]; a != nil {
		a.t = t
		return a
	}
	w := readWorks(t, "../../scenarios/plant-a.yaml")
	v.change(w)
	a := &plantA{t: t, p: build(t, w), w: newWatcher(w, v.from, v.to), from: v.from, to: v.to}
	o := fixed(v.to)
	o.Observer = a.w.watch
	a.r = simulate(t, a.p, o)
	ran[name] = a
	return a
}

// measure is a measure over the weeks measured.
func (a *plantA) measure(name string) float64 {
	return figure(a.t, a.p, a.r, name, a.from, a.to)
}

// worked is the hours a week that a crew worked.
func (a *plantA) worked(crew string) float64 {
	for _, res := range a.p.Resources() {
		if res.Name == crew {
			return a.measure("state."+crew+".working") / 100 * float64(res.Parts) * 168
		}
	}
	a.t.Fatalf("there is no crew %s", crew)
	return 0
}
