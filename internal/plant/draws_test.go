package plant_test

import (
	"fmt"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// Luck belongs to a piece, not to the moment: what chance decides about a piece
// depends on the mould place it came from and how often that had been cast, and
// on nothing that happens to others. So a change in one department leaves every
// draw of the others untouched, piece by piece, and two works that differ in one
// thing can be compared with the same luck.

// A fate is what was decided by piece. A piece is named by the mould it came
// from, which is the same in two runs of one seed: "pan: working mould 12 (cast
// 3 of 80)".
type fate map[string]string

// fates runs Plant A with a change and notes what chance decided for each cast.
func fates(t *testing.T, change func(*plant.Works)) map[string]fate {
	t.Helper()
	w := readWorks(t, "../../scenarios/plant-a.yaml")
	if change != nil {
		change(w)
	}
	p := build(t, w)
	named := map[uint64]string{}
	begun := map[uint64]plant.Observation{}
	fires := map[uint64]int{}
	all := map[string]fate{}
	note := func(what string, o plant.Observation, value string) {
		if all[what] == nil {
			all[what] = fate{}
		}
		all[what][named[o.Piece]] = value
	}
	o := plant.Options{Source: random.New(8, 0), Weeks: drawWeeks}
	o.Observer = func(x plant.Observation) {
		switch x.Event {
		case "filled":
			mould, _, _ := strings.Cut(x.Detail, ",")
			named[x.Piece] = x.Ware + ": " + mould
		case "taken up":
			begun[x.Piece] = x
		case "punched":
			note("time of punching", x, (x.At - begun[x.Piece].At).String())
		case "finished":
			note("time of finishing", x, (x.At - begun[x.Piece].At).String())
		case "glazed":
			note("time of glazing", x, (x.At - begun[x.Piece].At).String())
			note("verdict of white inspection", x, "passed")
		case "into the kiln":
			fires[x.Piece]++
		case "sent to refire", "sorted: A", "sorted: B":
			note(fmt.Sprintf("grade of fire %d", fires[x.Piece]), x, x.Event)
			note(fmt.Sprintf("time of sorting %d", fires[x.Piece]), x, (x.At - begun[x.Piece].At).String())
		case "packed":
			note("time of packing", x, (x.At - begun[x.Piece].At).String())
			note("verdict of the test", x, "passed")
		case "lost":
			switch x.Where {
			case "lost.finishing.casting fault":
				note("verdict of finishing", x, "faulty")
			case "lost.white.fault":
				note("verdict of white inspection", x, "faulty")
			case "lost.firing.fault":
				note(fmt.Sprintf("grade of fire %d", fires[x.Piece]), x, "scrap")
			case "lost.glazing.knock or wash-off":
				note("verdict of glazing", x, "knocked")
			case "lost.test.failed leak":
				note("verdict of the test", x, "failed")
			}
		}
		if x.Event == "taken up" && x.Where == "finishers" && x.Spent[3] > 0 {
			// The wait for the window tells the moisture at demoulding.
			note("moisture at demoulding", x, x.Spent[3].String())
		}
	}
	simulate(t, p, o)
	return all
}

// TestDrawsOfOthersUntouched compares Plant A with three changes of it.
func TestDrawsOfOthersUntouched(t *testing.T) {
	base := fates(t, nil)
	for _, tt := range []struct {
		name   string
		change func(*plant.Works)
	}{
		{"another push", func(w *plant.Works) { w.Kilns[0].Push = 21 * des.Minute }},
		{"one inspector more", func(w *plant.Works) {
			for k := range w.Crews {
				if w.Crews[k].Name == "inspectors" {
					w.Crews[k].Roster = map[string]int{"day": 6, "late": 5}
				}
			}
		}},
		{"another bench of fireclay", func(w *plant.Works) { w.Benches[1].Count, wareOf(w, "fireclay").Plan = 8, 190 }},
		{"fewer kilns for refires", func(w *plant.Works) { w.Kilns[1].Count = 1 }},
	} {
		changed := fates(t, tt.change)
		for what, was := range base {
			same, both := 0, 0
			first := ""
			for piece, value := range was {
				if tt.name == "another bench of fireclay" && strings.HasPrefix(piece, "fireclay") {
					continue // its moulds are numbered anew
				}
				now, ok := changed[what][piece]
				switch {
				case !ok: // not so far yet in one of the runs
					continue
				case now == value:
					same++
				case first == "":
					first = fmt.Sprintf("%s: %s, now %s", piece, value, now)
				}
				both++
			}
			if both < leastToCompare && what != "verdict of glazing" {
				t.Errorf("%s: only %d pieces to compare by %s", tt.name, both, what)
			}
			if same != both {
				t.Errorf("%s: %s differs for %d of %d pieces, first %s", tt.name, what, both-same, both, first)
			}
		}
	}
}
