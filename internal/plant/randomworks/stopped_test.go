package randomworks_test

import (
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// hopeless is a works that parses but cannot do what it is asked. It must be
// refused, warned of, stopped with a reason, or explained at the end.
type hopeless struct {
	name  string
	alter func(w *plant.Works)
	// Exactly one of these: a fault that refuses the works; a warning with
	// which it runs; a note at the end of the run.
	refused, warned, noted string
	check                  func(t *testing.T, p *plant.Plant, r *plant.Result)
}

var hopelessWorks = []hopeless{
	{
		name: "R1 hardly any time passes and every piece is refired to the end",
		alter: func(w *plant.Works) {
			w.Run.Length = des.Week
			w.Ware[0].Window = nil
			w.Ware[0].Plan = 100
			w.Ware[0].Yields.FirstFire = plant.Grades{Refire: 1}
			w.Ware[0].Yields.LaterFire = plant.Grades{Refire: 1}
			b := &w.Benches[0]
			b.Fill, b.Build, b.Drain, b.Set, b.Open, b.DryBack = 0, des.Minute, 0, 0, 0, 0
			w.Finishing.Punch, w.Finishing.Finish = always(0), always(0)
			w.Dryers[0].Cycle = fixed(1)
			w.White.Time, w.Glazing.Booths[0].Time, w.Glazing.Dry = always(0), always(0), 0
			k := &w.Kilns[0]
			k.Loading, k.Firing, k.Cooling, k.Drawing = 0, des.Minute, 0, 0
			w.Sorting.Time, w.Refire.Time, w.Refire.Dry, w.Refire.Most = always(0), always(0), 0, 5
		},
		noted: "no further refire",
		check: func(t *testing.T, p *plant.Plant, r *plant.Result) {
			if fired, lost := total(t, p, r, "firings.per_good"), total(t, p, r, "lost.firing.no further refire"); fired != 6*lost || lost < 100 {
				t.Errorf("%v firings for %v pieces refired to the end", fired, lost)
			}
		},
	},
	{
		name: "R2 the kiln stops without end in one instant",
		alter: func(w *plant.Works) {
			tunnel(w)
			w.Kilns[0].Stops = &plant.Breakdowns{Between: fixed(0), Repair: fixed(0), Clock: "calendar"}
		},
		refused: "between must be above zero",
	},
	{
		name:    "R2 the kiln is wrecked without end in one instant",
		alter:   func(w *plant.Works) { tunnel(w); w.Kilns[0].Wrecks = &plant.Wrecks{Between: fixed(0), Stop: fixed(0)} },
		refused: "between must be above zero",
	},
	{
		name: "R2 a booth breaks down without end in one instant",
		alter: func(w *plant.Works) {
			w.Glazing.Booths[0].Breakdowns = &plant.Breakdowns{Between: fixed(0), Repair: fixed(0), Clock: "working"}
		},
		refused: "between must be above zero",
	},
	{
		name: "R3 more trolleys are wanted in a chamber than the works has",
		alter: func(w *plant.Works) {
			w.Dryers[0].Kind, w.Dryers[0].Trolleys = "chamber", 4
			w.Shop.Trolleys, w.Shop.Floor = 3, 5
		},
		noted: "finishing",
	},
	{
		name:  "R3 the kiln waits for a full load that never comes",
		alter: func(w *plant.Works) { w.Kilns[0].Load = plant.PerWare[int]{"": 500}; w.Ware[0].Plan = 1 },
		noted: "kiln load",
	},
	{
		name: "R4 a push every millisecond",
		alter: func(w *plant.Works) {
			tunnel(w)
			w.Kilns[0].Push, w.Run.Length = 1, 50*52*des.Week
		},
		refused: "events",
	},
	{
		name: "R6 a law whose mean is never seen",
		alter: func(w *plant.Works) {
			w.White.Time = plant.PerWare[random.Law]{"": lognormal(des.Minute, 1e9*des.Minute)}
		},
		warned: "sd",
	},
	{
		name: "R7 day shift only, and a window of an hour",
		alter: func(w *plant.Works) {
			for k := range w.Crews {
				w.Crews[k].Roster = map[string]int{"day": 1}
			}
			w.Benches[0].DryBack = 0 // twice a day: what is cast later misses the window
			w.Ware[0].Window.After, w.Ware[0].Window.Until = 4*des.Hour, 5*des.Hour
		},
		warned: "window",
	},
	{
		name: "R8 no casting is good",
		alter: func(w *plant.Works) {
			w.Ware[0].Yields.Casting = 0
			w.Orders = []plant.Order{{Name: "hotel", Ware: "pan", Quantity: 1, Priority: 1}}
		},
		noted: "casting fault",
		check: notDone,
	},
	{
		name: "R9 an order too big for the run",
		alter: func(w *plant.Works) {
			w.Orders = []plant.Order{{Name: "hotel", Ware: "pan", Quantity: 10_000, Priority: 1}}
		},
		check: notDone,
	},
	{
		name:   "R11 more is asked than the finishers can do",
		alter:  func(w *plant.Works) { w.Finishing.Finish = always(20 * des.Hour) },
		warned: "hands",
	},
	{
		name:    "a bench whose places the floor cannot hold",
		alter:   func(w *plant.Works) { w.Benches[0].Moulds, w.Shop.Floor = 8, 4 },
		refused: "floor",
	},
	{
		name: "a fill that is longer than any shift",
		alter: func(w *plant.Works) {
			w.Crews[0].Roster = map[string]int{"day": 1}
			w.Benches[0].Fill = 9 * des.Hour
		},
		refused: "no shift of crew casters",
	},
	{
		name: "all hands are never on",
		alter: func(w *plant.Works) {
			w.Hours[1].Weeks = []string{"never"}
			w.Crews[1].Roster = map[string]int{"day": 1}
		},
		noted: "finishing",
	},
}

// tunnel turns the kiln of a line into a tunnel.
func tunnel(w *plant.Works) {
	k := &w.Kilns[0]
	*k = plant.Kiln{Name: k.Name, Kind: "tunnel", Fires: "both", Load: k.Load, Mix: "any", Count: 1, CarSets: 1, Start: "full", Least: 1, Short: "empty", Inside: 4, Push: des.Hour, Ahead: 2}
}

func lognormal(mean, sd des.Time) random.Law {
	l, err := random.LogNormal(float64(mean), float64(sd))
	if err != nil {
		panic(err)
	}
	return l
}

// notDone checks that no order is said to be done.
func notDone(t *testing.T, p *plant.Plant, r *plant.Result) {
	for _, o := range r.Orders {
		if o.Done != des.Never || o.WorkDays >= 0 {
			t.Errorf("order %s: %d of %d, done at %v after %v days", o.Name, o.Good, o.Want, o.Done, o.WorkDays)
		}
	}
}

// TestStoppedOrExplained runs works that are possible to write down but not to
// run well: each says what is wrong with it, at the time it is known.
func TestStoppedOrExplained(t *testing.T) {
	for _, c := range hopelessWorks {
		t.Run(c.name, func(t *testing.T) {
			w := line()
			c.alter(w)
			begun := time.Now()
			p, faults := plant.New(w)
			var refusals, warnings []string
			for _, f := range faults {
				if f.Warning {
					warnings = append(warnings, f.Path+": "+f.What+"; "+f.Hint)
				} else {
					refusals = append(refusals, f.Path+": "+f.What+"; "+f.Hint)
				}
			}
			if c.refused != "" {
				says(t, "refusals", refusals, c.refused)
				return
			}
			if p == nil {
				t.Fatalf("refused: %s", strings.Join(refusals, "\n"))
			}
			r := simulate(t, p, chance())
			if c.warned != "" {
				says(t, "warnings", warnings, c.warned)
			}
			if c.noted != "" {
				says(t, "notes", r.Notes, c.noted)
			}
			for _, law := range r.Audit {
				if law.Broken > 0 {
					t.Errorf("%s: %s", law.Name, law.First)
				}
			}
			if c.check != nil {
				c.check(t, p, r)
			}
			if took := time.Since(begun); took > tooLong {
				t.Errorf("took %v", took)
			}
		})
	}
}

// says checks that one of some messages has the words it must have.
func says(t *testing.T, what string, messages []string, want string) {
	t.Helper()
	if !strings.Contains(strings.Join(messages, "\n"), want) {
		t.Errorf("%s do not mention %q: %q", what, want, messages)
	}
}
