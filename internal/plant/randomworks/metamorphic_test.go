package randomworks_test

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/plant/randomworks"
	"potbank/internal/random"
)

// Every draw belongs to an identity, and these are the names that go into one:
// bench, press, dryer, booth, kiln (its loads, wrecks and stops), crew and
// hours (who is away), ware (moulds, car luck, opening pieces). Renaming one of
// them re-deals its luck by design; all else about a name, and the order in
// which things are listed, must not matter.

// weekly is every measure of a run by week, as numerators and denominators.
func weekly(p *plant.Plant, r *plant.Result) map[string][]float64 {
	book := map[string][]float64{}
	for _, m := range p.Measures() {
		for week := range r.Week {
			num, den := m.Of(r, week, week+1)
			book[m.Name] = append(book[m.Name], num, den)
		}
	}
	return book
}

// sameWeeks runs a works and an altered one, and fails if a measure of the
// first differs in any week. Measures of the second by other names are its own.
func sameWeeks(t reporter, w, altered *plant.Works, rename func(string) string) {
	t.Helper()
	p, r := run(t, w, chance())
	q, s := run(t, altered, chance())
	was, is := weekly(p, r), weekly(q, s)
	for _, name := range slices.Sorted(maps.Keys(was)) {
		if diff := cmp.Diff(was[name], is[rename(name)]); diff != "" {
			fail(t, altered, "%s changes by week (numerators and denominators):\n%s", name, diff)
		}
	}
}

func asItIs(name string) string { return name }

// TestOrderOfListing: it does not matter in which order benches, presses,
// crews, hours and orders stand in the file.
func TestOrderOfListing(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		other := clone(w)
		slices.Reverse(other.Benches)
		slices.Reverse(other.Presses)
		slices.Reverse(other.Crews)
		slices.Reverse(other.Hours)
		sameWeeks(t, w, other, asItIs)
	})
}

// TestNamesOfPeopleAndHours: what crews and hours are called does not matter,
// as long as nobody is away: who is away is drawn by the name of the crew.
func TestNamesOfPeopleAndHours(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		for k := range w.Crews {
			w.Crews[k].Absence = 0
		}
		names := map[string]bool{}
		for k := range w.Crews {
			names[w.Crews[k].Name] = true
		}
		other := clone(w)
		eachField(other, func(key string, v reflect.Value) {
			switch key {
			case "crew", "placers":
				if v.String() != "" {
					v.SetString("our " + v.String())
				}
			case "hours", "at", "covered", "working-time":
				if v.Kind() == reflect.String && v.String() != "" {
					v.SetString("our " + v.String())
				}
			case "roster", "premium", "slow-push":
				prefixKeys(v)
			}
		})
		for k := range other.Crews {
			other.Crews[k].Name = "our " + other.Crews[k].Name
		}
		for k := range other.Hours {
			other.Hours[k].Name = "our " + other.Hours[k].Name
		}
		sameWeeks(t, w, other, func(measure string) string {
			parts := strings.Split(measure, ".")
			if len(parts) > 1 && names[parts[1]] {
				parts[1] = "our " + parts[1]
			}
			return strings.Join(parts, ".")
		})
	})
}

// prefixKeys renames the keys of a map by name; walk puts values back under
// their old keys, so this takes the whole map in hand at once.
func prefixKeys(v reflect.Value) {
	if v.Kind() != reflect.Map || v.IsNil() {
		return
	}
	for _, k := range v.MapKeys() {
		if strings.HasPrefix(k.String(), "our ") {
			continue
		}
		v.SetMapIndex(reflect.ValueOf("our "+k.String()), v.MapIndex(k))
		v.SetMapIndex(k, reflect.Value{})
	}
}

