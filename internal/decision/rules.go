package decision

import (
	"fmt"
	"math"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
)

// WorkingTime is the rules on working time that a question states. No law is
// built in: what holds is for local codes, agreements and those who know them.
// A limit of 0 is not looked at.
type WorkingTime struct {
	Source     string   // where they are from, for the reader
	WeekMean   des.Time // most hours a week, mean over the rota
	WeekMost   des.Time // most hours in any week
	Shift      des.Time // longest shift, breaks included
	DailyRest  des.Time // least time from one shift to the next
	WeeklyRest des.Time // least longest rest in any week
	Nights     int      // most night shifts on successive days
	NightFrom  des.Time // hours of night within a shift that make it a night shift
	Break      des.Time // a shorter gap is a break within a shift, not a rest
}

// Any tells whether there is a limit to look at.
func (r WorkingTime) Any() bool {
	return r.WeekMean > 0 || r.WeekMost > 0 || r.Shift > 0 || r.DailyRest > 0 || r.WeeklyRest > 0 || r.Nights > 0
}

// A Breach is a rule that a rota does not keep.
type Breach struct {
	Who   string // the hours, or the rota that splits them
	Rule  string
	Limit string
	Worst string
	Times int       // in the weeks looked at
	First time.Time // when
}

// looked is the weeks of a rota that are looked at, if a run is as long: enough
// for rotations of up to eight weeks to meet themselves.
const looked = 9 * des.Week

// shift is one stretch of work of one person, breaks included.
type shift struct {
	from, to des.Time
	night    des.Time // of it at night
}

// shiftsOf joins openings of a person's hours into shifts. What is begun before
// the end of the weeks looked at counts.
func shiftsOf(h, night *des.Hours, gap, until des.Time) []shift {
	var all []shift
	for _, iv := range h.Intervals() {
		if iv.Open >= until {
			break
		}
		at := night.OpenBetween(iv.Open, iv.Close)
		if n := len(all); n > 0 && iv.Open-all[n-1].to < gap {
			all[n-1].to, all[n-1].night = iv.Close, all[n-1].night+at
			continue
		}
		all = append(all, shift{iv.Open, iv.Close, at})
	}
	return all
}

// Check holds one person's hours against the rules, over whole weeks from the
// start; hours and those of night must be laid out for longer.
func (r WorkingTime) Check(who string, h, night *des.Hours, clock calendar.Clock, until des.Time) []Breach {
	c := checking{rules: r, who: who, clock: clock, until: until}
	shifts := shiftsOf(h, night, r.Break, until)
	c.weeks(h)
	for i, s := range shifts {
		if r.Shift > 0 && s.to-s.from > r.Shift {
			c.over("longest shift", r.Shift, s.to-s.from, s.from)
		}
		if i > 0 {
			if rest := s.from - shifts[i-1].to; r.DailyRest > 0 && rest < r.DailyRest {
				c.under("rest between shifts", r.DailyRest, rest, shifts[i-1].to)
			}
		}
	}
	c.weeklyRest(shifts)
	c.nights(shifts)
	return c.found
}

// checking gathers breaches, each rule once.
type checking struct {
	rules WorkingTime
	who   string
	clock calendar.Clock
	until des.Time
	found []Breach
	worst []float64 // by breach, how far beyond
}

// add counts a breach, and keeps the worst of its rule.
func (c *checking) add(rule, limit, worst string, beyond float64, at des.Time) {
	for i := range c.found {
		if c.found[i].Rule == rule {
			c.found[i].Times++
			if beyond > c.worst[i] {
				c.worst[i], c.found[i].Worst = beyond, worst
			}
			return
		}
	}
	c.found = append(c.found, Breach{Who: c.who, Rule: rule, Limit: limit, Worst: worst, Times: 1, First: c.clock.Civil(at)})
	c.worst = append(c.worst, beyond)
}

func (c *checking) over(rule string, limit, got, at des.Time) {
	c.add(rule, "at most "+hoursOf(limit), hoursOf(got), float64(got-limit), at)
}

func (c *checking) under(rule string, limit, got, at des.Time) {
	c.add(rule, "at least "+hoursOf(limit), hoursOf(got), float64(limit-got), at)
}

// hoursOf prints a time in hours.
func hoursOf(t des.Time) string {
	h := math.Round(10*float64(t)/float64(des.Hour)) / 10
	return fmt.Sprintf("%g h", h)
}

