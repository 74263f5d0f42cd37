package plant_test

import (
	"math"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// Known effects: what everybody in the trade knows must happen when one thing is
// changed. Each is shown on a small works by a case that can be worked out by
// hand.

// ware is the description of a ware in a works.
func wareOf(w *plant.Works, name string) *plant.Ware {
	for i := range w.Ware {
		if w.Ware[i].Name == name {
			return &w.Ware[i]
		}
	}
	panic("no ware " + name)
}

// total is a weekly measure over the whole of some weeks.
func total(t *testing.T, p *plant.Plant, r *plant.Result, name string, weeks int) float64 {
	t.Helper()
	return float64(weeks) * figure(t, p, r, name, 0, weeks)
}

// lostAt sums all losses whose name begins so over some weeks.
func lostAt(p *plant.Plant, r *plant.Result, prefix string, weeks int) float64 {
	sum := 0.0
	for _, m := range p.Measures() {
		if strings.HasPrefix(m.Name, "lost."+prefix) {
			num, _ := m.Of(r, 0, weeks)
			sum += num
		}
	}
	return sum
}

func TestNoMouldsNoPieces(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	for k := range w.Benches {
		w.Benches[k].Idle = 1
	}
	p := build(t, w)
	r := simulate(t, p, plant.Options{Source: random.New(1, 0), Weeks: 3})
	exactly(t, "cast", figure(t, p, r, "cast.total", 0, 3), 0)
	exactly(t, "packed", figure(t, p, r, "packed.total", 0, 3), 0)
	exactly(t, "in the works", figure(t, p, r, "wip.total", 0, 3), 0)
}

// Moulds that wear out and are not replaced cast their lives and no more: 10
// places x 5 casts, from a shop whose shelf holds 3.
func TestMouldsRunOut(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	w.Benches = w.Benches[1:]
	w.Ware = w.Ware[1:]
	w.Benches[0].Life, w.Ware[0].PerTrolley = casts(t, 5), 1
	w.Hours = append(w.Hours, plant.Hours{Name: "mould-shop", Weeks: []string{"daily 00:00-08:00"}})
	w.MouldShop = &plant.MouldShop{Hours: "mould-shop", PerDay: 0, Pour: des.Day, Dry: des.Day, Moulds: []plant.MouldSupply{
		{Name: "pan", Target: 3, Cases: 1, CasePours: 100, PoursDay: 5, BlockSets: 10},
	}}
	p := build(t, w)
	r := simulate(t, p, fixed(6))
	exactly(t, "casts in all", total(t, p, r, "cast.pan", 6), 13*5)
	exactly(t, "moulds worn", total(t, p, r, "moulds.worn.pan", 6), 13)
	exactly(t, "packed", total(t, p, r, "packed.pan", 6), 13*5)
}

// Random times and no losses: everything that is cast is packed.
func TestNoScrapNoLoss(t *testing.T) {
	p := build(t, readWorks(t, "testdata/works.yaml"))
	r := simulate(t, p, plant.Options{Source: random.New(7, 0), Weeks: 12})
	exactly(t, "lost", lostAt(p, r, "", 12), 0)
	exactly(t, "refired", total(t, p, r, "refires.total", 12), 0)
	cast, packed := total(t, p, r, "cast.total", 12), total(t, p, r, "packed.total", 12)
	if inside := cast - packed; cast != 12*7*20 || inside < 0 || inside > 100 {
		t.Errorf("%.0f cast, %.0f packed; want %d and all but the last days", cast, packed, 12*7*20)
	}
}

// Nothing goes on to the dryers when every casting is faulty.
func TestAllGreenScrap(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	for i := range w.Ware {
		w.Ware[i].Yields.Casting = 0
	}
	p := build(t, w)
	r := simulate(t, p, plant.Options{Source: random.New(1, 0), Weeks: 4})
	for _, s := range []string{"dryers", "white", "glazing", "buffer", "kiln", "sorting", "refire", "test", "packing"} {
		exactly(t, "pieces in section "+s, figure(t, p, r, "wip."+s, 0, 4), 0)
	}
	exactly(t, "packed", figure(t, p, r, "packed.total", 0, 4), 0)
	// All but those in the mould or being finished at the end.
	if lost, cast := lostAt(p, r, "finishing", 4), total(t, p, r, "cast.total", 4); lost < cast-20 || lost > cast {
		t.Errorf("%.0f lost of %.0f cast", lost, cast)
	}
}

// What binds: with kilns to spare the works packs what it casts, with one small
// kiln what that fires, 10 pieces in 16 h.
func TestBinding(t *testing.T) {
	for _, tt := range []struct {
		kilns  int
		packed float64 // a week
	}{{20, 140}, {1, 168.0 / 16 * 10}} {
		w := readWorks(t, "testdata/works.yaml")
		w.Kilns[0].Count = tt.kilns
		p := build(t, w)
		r := simulate(t, p, fixed(12))
		if got := figure(t, p, r, "packed.total", 4, 12); math.Abs(got-tt.packed) > 2 {
			t.Errorf("%d kilns: %.1f a week packed, want %.1f", tt.kilns, got, tt.packed)
		}
	}
}

// The window is missed only where nobody is there while it is open: pieces come
// out of their moulds from 03:22 to 03:40; their windows last from 3.0 to 6.5 h
// after that.
func TestWindowCover(t *testing.T) {
	for _, tt := range []struct {
		finish     string
		late, lost bool
	}{
		{"daily 00:00-24:00", false, false},
		{"daily 06:30-10:00", false, false},
		{"daily 11:00-18:00", true, false}, // 7.3 h and more after the mould
		{"Mon 18:00-24:00", true, true},    // below 12 %, 10 h after it
	} {
		w := readWorks(t, "testdata/works.yaml")
		w.Hours = append(w.Hours, plant.Hours{Name: "finish", Weeks: []string{tt.finish}})
		w.Crews[1].Roster = map[string]int{"finish": 20}
		p := build(t, w)
		r := simulate(t, p, fixed(4))
		if late := figure(t, p, r, "window.late", 0, 4); (late > 0) != tt.late && !tt.lost {
			t.Errorf("finishers %s: %.1f %% late", tt.finish, late)
		}
		if dry := figure(t, p, r, "window.too_dry", 0, 4); (dry > 0) != tt.lost {
			t.Errorf("finishers %s: %.1f a week too dry", tt.finish, dry)
		}
		if early := figure(t, p, r, "window.early", 0, 4); early > 0 {
			t.Errorf("finishers %s: %.1f %% early", tt.finish, early)
		}
	}
}

// What too late a punching costs: 6 % for each point below the closing. A pan
// demoulded at 07:58 and punched by 16:27 has dried for 8.483 h at a point an
// hour, to 13.517 %, and is faulty with a chance of 1.983 x 6 = 11.90 %.
func TestLateLoss(t *testing.T) {
	w := readWorks(t, "testdata/one-pan.yaml")
	setHours(w, "bench", "daily 06:00-14:00")
	setHours(w, "finish", "daily 16:25-22:00")
	w.Ware[0].Window.Late = plant.Curve{{At: 15.5, Loss: 0}, {At: 13, Loss: 0.15}}
	w.Crews = append(w.Crews, plant.Crew{Name: "inspectors", Roster: map[string]int{"finish": 1}, InHand: "half", Effective: 1})
	w.White = &plant.Inspection{Crew: "inspectors", Finds: 1, Time: plant.PerWare[random.Law]{"": constant(t, des.Minute)}}
	w.Run.Length = 100 * des.Week
	p := build(t, w)
	r := simulate(t, p, fixed(100))
	if got, want := 100*lostAt(p, r, "white", 100)/total(t, p, r, "cast.pan", 100), 11.90; math.Abs(got-want) > 0.2 {
		t.Errorf("%.2f %% lost at white inspection, by hand %.2f %%", got, want)
	}
	exactly(t, "late", figure(t, p, r, "window.late", 1, 100), 100)
}

// Work in hand at the end of a shift: four rules, one sorter, jobs of 25
// minutes, an hour or 65 minutes a day.
func TestWorkInHand(t *testing.T) {
	for _, tt := range []struct {
		rule, shift string
		done        []string // ends of the first jobs, day and time
	}{
		{"finish", "daily 06:00-07:00", []string{"0d 06:25", "0d 06:50", "0d 07:15", "1d 06:25"}},
		{"pause", "daily 06:00-07:00", []string{"0d 06:25", "0d 06:50", "1d 06:15", "1d 06:40", "2d 06:05"}},
		{"fits", "daily 06:00-07:00", []string{"0d 06:25", "0d 06:50", "1d 06:25"}},
		{"fits", "daily 06:00-07:15", []string{"0d 06:25", "0d 06:50", "0d 07:15", "1d 06:25"}},
		{"half", "daily 06:00-07:00", []string{"0d 06:25", "0d 06:50", "1d 06:25"}},
		{"half", "daily 06:00-07:05", []string{"0d 06:25", "0d 06:50", "0d 07:15", "1d 06:25"}},
	} {
		w := readWorks(t, "../proof/works/station.yaml")
		w.Start = "2027-01-04 00:00"
		setHours(w, "two-shifts", tt.shift)
		w.Crews[0].InHand, w.Crews[0].Effective = tt.rule, 1
		w.Sorting.Time = plant.PerWare[random.Law]{"": constant(t, 25*des.Minute)}
		d, _ := keep(t, build(t, w), 1)
		for k, at := range d.of("packed").times()[:len(tt.done)] {
			if got := strings.TrimSuffix(at.String(), ":00"); got != tt.done[k] {
				t.Errorf("%s, shift %s: job %d ended at %s, by hand at %s", tt.rule, tt.shift, k+1, got, tt.done[k])
			}
		}
	}
}
