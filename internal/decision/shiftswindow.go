package decision

import (
	"context"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// A WindowNeed is what the punching window of a ware asks of the finishers on one
// day, by hand: pieces of one fill of all its benches, and the people who are
// there while their windows are open.
type WindowNeed struct {
	Ware     string
	Pieces   float64
	From, To des.Time // first opening and last closing, time of day
	Need     float64  // people at once for the whole of it
	There    float64  // people there, mean over it, as far as places allow
	Least    float64  // fewest at any time of it
}

// Short tells whether people lack inside the window, whatever the hours of the
// day come to.
func (n WindowNeed) Short() bool { return n.There < n.Need }

// dayLooked is the working day that is looked at by hand: the second of the
// second week, when no weekend has just been.
const dayLooked = des.Week + des.Day

// windowNeeds works the windows of a works out by hand, for bench ware that is
// punched in a job of its own.
func windowNeeds(p *plant.Plant) []WindowNeed {
	w := p.Works()
	if w.Finishing == nil || w.Run.Length < dayLooked+2*des.Day {
		return nil
	}
	var all []WindowNeed
	for k := range w.Benches {
		b := &w.Benches[k]
		punch, ok := w.Finishing.Punch.For(b.Ware)
		c := experiment.CycleOf(p, b)
		fills := c.Fills(p.CrewHours(b.Crew), dayLooked+2*des.Day)
		i := slices.IndexFunc(fills, func(t des.Time) bool { return t >= dayLooked })
		if !ok || i < 0 {
			continue
		}
		out := fills[i] + c.InHand() // the last piece of the fill
		first, _, has := p.WindowOf(b.Ware, out-c.Open)
		_, last, _ := p.WindowOf(b.Ware, out)
		if !has || last <= first || last == des.Never {
			continue
		}
		n := WindowNeed{Ware: b.Ware, From: first, To: last, Pieces: float64(b.Count*b.Moulds) * (1 - float64(b.Idle))}
		n.Need = n.Pieces * punch.Mean() / float64(effective(w, w.Finishing.Crew)) / float64(last-first)
		n.There, n.Least = handsBetween(p, w.Finishing, first, last)
		n.From, n.To = timeOfDay(p, first), timeOfDay(p, last)
		all = append(all, n)
	}
	return all
}

// effective is the share of attended time that a crew works.
func effective(w *plant.Works, crew string) float64 {
	for k := range w.Crews {
		if w.Crews[k].Name == crew {
			return float64(w.Crews[k].Effective)
		}
	}
	return 1
}

// handsBetween is how many of the finishers can punch between two instants: the
// mean and the fewest, looked at every five minutes.
func handsBetween(p *plant.Plant, f *plant.Finishing, from, to des.Time) (mean, least float64) {
	const step = 5 * des.Minute
	var crew *plant.Crew
	w := p.Works()
	for k := range w.Crews {
		if w.Crews[k].Name == f.Crew {
			crew = &w.Crews[k]
		}
	}
	n, sum := 0, 0
	fewest := -1
	for t := from; t < to; t += step {
		heads := 0
		for name, there := range crew.Roster { // a sum of whole numbers: its order is no matter
			if p.Hours(name).IsOpen(t) {
				heads += there
			}
		}
		if f.Places > 0 {
			heads = min(heads, f.Places)
		}
		n, sum = n+1, sum+heads
		if fewest < 0 || heads < fewest {
			fewest = heads
		}
	}
	return float64(sum) / float64(n), float64(fewest)
}

// timeOfDay is the wall clock at an instant.
func timeOfDay(p *plant.Plant, t des.Time) des.Time {
	c := p.Clock().Civil(t)
	return des.Time(c.Hour())*des.Hour + des.Time(c.Minute())*des.Minute
}

// watchPours runs every option again with an observer, in the main future. The
// replications are the first that chose, seen again.
func (z *weighing) watchPours(ctx context.Context, r *Compared, s experiment.Settings) error {
	s.Seed, s.Fixed, s.Weeks = z.grid.Seed, z.grid.Fixed, z.grid.Weeks
	runs := min(experiment.WatchedRuns, z.fewest(z.grid))
	if z.grid.Fixed {
		runs = 1
	}
	var options []int
	for o := range z.Options {
		if z.Plant(o, r.Main).Works().Finishing != nil {
			options = append(options, o)
		}
	}
	seen := make([][]experiment.Watched, len(z.Options))
	k := 0
	err := experiment.Each(ctx, s.Workers, runs*len(options), func(ctx context.Context, n int) (experiment.Watched, error) {
		p := z.Plant(options[(n-1)/runs], r.Main)
		return experiment.Watch(ctx, p, s, z.grid.WarmUp.Weeks, uint32((n-1)%runs+1))
	}, func(w experiment.Watched) bool {
		o := options[k/runs]
		seen[o] = append(seen[o], w)
		k++
		return false
	})
	for _, o := range options {
		r.Options[o].Pours = experiment.PourRisks(z.Plant(o, r.Main), seen[o], z.grid.Weeks-z.grid.WarmUp.Weeks)
	}
	return err
}
