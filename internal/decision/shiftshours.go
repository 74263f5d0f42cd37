package decision

import (
	"fmt"
	"slices"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// nightHours is the paid hours of a works by roster line. They follow from the
// calendar alone: rostered hours are paid, worked or not, and absence is.
type nightHours struct {
	night   *des.Hours
	lines   []paidLine
	paid    float64 // hours a week
	atNight float64
	premium float64 // currency a week
}

// paidLine is the heads of one crew in some hours.
type paidLine struct {
	crew, hours   string
	paid, atNight float64 // hours a week
	wage          float64 // an hour, without premium
	premium       float64 // share of it
}

// nightOf counts the paid hours of a works over the weeks that it is run.
func nightOf(p *plant.Plant, pattern string) (*nightHours, error) {
	week, err := calendar.ParsePattern(pattern)
	if err != nil {
		return nil, fmt.Errorf("decision: hours of night: %w", err)
	}
	w := p.Works()
	length := w.Run.Length
	night, err := calendar.Plan{Weeks: []calendar.Pattern{week}}.Hours(p.Clock(), max(length, looked)+des.Week)
	if err != nil {
		return nil, fmt.Errorf("decision: hours of night: %w", err)
	}
	n := &nightHours{night: night}
	perWeek := float64(des.Week) / float64(length) / float64(des.Hour)
	for k := range w.Crews {
		c := &w.Crews[k]
		var names []string
		for name := range c.Roster {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			h := p.Hours(name)
			heads := float64(c.Roster[name])
			l := paidLine{
				crew: c.Name, hours: name, wage: float64(c.Wage) * 1e-6, premium: float64(c.Premium[name]),
				paid:    heads * float64(h.OpenBetween(0, length)) * perWeek,
				atNight: heads * float64(calendar.Intersect(h, night).OpenBetween(0, length)) * perWeek,
			}
			n.lines = append(n.lines, l)
			n.paid += l.paid
			n.atNight += l.atNight
			n.premium += float64(l.paid * l.wage * l.premium)
		}
	}
	return n, nil
}

// A CrewUse is how the paid hours of a crew are spent.
type CrewUse struct {
	Name    string
	Paid    float64 // hours a week
	Night   float64 // of them
	Working float64 // share of the hours attended
	Change  float64 // of tools or colour
	NoWork  float64 // there is none
	Waiting float64 // there is some, for which it is too early: its window, a full load, mates, a wall to build, the next shift
	Blocked float64 // there is some, and a place, a car, the floor, moulds or further hands are wanting
}

// crews tells how the crews of an option spend their time in a future. What is
// worked beyond the end of a shift counts as attended.
func (z *weighing) crews(o int, cell *experiment.Cell) []CrewUse {
	var all []CrewUse
	w := z.Plant(o, z.main()).Works()
	for k := range w.Crews {
		name := w.Crews[k].Name
		u := CrewUse{Name: name}
		for _, l := range z.night[o].lines {
			if l.crew == name {
				u.Paid += l.paid
				u.Night += l.atNight
			}
		}
		share := func(state string) float64 {
			m := "state." + name + "." + state
			if !cell.Has(m) {
				return 0
			}
			return cell.Estimate(m).Value
		}
		work, change := share("working")+share("after hours"), share("change-over")
		none, waits, blocked := share("no work"), share("waiting"), share("blocked")
		if there := work + change + none + waits + blocked; there > 0 {
			u.Working, u.Change, u.NoWork, u.Waiting, u.Blocked = work/there, change/there, none/there, waits/there, blocked/there
		}
		if u.Paid > 0 {
			all = append(all, u)
		}
	}
	return all
}

// starved is how much of each kiln's time goes by without ware.
func (z *weighing) starved(o int, cell *experiment.Cell) []Starved {
	var all []Starved
	w := z.Plant(o, z.main()).Works()
	for k := range w.Kilns {
		name := w.Kilns[k].Name
		for _, m := range []string{"kiln." + name + ".empty", "state." + name + ".waiting"} {
			if cell.Has(m) {
				all = append(all, Starved{name, cell.Estimate(m)})
				break
			}
		}
	}
	return all
}
