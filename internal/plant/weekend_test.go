package plant_test

import (
	"math"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A tunnel that is pushed every 20 minutes with 1,000 car loads before it, and
// glazers who go home on Friday at 22:00 and bring nothing: each push takes a
// load, so what stands there at any instant is known.
func TestWeekendStore(t *testing.T) {
	w := readWorks(t, "../proof/works/tunnel.yaml")
	w.Opening.Glazed = map[string]int{"pan": 24000}
	w.Hours = append(w.Hours, plant.Hours{Name: "glazers", Weeks: []string{"Mon-Fri 06:00-22:00"}})
	w.Glazing = &plant.Glazing{Dry: 4 * des.Hour, Booths: []plant.Booth{{
		Name: "robots", Kind: "robot", Count: 1, Hours: "glazers", Effective: 1, Time: plant.PerWare[random.Law]{"": constant(t, des.Minute)}, Patience: des.Hour,
	}}}
	p := build(t, w)
	r := simulate(t, p, fixed(3))
	for week, pushes := range []float64{118 * 3, (118 + 168) * 3} {
		k := "kiln.tunnel."
		exactly(t, "loads on Friday at 22:00", figure(t, p, r, k+"weekend.held", week, week+1), 1000-pushes)
		exactly(t, "pieces on Friday at 22:00", figure(t, p, r, k+"weekend.pieces", week, week+1), 24*(1000-pushes))
		// One more at the push before it.
		exactly(t, "least since the Friday before", figure(t, p, r, k+"weekend.least", week, week+1), 1001-pushes)
		// Inside, and the one that goes in as another comes out.
		exactly(t, "cars in use", figure(t, p, r, k+"cars", week, week+1), 61)
	}
	// From Friday 22:00 to Monday 06:00 and 4 h of drying: 60 h, 3 pushes an hour.
	exactly(t, "slots of a weekend", p.WeekendSlots("tunnel"), 180)
	if rest := p.Rests()[0]; rest != (plant.Rest{From: 118 * des.Hour, Until: 174 * des.Hour, Fresh: 178 * des.Hour}) {
		t.Errorf("the first rest is %v", rest)
	}
}

// The store of Plant A over the weekend is what an observer of every piece sees
// on Friday at 22:00.
func TestPlantAWeekendStore(t *testing.T) {
	a := plantAVariant(t, "")
	s := a.stockAt(friday22)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"pieces", a.measure("kiln.tunnel.weekend.pieces"), s.pieces + s.coating},
		// Coats are of all wares: at 16.4 pieces a car.
		{"loads", a.measure("kiln.tunnel.weekend.held"), s.cars + s.coating/16.4},
	} {
		// The kiln looks at its first push of the rest; a job in hand at 22:00 is
		// finished by then.
		if math.Abs(c.got-c.want) > 0.02*c.want {
			t.Errorf("%s on Friday at 22:00 are %.1f, an observer sees %.1f", c.what, c.got, c.want)
		}
	}
	// source: hand calculation of Plant A, cars to feed the kiln from Friday 22:00
	// to Monday 11:00, less the last hour, in which new ware is being placed.
	for name, c := range map[string]struct{ want, push float64 }{"push 21 min": {117.1, 21}, "": {114.5, 22.6}} {
		a := plantAVariant(t, name)
		if got := a.p.WeekendSlots("tunnel") + 60/c.push; math.Abs(got-c.want) > 0.15 {
			t.Errorf("%s: the weekend takes %.1f cars, by hand %.1f", name, got, c.want)
		}
	}
	if cars := a.measure("kiln.tunnel.cars"); cars < 48 || cars > 64 {
		t.Errorf("%.1f cars are in use at most, by hand 64 with 6 in repair", cars)
	}
}
