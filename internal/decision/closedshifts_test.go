package decision_test

import (
	"fmt"
	"math"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// TestCrewsToCover holds the crews that a kiln takes round the clock.
func TestCrewsToCover(t *testing.T) {
	for _, c := range []struct{ contract, absence, crews float64 }{
		// source: 168 h over contract hours and presence, computed by hand
		{40, 0, 4.20}, {40, 0.12, 4.77}, {39, 0.12, 4.90}, {38, 0.12, 5.02}, {36, 0.12, 5.30},
	} {
		near(t, fmt.Sprintf("crews at %g h, %g absent", c.contract, c.absence), decision.CrewsToCover(168, c.contract, c.absence), c.crews, 0.005)
	}
	// One contract hour less, from 39 to 38, costs a whole crew.
	if a, b := math.Ceil(decision.CrewsToCover(168, 39, 0.12)), math.Ceil(decision.CrewsToCover(168, 38, 0.12)); a != 5 || b != 6 {
		t.Errorf("%g and %g crews, want 5 and 6", a, b)
	}
}

// hours is so many hours, to the millisecond.
func hours(h float64) des.Time { return des.Time(math.Round(h * float64(des.Hour))) }

// staircaseCycle is the round of the staircase that is known by hand.
//
// source: computed by hand: .4 fill, 1.5 build, .3 drain, 2.5 set, .7 open, 3.5 dry-back, in hours
var staircaseCycle = experiment.Cycle{Fill: hours(0.4), Build: hours(1.5), Drain: hours(0.3), Set: hours(2.5), Open: hours(0.7), DryBack: hours(3.5)}

// staircaseRows are casts a day from so many hours of cover.
var staircaseRows = []struct{ from, casts, below float64 }{
	// source: computed by hand. From 5.4 h all is done in a shift; from 11.1 h a
	// second fill is drained in every other; from 14.3 h it is opened too; 20.0 h
	// give five in two days, and 24 h one every 8.9 h.
	{5.4, 1.0, 0.5}, {11.1, 1.5, 1.0}, {14.3, 2.0, 1.5}, {20.0, 2.5, 2.0}, {24, 24 / 8.9, 2.69},
}

func TestStaircase(t *testing.T) {
	c := staircaseCycle
	for _, row := range staircaseRows {
		near(t, fmt.Sprintf("casts a day from %g h", row.from), c.CastsPerDay(hours(row.from)), row.casts, 1e-9)
		if got := c.CastsPerDay(hours(row.from) - des.Minute); got > row.below+1e-9 {
			t.Errorf("a minute below %g h there are %g casts a day, want %g at most", row.from, got, row.below)
		}
	}
	// Without an hour nothing is poured, and up to 5.4 h no more than every other day.
	if got := c.CastsPerDay(0); got != 0 {
		t.Errorf("without cover there are %g casts a day", got)
	}
	steps := c.Staircase()
	for k, s := range steps {
		if k > 0 && (s.Casts <= steps[k-1].Casts || s.Hours <= steps[k-1].Hours) {
			t.Errorf("the staircase falls from %+v to %+v", steps[k-1], s)
		}
		if s.Hours < hours(5.4) && s.Casts > 0.5 {
			t.Errorf("%v of cover give %g casts a day", s.Hours, s.Casts)
		}
	}
	if c.Span() != hours(8.9) || c.InHand() != hours(5.4) {
		t.Errorf("the round takes %v, in hand %v", c.Span(), c.InHand())
	}
	if wide := experiment.WideSteps(steps); len(wide) < 5 || len(wide) > 8 || wide[len(wide)-1] != steps[len(steps)-1] {
		t.Errorf("the wide steps are %+v", wide)
	}
}

// TestStaircaseIsThatOfTheWorks holds the closed form against the simulated
// bench, whose process knows nothing of it.
func TestStaircaseIsThatOfTheWorks(t *testing.T) {
	for _, cover := range []float64{5.3, 5.4, 9, 11.1, 14.3, 19.9, 20} {
		w := oneBench(t, fmt.Sprintf("daily 00:00-%s", clockTime(hours(cover))))
		p, faults := plant.New(w)
		if p == nil {
			t.Fatal(faults)
		}
		r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Fixed: true})
		if err != nil {
			t.Fatal(err)
		}
		casts := 0.0
		for _, m := range p.Measures() {
			if m.Name == "cast.pan" {
				num, den := m.Of(r, 1, 5)
				casts = num / den / 7
			}
		}
		near(t, fmt.Sprintf("casts a day of the simulated bench with %g h of cover", cover), casts, staircaseCycle.CastsPerDay(hours(cover)), 1.0/28)
		fills := staircaseCycle.Fills(p.CrewHours("casters"), 5*des.Week)
		near(t, fmt.Sprintf("fills listed for %g h", cover), float64(len(fills))/35, staircaseCycle.CastsPerDay(hours(cover)), 1.5/35)
	}
}

// clockTime writes a time of day.
func clockTime(t des.Time) string { return fmt.Sprintf("%02d:%02d", t/des.Hour, t%des.Hour/des.Minute) }

