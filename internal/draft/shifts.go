package draft

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"text/template"

	"potbank/internal/plant"
)

// Shifts asks how many shifts some crews of a works should work. What a crew has
// today is kept as far as it goes: fewer shifts leave out the latest hours, more
// add a late shift and then a night, in hours of the question's own.
type Shifts struct {
	Base    string    // path of the works, from where the question will lie
	Title   string    // of the question
	Crews   []string  // whose shifts are in question
	By      string    // measure that decides
	Premium [3]string // on the wage of hours that are added, by shift from the first: "0 %", "10 %", "25 %"
	Weeks   int       // simulated; a third of them is warm-up
}

// A Crew is one that could be asked about.
type Crew struct {
	Name  string
	Hours []string // today's, the earliest first
	Heads int      // today's, of all shifts
	Usual bool     // works by day or in two shifts from Monday to Friday, and does not cast
}

// Crews lists the crews of a works, those first that a change of shifts is
// usually about.
func Crews(w *plant.Works) []Crew {
	var all []Crew
	for i := range w.Crews {
		c := &w.Crews[i]
		crew := Crew{Name: c.Name, Usual: true}
		for name, heads := range c.Roster {
			crew.Hours, crew.Heads = append(crew.Hours, name), crew.Heads+heads
			if weeks := strings.Join(weeksOf(w, name), " "); strings.Contains(weeks, "Sat") || strings.Contains(weeks, "Sun") || strings.Contains(weeks, "daily") {
				crew.Usual = false
			}
		}
		slices.SortFunc(crew.Hours, func(a, b string) int {
			return cmp.Or(cmp.Compare(begins(w, a), begins(w, b)), cmp.Compare(a, b))
		})
		if slices.ContainsFunc(w.Benches, func(b plant.Bench) bool { return b.Crew == c.Name }) {
			crew.Usual = false // a cast takes its day whoever stands by
		}
		if crew.Heads > 0 && len(crew.Hours) <= len(shiftNames) {
			all = append(all, crew)
		}
	}
	slices.SortStableFunc(all, func(a, b Crew) int {
		if a.Usual == b.Usual {
			return 0
		}
		if a.Usual {
			return -1
		}
		return 1
	})
	return all
}

// weeksOf are the weekly patterns of named hours.
func weeksOf(w *plant.Works, name string) []string {
	for i := range w.Hours {
		if w.Hours[i].Name == name {
			return w.Hours[i].Weeks
		}
	}
	return nil
}

var clockTime = regexp.MustCompile(`\d\d:\d\d`)

// begins is the first time of day that named hours speak of.
func begins(w *plant.Works, name string) string {
	return clockTime.FindString(strings.Join(weeksOf(w, name), " "))
}

// shiftNames count shifts, and addedHours are the hours of those that a crew does
// not have yet: never a first, since every crew has one.
var (
	shiftNames = [3]string{"one", "two", "three"}
	addedHours = [3]string{"", "added-late", "added-night"}
	addedWeeks = [3]string{"", "Mon-Fri 14:00-18:00 18:30-22:00", `"Mon-Fri 22:00-06:00 break 02:00-02:30"`}
)

//go:embed shifts.yaml.tmpl
var shiftsText string

var shiftsLayout = template.Must(template.New("shifts").Parse(shiftsText))

// shiftOption is one option as the layout has it.
type shiftOption struct {
	Name, Says string
	Hours      []string // that it adds
	Crews      []shiftCrew
}

type shiftCrew struct{ Name, Roster, Premium string }

