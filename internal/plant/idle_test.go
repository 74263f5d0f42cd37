package plant_test

import (
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// What idle hands wait for, to the minute.

// crewWeek is the time of a crew by state in one week, in head-minutes. States
// that are not named must be 0, but for off shift.
func crewWeek(t *testing.T, w *plant.Works, crew string, want map[string]float64) {
	t.Helper()
	p := build(t, w)
	r := simulate(t, p, fixed(1))
	for _, res := range p.Resources() {
		if res.Name != crew {
			continue
		}
		for _, s := range res.States[1:] {
			got := figure(t, p, r, "state."+crew+"."+s, 0, 1) / 100 * float64(res.Parts) * 10080
			exactly(t, crew+" "+s+", head-minutes", got, want[s])
		}
		return
	}
	t.Fatalf("there is no crew %s", crew)
}

// still is the works without benches: what is there at the start is all.
func still(t *testing.T) *plant.Works {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = nil
	return w
}

// roster gives a crew heads in hours of its own, and its rule for work in hand.
func roster(w *plant.Works, crew string, heads int, hours, rule string) {
	w.Hours = append(w.Hours, plant.Hours{Name: crew + "-hours", Weeks: []string{hours}})
	for k := range w.Crews {
		if c := &w.Crews[k]; c.Name == crew {
			c.Roster, c.InHand = map[string]int{crew + "-hours": heads}, rule
		}
	}
}

// TestIdleTillTheNextShift: two inspectors have 5 minutes a day; of 6 pieces of 2
// minutes 4 fit into the first day, and the last minute is too short for both.
// Next day the other two are done, and nothing is left.
func TestIdleTillTheNextShift(t *testing.T) {
	w := still(t)
	roster(w, "inspectors", 2, "daily 00:00-00:05", "fits")
	w.Opening.Dried = map[string]int{"pan": 6}
	crewWeek(t, w, "inspectors", map[string]float64{"working": 12, "waiting": 2, "no work": 70 - 14})
}

// TestAfterHours: one inspector takes up the third piece at minute 4 of 5 and
// finishes it.
func TestAfterHours(t *testing.T) {
	w := still(t)
	roster(w, "inspectors", 1, "daily 00:00-00:05", "finish")
	w.Opening.Dried = map[string]int{"pan": 3}
	crewWeek(t, w, "inspectors", map[string]float64{"working": 5, "after hours": 1, "no work": 30})
}

// TestBlockedByPunchingPlaces: three pieces, 4 finishers, one place to punch. Up
// to minute 5 two of them find it taken, up to minute 10 one. Three are punched in
// 5 minutes each and fettled in 10.
func TestBlockedByPunchingPlaces(t *testing.T) {
	w := still(t)
	w.Finishing.Places = 1
	wareOf(w, "pan").Window = &plant.Window{Until: 100 * des.Hour}
	w.Opening.Leather = map[string]int{"pan": 3}
	crewWeek(t, w, "finishers", map[string]float64{"working": 45, "blocked": 15, "no work": 40320 - 60})
}

// TestBlockedByBooths: two heads, one booth, 3 pieces of 5 minutes: the other head
// is blocked while one of them is left.
func TestBlockedByBooths(t *testing.T) {
	w := still(t)
	w.Glazing.Booths[0].Count = 1
	w.Opening.White = map[string]int{"pan": 3}
	crewWeek(t, w, "sprayers", map[string]float64{"working": 15, "blocked": 10, "no work": 20160 - 25})
}

// TestWaitsForItsWindow: a bench of two is opened at 3:22 and 3:24, and the window
// of each piece opens an hour later. One hand waits from 3:22, two from 3:24 to
// 4:22, one to 4:24; then each is punched and fettled in 15 minutes.
func TestWaitsForItsWindow(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	w.Benches[0].Moulds, w.Benches[0].DryBack = 2, des.Week
	wareOf(w, "pan").Window = &plant.Window{After: des.Hour, Until: 100 * des.Hour}
	crewWeek(t, w, "finishers", map[string]float64{"working": 30, "waiting": 2 + 2*58 + 2, "no work": 40320 - 150})
}

// TestEagerHandsDoNotWait: the same, but who has nothing else to do punches early.
func TestEagerHandsDoNotWait(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	w.Benches[0].Moulds, w.Benches[0].DryBack = 2, des.Week
	wareOf(w, "pan").Window = &plant.Window{After: des.Hour, Until: 100 * des.Hour, Eager: true}
	crewWeek(t, w, "finishers", map[string]float64{"working": 30, "no work": 40320 - 30})
}

// TestWaitsForTheWall: two casters, one bench that takes one of them: 60 minutes of
// touches a day, and all the time between them the wall builds, the ware sets or
// the moulds dry. The other has no work.
func TestWaitsForTheWall(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	crewWeek(t, w, "casters", map[string]float64{"working": 7 * 60, "waiting": 7 * 1380, "no work": 10080})
}

// TestLaidDownForAPause: the same in hours with a pause from 3:30 to 4:00, into
// which the first opening of the moulds falls: it is laid down after 10 of its 20
// minutes and taken up at 4:00. Later ones begin after the pause.
func TestLaidDownForAPause(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	roster(w, "casters", 2, "daily 00:00-03:30 04:00-24:00", "pause")
	crewWeek(t, w, "casters", map[string]float64{"working": 7 * 60, "waiting": 7 * 1350, "no work": 7 * 1410})
}

// TestNoPlanNoWork: TestWaitsForTheWall with a plan of ten pieces a day, which one round of the
// bench meets: moulds that dry back then keep nobody.
func TestNoPlanNoWork(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	wareOf(w, "pan").Plan = quantityPerDay(10)
	crewWeek(t, w, "casters", map[string]float64{"working": 7 * 60, "waiting": 7 * 160, "no work": 7*1220 + 10080})
}

// TestBlockedByTheFloor: the floor holds the ten of one bench. One trolley takes two
// of them at 3:34, when they are finished, and is free again after 20 h in the dryer
// and 2 minutes of inspection less those that the second piece is in hand: it is
// unloaded as that is taken up. So the floor is empty at 3:34 + 4 x 20 h, and the
// second fill begins that late.
func TestBlockedByTheFloor(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	wareOf(w, "pan").Window = nil
	w.Finishing.Punch = nil
	w.Shop.Floor, w.Shop.Trolleys = 10, 1
	second := 214.0 + 4*1200
	third := second + 1440
	crewWeek(t, w, "casters", map[string]float64{
		"working": 120, "waiting": 2 * 1380, "blocked": second - 1440 + 10080 - third, "no work": 10080,
	})
}

// TestTwoCastersForATouch: a touch takes two casters, and up to 06:00 one is there.
// He is blocked for want of the other, on the first day all the time, later from
// 05:50 on, when the moulds are dry. Then there are three, and the third has no
// work. A round begins at 06:00: 50 minutes of touches
// of both, 160 in which the cast stands, and the moulds dry from 09:30 on.
func TestTwoCastersForATouch(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	w.Benches[0].Casters = 2
	w.Hours = append(w.Hours, plant.Hours{Name: "late", Weeks: []string{"daily 06:00-24:00"}})
	w.Crews[0].Roster = map[string]int{"day": 1, "late": 2}
	crewWeek(t, w, "casters", map[string]float64{
		"working": 7 * 2 * 50, "waiting": 7*2*(160+870) + 6*350, "blocked": 360 + 6*10, "no work": 7 * 1080,
	})
}

// TestPlacersByTheMinute: a tunnel of 3 cars pushes every hour; a car takes two of
// five pieces, and one may be loaded ahead. A car is loaded up to 0:10; the next
// load is blocked up to the push at 1:00, and loaded by 1:10. The fifth piece then
// waits for a mate, but for the 20 minutes in which the two cars are drawn.
func TestPlacersByTheMinute(t *testing.T) {
	w := still(t)
	w.Crews = append(w.Crews, plant.Crew{Name: "placers", Roster: map[string]int{"always": 1}, Effective: 1, InHand: "finish"})
	w.Kilns = []plant.Kiln{{
		Name: "tunnel", Kind: "tunnel", Fires: "both", Inside: 3, Push: des.Hour, Short: "empty", Load: plant.PerWare[int]{"": 2},
		Mix: "any", Placers: "placers", Place: 5 * des.Minute, Draw: 5 * des.Minute, Ahead: 1, PartCar: 1,
	}}
	w.Opening.Glazed = map[string]int{"pan": 5}
	crewWeek(t, w, "placers", map[string]float64{"working": 40, "blocked": 50, "waiting": 10080 - 90})
}

// TestWaitsForMates: a pan that is sold with a cistern keeps one of two packers
// waiting.
func TestWaitsForMates(t *testing.T) {
	w := still(t)
	w.Packing.Suites = []plant.Suite{{Name: "suite", Pieces: map[string]int{"pan": 1, "cistern": 1}}}
	w.Opening.Tested = map[string]int{"pan": 1}
	crewWeek(t, w, "packers", map[string]float64{"waiting": 10080, "no work": 10080})
}

// TestHoursAddUp: absence counts within rostered hours only, and the law
// of hours holds where shifts meet, hands lay work down and machines fail.
func TestHoursAddUp(t *testing.T) {
	for _, rule := range []string{"finish", "pause", "fits", "half"} {
		w := readWorks(t, "testdata/works.yaml")
		w.Hours = append(w.Hours, plant.Hours{Name: "early", Weeks: []string{"daily 06:00-14:00"}}, plant.Hours{Name: "late", Weeks: []string{"daily 13:57-22:01"}})
		for k := range w.Crews {
			c := &w.Crews[k]
			c.Absence, c.InHand, c.Roster = 0.3, rule, map[string]int{"early": 2, "late": 1}
		}
		r := simulate(t, build(t, w), plant.Options{Source: random.New(3, 0), Weeks: 6})
		held := false
		for _, l := range r.Audit {
			held = held || strings.HasPrefix(l.Name, "hours: ") && l.Checked == 8
		}
		if !held {
			t.Errorf("%s: the hours of 8 crews were not looked at", rule)
		}
	}
}