// oneBench is the small works with a single mould in the round of the staircase,
// whose caster is there in some hours.
func oneBench(t *testing.T, weeks string) *plant.Works {
	t.Helper()
	f, faults := scenario.Read("../../scenarios/small-works.yaml")
	if f == nil {
		t.Fatal(scenario.Faults(faults))
	}
	w := f.Works
	w.Start, w.Zone, w.Closures, w.Orders, w.Run.Length = "2027-01-04 00:00", "UTC", plant.Closures{}, nil, 5*des.Week
	for i := range w.Hours {
		if w.Hours[i].Name == "casting" {
			w.Hours[i].Weeks = []string{weeks}
		}
	}
	for i := range w.Crews {
		w.Crews[i].InHand = "fits" // a touch ends on shift
	}
	b := w.Benches[0]
	b.Count, b.Moulds, b.Casters, b.Idle, b.Wall = 1, 1, 1, quantity.Share(0), 0
	c := staircaseCycle
	b.Fill, b.Build, b.Drain, b.Set, b.Open, b.Clean, b.DryBack = c.Fill, c.Build, c.Drain, c.Set, c.Open, c.Clean, c.DryBack
	b.DryThru = c.DryBack
	w.Benches = []plant.Bench{b}
	return w
}

// TestStandingOfPlantA holds where the pans' benches stand: 8 hours of cover,
// of which 6 h in hand and 90 min of cleaning are needed for one cast a day.
func TestStandingOfPlantA(t *testing.T) {
	p := plantAToday(t)
	for _, s := range experiment.Standings(p) {
		if s.Bench != "pan-benches" {
			continue
		}
		// source: hand calculation of Plant A: 06:00 fill 25 min, build to 08:05, drain
		// to 08:25, set to 09:50, demould to 12:00, clean to 13:30.
		near(t, "hours of cover", float64(s.Hours)/float64(des.Hour), 8, 0)
		near(t, "casts a day", s.Casts, 1, 0)
		near(t, "hours needed", float64(s.Need)/float64(des.Hour), 7.5, 0)
		if s.Next.Hours <= s.Hours || s.Next.Casts <= 1 {
			t.Errorf("the next step is %+v", s.Next)
		}
		return
	}
	t.Error("the pans' benches do not stand anywhere")
}

// plantAToday is Plant A as it comes with the program.
func plantAToday(t *testing.T) *plant.Plant {
	t.Helper()
	f, faults := scenario.Read("../../scenarios/plant-a.yaml")
	if f == nil {
		t.Fatal(scenario.Faults(faults))
	}
	p, more := f.Plant()
	if p == nil {
		t.Fatal(scenario.Faults(more))
	}
	return p
}

// plantAPunching is the pans of Plant A on one day: out of their moulds from
// 09:50 to 12:00, their window open from 3.0 to 6.5 h after that.
//
// source: hand calculation of Plant A, punching window
var plantAPunching = decision.Punching{
	Pieces: 616.7, First: hours(9 + 50./60), Last: hours(12), Opens: hours(3), Closes: hours(6.5), Each: 5 * des.Minute,
}

// TestPunchingWindow holds how many people the window takes, and how many
// pieces come too late with fewer.
func TestPunchingWindow(t *testing.T) {
	p := plantAPunching
	near(t, "work in the window, h", p.Hours(), 51.4, 0.05)
	near(t, "span of the windows, h", float64(p.Span())/float64(des.Hour), 5.67, 0.005)
	near(t, "people at once", p.People(), 9.1, 0.05)
	near(t, "late with 8, as a fluid", p.Fluid(8), 110, 1)
	p.Pieces = 617
	for _, c := range []struct {
		people, end, begin int
		last               string
	}{
		// source: hand calculation of Plant A, piece by piece
		{8, 121, 105, "19:20"}, {9, 14, 5, "18:36"}, {10, 0, 0, "18:01"},
	} {
		got := p.OneByOne(c.people)
		if got.EndLate != c.end || got.BeginLate != c.begin {
			t.Errorf("%d people: %d end and %d begin late, want %d and %d", c.people, got.EndLate, got.BeginLate, c.end, c.begin)
		}
		if last := clockTime(got.Last + des.Minute/2); last != c.last {
			t.Errorf("%d people punch the last at %s, want %s", c.people, last, c.last)
		}
	}
}

// TestLastSafePour holds the rule of the last pour: with a window that opens 8 h
// after it and half an hour of queue, a shift to 22:00 can take what is poured
// until 13:30.
func TestLastSafePour(t *testing.T) {
	for _, c := range []struct{ end, opens, queue, last float64 }{
		// source: shift end less time to the opening and queue, computed by hand
		{22, 8, 0.5, 13.5}, {22, 6.83, 0.67, 14.5}, {14, 6.5, 0, 7.5},
	} {
		near(t, "last safe pour, h", float64(decision.LastSafePour(hours(c.end), hours(c.opens), hours(c.queue)))/float64(des.Hour), c.last, 1e-6)
	}
	// It is the last one indeed: poured then, a piece is begun just at the end.
	last := decision.LastSafePour(hours(22), hours(6.83), hours(0.67))
	if begun := last + hours(6.83) + hours(0.67); begun != hours(22) {
		t.Errorf("poured at the last safe instant it is begun at %v", begun)
	}
}