// TestUnusedThings: a crew, hours and a kiln that nobody uses change nothing.
func TestUnusedThings(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		other := clone(w)
		other.Hours = append(other.Hours, plant.Hours{Name: "idle-hours", Weeks: []string{"Mon-Fri 06:00-14:00"}})
		other.Crews = append(other.Crews, plant.Crew{Name: "idle-crew", Roster: map[string]int{"idle-hours": 3}, InHand: "half", Effective: 1, Absence: 0.1})
		other.Kilns = append(other.Kilns, plant.Kiln{
			Name: "idle-kiln", Kind: "shuttle", Fires: "first", Mix: "any", Count: 1, Firing: des.Hour, CarSets: 1,
			Start: "full", Least: 1, Load: plant.PerWare[int]{},
		})
		sameWeeks(t, w, other, asItIs)
	})
}

// TestStartAWeekLater: the same weeks a week later are the same weeks.
func TestStartAWeekLater(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := later(randomworks.Works().Draw(t, "works"), 0)
		w.Zone = "UTC"
		sameWeeks(t, w, later(w, 7), asItIs)
	})
}

// twiceAsLong doubles every time of a plain works, its calendar too, and
// halves what is paid or burnt by the hour.
func twiceAsLong(t reporter, w *plant.Works) *plant.Works {
	slow := clone(w)
	eachField(slow, func(key string, v reflect.Value) {
		switch {
		case v.Type() == timeType:
			v.SetInt(2 * v.Int())
		case v.Type() == lawType && !v.IsNil() && key != "mould-life" && key != "demould-moisture":
			v.Set(reflect.ValueOf(random.Scaled(v.Interface().(random.Law), 2)))
		case key == "wage" || key == "energy-base":
			v.SetInt(v.Int() / 2)
		}
	})
	for k := range slow.Hours {
		slow.Hours[k].Weeks = twiceTheWeek(t, w, w.Hours[k].Weeks[0])
	}
	return slow
}

// twiceTheWeek is a week of shifts stretched over two.
func twiceTheWeek(t reporter, w *plant.Works, week string) []string {
	if week == "always" {
		return []string{"always"}
	}
	pattern, err := calendar.ParsePattern(week)
	start, startErr := calendar.ParseStart(w.Start, "UTC")
	if err != nil || startErr != nil {
		fail(t, w, "%v %v", err, startErr)
	}
	h, err := calendar.Plan{Weeks: []calendar.Pattern{pattern}}.Hours(calendar.NewClock(start), des.Week)
	if err != nil {
		fail(t, w, "%v", err)
	}
	var shifts [2][]string
	for _, iv := range h.Intervals() {
		// What touches is one opening, so shifts may be cut at midnight.
		for from := 2 * iv.Open; from < 2*iv.Close && from < 2*des.Week; {
			to := min(2*iv.Close, from/des.Day*des.Day+des.Day)
			day := []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}[from%des.Week/des.Day]
			shifts[from/des.Week] = append(shifts[from/des.Week], fmt.Sprintf("%s %s-%s", day, hhmm(from), hhmm(to)))
			from = to
		}
	}
	weeks := []string{strings.Join(shifts[0], ", "), strings.Join(shifts[1], ", ")}
	for k := range weeks {
		if weeks[k] == "" {
			weeks[k] = "never"
		}
	}
	return weeks
}

func hhmm(t des.Time) string {
	return fmt.Sprintf("%02d:%02d", t%des.Day/des.Hour, t%des.Hour/des.Minute)
}

