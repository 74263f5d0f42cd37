package randomworks_test

import (
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// always is a law of one time, for all wares.
func always(span des.Time) plant.PerWare[random.Law] {
	return plant.PerWare[random.Law]{"": fixed(float64(span))}
}

// fixed is a law of one value.
func fixed(value float64) random.Law {
	l, err := random.Constant(value)
	if err != nil {
		panic(err)
	}
	return l
}

// line is the smallest works that has every department: one bench of one
// mould, one of everything else, one pan at a time, round the clock, and
// nothing goes wrong. Tests alter it.
func line() *plant.Works {
	hour, minute := des.Hour, des.Minute
	return &plant.Works{
		Format: 1, Name: "Line", Start: "2027-01-04", Zone: "UTC", Currency: "EUR",
		Run:   plant.Run{Length: 4 * des.Week, WarmUp: "auto", Replications: 1, Most: 1, Precision: 0.01},
		Hours: []plant.Hours{{Name: "all", Weeks: []string{"always"}}, {Name: "day", Weeks: []string{"Mon-Fri 06:00-14:00"}}},
		Crews: []plant.Crew{
			{Name: "casters", Roster: map[string]int{"all": 1}, InHand: "finish", Effective: 1},
			{Name: "hands", Roster: map[string]int{"all": 1}, InHand: "finish", Effective: 1},
		},
		Ware: []plant.Ware{{
			Name: "pan", Fired: 17_000, Dry: 18_000, Wet: 22_000, Colour: "white", Body: "vitreous china", Make: "stock", PerTrolley: 1, Demould: fixed(22),
			Window: &plant.Window{After: hour, Until: 100 * hour, TooDry: "punch"},
			Yields: plant.Yields{Casting: 1, White: 1, Glaze: 1, Test: 1, FirstFire: plant.Grades{A: 1}, LaterFire: plant.Grades{A: 1}},
		}},
		Shop: plant.CastingShop{Temperature: 30, Humidity: 0.6, Rate: 1},
		Benches: []plant.Bench{{
			Name: "bench", Count: 1, Moulds: 1, Ware: "pan", Crew: "casters", Casters: 1, Fill: 10 * minute, Build: hour, Damp: 1, Old: 1,
			Drain: 10 * minute, Set: hour, Open: 5 * minute, DryBack: 6 * hour, Life: fixed(100), Ages: "new",
		}},
		Finishing: &plant.Finishing{Crew: "hands", Punch: always(5 * minute), Finish: always(10 * minute)},
		Dryers:    []plant.Dryer{{Name: "floor", Kind: "floor", Count: 1, Trolleys: 4, Cycle: fixed(float64(24 * hour)), Load: "full", Rate: 3}},
		White:     &plant.Inspection{Crew: "hands", Time: always(2 * minute), Finds: 1},
		Glazing:   &plant.Glazing{Booths: []plant.Booth{{Name: "booth", Kind: "hand", Count: 1, Crew: "hands", Effective: 1, Time: always(5 * minute)}}, Dry: 4 * hour},
		Kilns: []plant.Kiln{{
			Name: "kiln", Kind: "shuttle", Fires: "both", Load: plant.PerWare[int]{"": 1}, Mix: "any", Count: 1, CarSets: 1, Start: "full", Least: 1,
			Loading: 5 * minute, Firing: hour, Cooling: hour, Drawing: 5 * minute,
		}},
		Sorting: &plant.Sorting{Crew: "hands", Time: always(3 * minute)},
		Refire:  &plant.Refire{Crew: "hands", Time: always(6 * minute), Dry: hour, Most: 1},
		Tests:   []plant.Test{{Name: "leak", Crew: "hands", Time: always(minute), OneIn: 1, Finds: 1}},
		Packing: &plant.Packing{Crew: "hands", Time: always(4 * minute)},
	}
}

// TestOnePiece: a piece that is alone in the works waits for nothing, so that
// its lead time is the sum of its times, exactly.
func TestOnePiece(t *testing.T) {
	draw(t, 60, 1000, func(t *rapid.T) {
		var want des.Time
		minutes := func(what string, least int) des.Time {
			span := des.Time(rapid.IntRange(least, 300).Draw(t, what)) * des.Minute
			want += span
			return span
		}
		w := line()
		w.Ware[0].Plan = 0.04 // one piece on the 25th day
		w.Ware[0].Window.After = minutes("window", 0)
		b := &w.Benches[0]
		b.Fill, b.Build, b.Drain, b.Set, b.Open = minutes("fill", 0), minutes("build", 1), minutes("drain", 0), minutes("set", 0), minutes("demould", 0)
		w.Finishing.Punch, w.Finishing.Finish = always(minutes("punch", 0)), always(minutes("finish", 0))
		w.Dryers[0].Cycle = fixed(float64(minutes("dryer", 1)))
		w.White.Time, w.Glazing.Booths[0].Time, w.Glazing.Dry = always(minutes("white", 0)), always(minutes("glaze", 0)), minutes("coat", 0)
		k := &w.Kilns[0]
		k.Loading, k.Firing, k.Cooling, k.Drawing = minutes("loading", 0), minutes("firing", 1), minutes("cooling", 0), minutes("drawing", 0)
		w.Sorting.Time, w.Tests[0].Time, w.Packing.Time = always(minutes("sorting", 0)), always(minutes("test", 0)), always(minutes("packing", 0))
		p, r := run(t, w, chance())
		got, packed := total(t, p, r, "lead_time.mean"), total(t, p, r, "packed.total")
		if packed != 1 || des.Time(got*float64(des.Hour)+0.5) != want {
			fail(t, w, "%v pieces packed in %v h; by hand one in %v", packed, got, want)
		}
	})
}