// weeks looks at the hours of each week and at their mean.
func (c *checking) weeks(h *des.Hours) {
	r := c.rules
	if mean := h.OpenBetween(0, c.until) / (c.until / des.Week); r.WeekMean > 0 && mean > r.WeekMean {
		c.over("hours a week, mean", r.WeekMean, mean, 0)
	}
	for t := des.Time(0); t < c.until; t += des.Week {
		if got := h.OpenBetween(t, t+des.Week); r.WeekMost > 0 && got > r.WeekMost {
			c.over("hours in a week", r.WeekMost, got, t)
		}
	}
}

// weeklyRest looks for the longest rest that begins or lasts in each week.
func (c *checking) weeklyRest(shifts []shift) {
	if c.rules.WeeklyRest == 0 || len(shifts) == 0 {
		return
	}
	for t := des.Time(0); t < c.until-des.Week; t += des.Week {
		longest, end := des.Time(0), t
		for _, s := range shifts {
			if s.to <= t {
				continue
			}
			if s.from >= t+des.Week {
				break
			}
			longest = max(longest, s.from-end)
			end = s.to
		}
		if longest = max(longest, t+des.Week-end); longest < c.rules.WeeklyRest {
			c.under("longest rest in a week", c.rules.WeeklyRest, longest, t)
		}
	}
}

// nights counts night shifts on successive days.
func (c *checking) nights(shifts []shift) {
	if c.rules.Nights == 0 {
		return
	}
	row, last := 0, calendar.Date(math.MinInt32)
	for _, s := range shifts {
		if s.night == 0 || s.night < c.rules.NightFrom {
			continue
		}
		d := c.clock.Date(s.from)
		if d == last+1 {
			row++
		} else {
			row = 1
		}
		last = d
		if row == c.rules.Nights+1 { // once for each row that is too long
			c.add("nights in a row", fmt.Sprintf("at most %d", c.rules.Nights), fmt.Sprintf("%d or more", row), 1, s.from)
		}
	}
}

// A Rota splits hours that several people share: the weeks of one of them.
type Rota struct {
	Hours string
	Weeks []string // as of plant.Hours
}

// lay lays a rota over the clock of a works.
func (r Rota) lay(p *plant.Plant) (*des.Hours, error) {
	var plan calendar.Plan
	for _, w := range r.Weeks {
		pattern, err := calendar.ParsePattern(w)
		if err != nil {
			return nil, err
		}
		plan.Weeks = append(plan.Weeks, pattern)
	}
	plan.From = p.Clock().Date(0)
	return plan.Hours(p.Clock(), looked+des.Week)
}

// Hours of which nobody is taken to work all alone: so many a week, or so many in
// one shift. They are a place that several people fill in turn.
const (
	sharedWeek  = 80 * des.Hour
	sharedShift = 16 * des.Hour
)

// shared tells whether several people fill a place in turn.
func (r WorkingTime) shared(h *des.Hours, until des.Time) bool {
	if h.OpenBetween(0, until) > sharedWeek*(until/des.Week) {
		return true
	}
	for _, s := range shiftsOf(h, h, r.Break, until) {
		if s.to-s.from > sharedShift {
			return true
		}
	}
	return false
}

// Breaches holds the hours of every crew of a works against the rules. Hours
// that several people share are looked at by their rota; without one they are
// named as not looked at. An error says which rota cannot be laid out.
func (r WorkingTime) Breaches(p *plant.Plant, night *des.Hours, rotas []Rota) (found []Breach, unchecked []string, err error) {
	if !r.Any() {
		return nil, nil, nil
	}
	done := map[string]bool{}
	w := p.Works()
	until := min(looked, w.Run.Length)
	for k := range w.Hours {
		name := w.Hours[k].Name
		if done[name] || !rostered(w, name) {
			continue
		}
		done[name] = true
		h, who := p.Hours(name), name
		if rota := rotaOf(rotas, name); rota != nil {
			if h, err = rota.lay(p); err != nil {
				return nil, nil, fmt.Errorf("rota of %s: %w", name, err)
			}
			who = name + " (rota)"
		} else if r.shared(h, until) {
			unchecked = append(unchecked, name)
			continue
		}
		found = append(found, r.Check(who, h, night, p.Clock(), until)...)
	}
	return found, unchecked, nil
}

// rotaOf finds the rota of some hours; nil if there is none.
func rotaOf(rotas []Rota, name string) *Rota {
	for k := range rotas {
		if rotas[k].Hours == name {
			return &rotas[k]
		}
	}
	return nil
}

// rostered tells whether any crew has heads in some hours.
func rostered(w *plant.Works, hours string) bool {
	for k := range w.Crews {
		if w.Crews[k].Roster[hours] > 0 {
			return true
		}
	}
	return false
}