// Question writes the question as a file that runs. The error says what of it
// cannot be asked of the works.
func (q Shifts) Question(w *plant.Works) ([]byte, error) {
	known := Crews(w)
	var chosen []Crew
	for _, name := range q.Crews {
		i := slices.IndexFunc(known, func(c Crew) bool { return c.Name == name })
		if i < 0 {
			return nil, fmt.Errorf("the works has no crew %q whose shifts can be changed", name)
		}
		chosen = append(chosen, known[i])
	}
	switch {
	case len(chosen) == 0:
		return nil, fmt.Errorf("choose the crews whose shifts are in question")
	case q.Weeks < 6:
		return nil, fmt.Errorf("%d weeks are too few: 6 or more", q.Weeks)
	}
	if q.By == "" || strings.Trim(q.By, "abcdefghijklmnopqrstuvwxyz_.-0123456789") != "" {
		return nil, fmt.Errorf("no measure is called %q", q.By)
	}
	for _, p := range q.Premium {
		if p == "" || strings.Trim(p, "0123456789. %") != "" {
			return nil, fmt.Errorf("a premium is a share such as 25 %%, got %q", p)
		}
	}
	var b bytes.Buffer
	err := shiftsLayout.Execute(&b, map[string]any{
		"Heading": oneLine(q.Title), "Title": quote(oneLine(q.Title)), "Base": quote(q.Base), "By": q.By, "Weeks": q.Weeks, "WarmUp": q.Weeks / 3,
		"Today": today(chosen), "Options": q.options(w, chosen),
	})
	if err != nil {
		return nil, fmt.Errorf("draft: %w", err)
	}
	return b.Bytes(), nil
}

// oneLine is a text without breaks.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// quote writes a line as a YAML scalar, whatever it holds.
func quote(line string) string { return "'" + strings.ReplaceAll(line, "'", "''") + "'" }

// today says what the crews work now.
func today(chosen []Crew) []string {
	var lines []string
	for _, c := range chosen {
		lines = append(lines, fmt.Sprintf("%s: %d heads in %s", c.Name, c.Heads, strings.Join(c.Hours, " and ")))
	}
	return lines
}

// options are one, two and three shifts with the people there are, and two and
// three with as many in each shift as the fullest has today; those that change
// nothing are left out.
func (q Shifts) options(w *plant.Works, chosen []Crew) []shiftOption {
	var all []shiftOption
	for n := 1; n <= len(shiftNames); n++ {
		same := shiftOption{Name: shiftNames[n-1] + "-shifts", Says: "the people there are, spread"}
		if n == 1 {
			same.Name = "one-shift"
		}
		more := shiftOption{Name: same.Name + "-more-people", Says: "as many in each shift as the fullest has today"}
		for _, c := range chosen {
			if n == len(c.Hours) {
				continue
			}
			same.Crews = append(same.Crews, q.crew(w, c, n, func(shift int) int { return max(1, (c.Heads+n-1-shift)/n) }))
			if n > len(c.Hours) {
				more.Crews = append(more.Crews, q.crew(w, c, n, func(int) int { return fullest(w, c) }))
			}
		}
		for _, o := range []shiftOption{same, more} {
			if len(o.Crews) == 0 {
				continue
			}
			for shift := range n {
				name := addedHours[shift]
				if slices.ContainsFunc(o.Crews, func(c shiftCrew) bool { return name != "" && strings.Contains(c.Premium, name) }) {
					o.Hours = append(o.Hours, name+": {weeks: "+addedWeeks[shift]+"}")
				}
			}
			all = append(all, o)
		}
	}
	return all
}

// fullest is the heads of the fullest shift of a crew.
func fullest(w *plant.Works, c Crew) int {
	most := 1
	for i := range w.Crews {
		if w.Crews[i].Name == c.Name {
			for _, heads := range w.Crews[i].Roster {
				most = max(most, heads)
			}
		}
	}
	return most
}

// crew puts a crew on n shifts.
func (q Shifts) crew(w *plant.Works, c Crew, n int, heads func(shift int) int) shiftCrew {
	out := shiftCrew{Name: c.Name}
	var roster, premium []string
	for shift := range max(n, len(c.Hours)) {
		switch {
		case shift >= n:
			roster = append(roster, c.Hours[shift]+": left out")
		case shift < len(c.Hours):
			roster = append(roster, fmt.Sprintf("%s: %d", c.Hours[shift], heads(shift)))
		default:
			roster = append(roster, fmt.Sprintf("%s: %d", addedHours[shift], heads(shift)))
			premium = append(premium, addedHours[shift]+": "+q.Premium[shift])
		}
	}
	out.Roster, out.Premium = strings.Join(roster, ", "), strings.Join(premium, ", ")
	return out
}
