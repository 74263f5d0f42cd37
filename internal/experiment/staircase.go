package experiment

import (
	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
)

// A Cycle is one round of a casting bench. Fill, drain, open and clean are
// touches, for which casters must be there from beginning to end, whatever their
// rule for work in hand; build, set and dry-back pass by themselves.
type Cycle struct {
	Fill, Build, Drain, Set, Open, Clean des.Time
	DryBack                              des.Time // from the opening, while the bench is cleaned
}

// CycleOf is the round of a bench with all its moulds, dry and young.
func CycleOf(p *plant.Plant, b *plant.Bench) Cycle {
	t := p.Touches(b)
	return Cycle{
		Fill: t.Fill, Build: p.BuildSpan(b), Drain: t.Drain, Set: b.Set,
		Open:  t.Open(b.Moulds),
		Clean: t.Clean, DryBack: b.DryBack,
	}
}

// Span is the shortest time from one fill to the next, with casters always
// there.
func (c Cycle) Span() des.Time {
	return c.Fill + c.Build + c.Drain + c.Set + c.Open + max(c.Clean, c.DryBack)
}

// InHand is the time from the beginning of the fill to the last piece out.
func (c Cycle) InHand() des.Time { return c.Fill + c.Build + c.Drain + c.Set + c.Open }

// cover finds the first instant from t at which a touch of so long can begin
// and end while casters are there; des.Never if there is none.
type cover func(t, touch des.Time) des.Time

// fill is the first instant from t at which a fill can begin, such that the
// drain that follows build falls on shift too: slip left in the moulds past its
// time builds too thick a wall.
func (c Cycle) fill(t des.Time, fits cover) des.Time {
	const tries = 1000 // of a shift so short that fill and drain never meet
	for range tries {
		if t = fits(t, c.Fill); t == des.Never {
			return t
		}
		drain := fits(t+c.Fill+c.Build, c.Drain)
		switch {
		case drain == des.Never:
			return drain
		case drain == t+c.Fill+c.Build:
			return t
		}
		t = drain - c.Fill - c.Build
	}
	return des.Never
}

// again is when a bench that was filled at t can be filled again.
func (c Cycle) again(t des.Time, fits cover) des.Time {
	open := fits(t+c.Fill+c.Build+c.Drain+c.Set, c.Open)
	if open == des.Never {
		return open
	}
	out := open + c.Open
	clean := fits(out, c.Clean)
	if clean == des.Never {
		return clean
	}
	return max(out+c.DryBack, clean+c.Clean)
}

// Fills lists when a bench is filled that is ready at the beginning of some
// hours and is always filled as soon as it can be.
func (c Cycle) Fills(h *des.Hours, until des.Time) []des.Time {
	fits := func(t, touch des.Time) des.Time {
		for t != des.Never {
			if t = h.NextOpen(t); t == des.Never || t+touch <= h.NextClose(t) {
				break
			}
			t = h.NextClose(t)
		}
		return t
	}
	var all []des.Time
	for t := c.fill(0, fits); t < until; t = c.fill(c.again(t, fits), fits) {
		all = append(all, t)
	}
	return all
}

// daily is cover by casters for the first hours of every day.
func daily(hours des.Time) cover {
	return func(t, touch des.Time) des.Time {
		switch in := t % des.Day; {
		case hours >= des.Day || in+touch <= hours:
			return t
		case touch > hours:
			return des.Never
		default:
			return t - in + des.Day
		}
	}
}

// CastsPerDay is how many times a day a bench is filled in the long run if its
// casters are there for the first hours of every day, weekends too. It is exact:
// fills come at the same times of day again sooner or later, and the casts from
// one such time to the next are counted.
func (c Cycle) CastsPerDay(hours des.Time) float64 {
	fits := daily(hours)
	seen := map[des.Time]int{} // time of day -> number of the fill
	var at []des.Time
	for t := c.fill(0, fits); t != des.Never; t = c.fill(c.again(t, fits), fits) {
		n, repeats := seen[t%des.Day]
		if repeats {
			return float64(len(at)-n) * float64(des.Day) / float64(t-at[n])
		}
		seen[t%des.Day] = len(at)
		at = append(at, t)
	}
	return 0
}

// A Step is where more hours of cover give more casts.
type Step struct {
	Hours des.Time // of cover a day, from which on
	Casts float64  // a day
}

// stair is how finely hours of cover are looked at.
const stair = des.Minute

// Staircase lists the steps of casts a day over hours of cover a day, to the
// minute. A bench need not be filled because it could be, so no more hours give
// fewer casts.
func (c Cycle) Staircase() []Step {
	var steps []Step
	most := 0.0
	for hours := stair; hours <= des.Day; hours += stair {
		if casts := c.CastsPerDay(hours); casts > most {
			most = casts
			steps = append(steps, Step{hours, casts})
		}
	}
	return steps
}

// leastRise is the share by which a step worth naming is higher than the last:
// between the wide steps of whole and half casts lie many small ones near 24 h.
const leastRise = 0.05

// WideSteps are the steps of a staircase worth naming, and the last.
func WideSteps(steps []Step) []Step {
	var wide []Step
	for k, s := range steps {
		if len(wide) == 0 || s.Casts > wide[len(wide)-1].Casts*(1+leastRise) || k == len(steps)-1 {
			wide = append(wide, s)
		}
	}
	return wide
}

// A Stand is where a works stands on a staircase.
type Stand struct {
	Ware  string
	Bench string
	Cycle Cycle
	Steps []Step   // the wide ones
	Hours des.Time // of cover on a working day, mean
	Casts float64  // a working day that these hours allow, by the calendar of the works
	Need  des.Time // hours a day from which so many casts can be had every day; 0: more than any
	Next  Step     // the next step up; no Casts where there is none
}

// looked is how much of the calendar is looked at: enough for rotations and the
// weekend to come round.
const looked = 12 * des.Week

// AddStands keeps where the benches stand on their staircases.
func (a *Answer) AddStands(p *plant.Plant) { a.Pictures.Stands = Standings(p) }

// Standings is where each group of benches stands on its staircase. Casters are
// taken to be there for every touch: where they are short it is fewer casts.
func Standings(p *plant.Plant) []Stand {
	var all []Stand
	w := p.Works()
	for k := range w.Benches {
		b := &w.Benches[k]
		c := CycleOf(p, b)
		hours := p.CrewHours(b.Crew)
		until := min(looked, w.Run.Length)
		days := calendar.WorkingDays(hours, p.Clock(), 0, until)
		steps := c.Staircase()
		s := Stand{Ware: b.Ware, Bench: b.Name, Cycle: c, Steps: WideSteps(steps)}
		if days > 0 {
			s.Hours = hours.OpenBetween(0, until) / des.Time(days)
			s.Casts = float64(len(c.Fills(hours, until))) / float64(days)
		}
		for _, step := range steps {
			if s.Need == 0 && step.Casts >= s.Casts-1e-9 {
				s.Need = step.Hours
			}
		}
		for _, step := range s.Steps {
			if s.Next.Casts == 0 && step.Casts > s.Casts*(1+leastRise) && step.Hours > s.Hours {
				s.Next = step
			}
		}
		all = append(all, s)
	}
	return all
}