// TestTwiceAsLong: with all times doubled, calendar included, everything takes
// exactly twice as long, to the millisecond, and nothing else changes.
func TestTwiceAsLong(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := plain(randomworks.Works().Draw(t, "works"))
		slow := twiceAsLong(t, w)
		p, r := run(t, w, chance())
		q, s := run(t, slow, chance())
		for k, m := range p.Measures() {
			n := q.Measures()[k]
			num, den := over(m, r)
			num2, den2 := over(n, s)
			factor := map[string]float64{"h": 2, "d": 2, "%": 1, "pieces": 1, "firings/piece": 1, "MJ/piece": 1, "kg/piece": 1, "EUR/piece": 1}[m.Unit]
			if factor == 0 {
				factor = 0.5 // by the week
			}
			// Quantiles are read off a histogram; places ready are counted by the day.
			byBench := slices.ContainsFunc(w.Benches, func(b plant.Bench) bool { return m.Name == "load."+b.Name })
			// Extremes are taken of each week, and a slow works has half as many of
			// its own in one.
			weekly := strings.HasPrefix(m.Name, "kiln.") && (strings.HasSuffix(m.Name, ".cars") || strings.Contains(m.Name, ".weekend."))
			if strings.HasPrefix(m.Name, "lead_time.p") || byBench || weekly {
				continue
			}
			if num2*den != factor*num*den2 {
				fail(t, w, "%s %s: %v / %v, with all times doubled %v / %v", m.Name, m.Unit, num, den, num2, den2)
			}
		}
	})
}

// TestNothingGoesWrong: with perfect yields nothing is lost, and every piece
// cast is packed or still there.
func TestNothingGoesWrong(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		for i := range w.Ware {
			w.Ware[i].Yields = plant.Yields{Casting: 1, White: 1, Glaze: 1, Test: 1, FirstFire: plant.Grades{A: 1}, LaterFire: plant.Grades{A: 1}}
			if win := w.Ware[i].Window; win != nil {
				win.TooDry, win.Early, win.Late, win.LateBy = "punch", nil, nil, nil
			}
		}
		for k := range w.Dryers {
			w.Dryers[k].Cracks = 0
		}
		if w.White != nil {
			w.White.FalseAlarm = 0
		}
		if w.Finishing != nil {
			w.Finishing.Tools = nil
		}
		for k := range w.Tests {
			w.Tests[k].Destroy = false
		}
		for k := range w.Kilns {
			w.Kilns[k].Wrecks = nil
		}
		w.Opening = plant.OpeningState{}
		seen := newWitness(w)
		o := chance()
		o.Observer = seen.observe
		p, r := run(t, w, o)
		for _, m := range p.Measures() {
			if num, _ := over(m, r); num != 0 && (strings.HasPrefix(m.Name, "lost.") || strings.HasPrefix(m.Name, "refires")) {
				fail(t, w, "%s is %v though nothing can go wrong", m.Name, num)
			}
		}
		if cast, packed := total(t, p, r, "cast.total"), total(t, p, r, "packed.total"); cast != packed+float64(len(seen.pieces)) {
			fail(t, w, "%v cast, %v packed, %d seen in the works", cast, packed, len(seen.pieces))
		}
	})
}

// TestWatchingChangesNothing: a run that is observed is the same run, and so is
// one that shares its plant with another at the same time.
func TestWatchingChangesNothing(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		p := accept(t, w)
		alone := simulate(t, p, chance())
		watched := chance()
		watched.Observer = func(plant.Observation) {}
		var both [2]*plant.Result
		var group sync.WaitGroup
		for k, o := range []plant.Options{watched, chance()} {
			group.Go(func() { both[k], _ = p.Simulate(o) })
		}
		group.Wait()
		for k, what := range []string{"observed", "run beside another"} {
			if both[k] == nil || !reflect.DeepEqual(alone, both[k]) {
				fail(t, w, "the run is another when it is %s", what)
			}
		}
	})
}

// TestRandomnessOff: without chance every run is the same, whatever the seed.
func TestRandomnessOff(t *testing.T) {
	draw(t, 15, 1000, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		p := accept(t, w)
		one := simulate(t, p, plant.Options{Source: random.New(1, 1), Fixed: true})
		two := simulate(t, p, plant.Options{Source: random.New(2, 9), Fixed: true})
		if !reflect.DeepEqual(one, two) {
			fail(t, w, "with randomness off two runs differ")
		}
		for _, law := range one.Audit {
			if law.Broken > 0 {
				fail(t, w, "%s: %s", law.Name, law.First)
			}
		}
	})
}
