package decision

import (
	"context"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
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
		c := CycleOf(p, b)
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

// A PourRisk is the risk of the window by hour of pour: of the pieces of a ware
// poured in an hour of the day, those that are punched too late or have grown
// too dry to be punched at all.
type PourRisk struct {
	Ware   string
	Hour   int            // of the day, on the wall clock
	Poured float64        // pieces a week
	Missed stats.Estimate // share of them, 0 to 1
	Runs   int
}

// watchedRuns is the replications of each option in which every piece is watched
// from its pour to its punching. They are the first that chose, seen again.
const watchedRuns = 3

// pours counts one watched replication by ware and hour of pour.
type pours struct{ poured, missed [][24]float64 }

// watchPours runs every option again with an observer, in the main future. An
// observed run is the same run.
func (z *weighing) watchPours(ctx context.Context, r *Compared, s experiment.Settings) error {
	runs := min(watchedRuns, z.first(z.grid))
	if z.grid.Fixed {
		runs = 1
	}
	var options []int
	for o := range z.Options {
		if z.Plant(o, r.Main).Works().Finishing != nil {
			options = append(options, o)
		}
	}
	seen := make([][]pours, len(z.Options))
	k := 0
	err := experiment.Each(ctx, s.Workers, runs*len(options), func(ctx context.Context, n int) (pours, error) {
		return z.watch(ctx, options[(n-1)/runs], uint32((n-1)%runs+1))
	}, func(p pours) bool {
		o := options[k/runs]
		seen[o] = append(seen[o], p)
		k++
		return false
	})
	for _, o := range options {
		r.Options[o].Pours = riskOf(z.Plant(o, r.Main), seen[o], float64(z.grid.Weeks-z.grid.WarmUp.Weeks))
	}
	return err
}

// watch observes one replication of an option. Only what is poured after the
// warm-up counts.
func (z *weighing) watch(ctx context.Context, o int, number uint32) (pours, error) {
	p := z.Plant(o, z.main())
	wares := map[string]int{}
	for i := range p.Works().Ware {
		wares[p.Works().Ware[i].Name] = i
	}
	count := pours{make([][24]float64, len(wares)), make([][24]float64, len(wares))}
	from := des.Time(z.grid.WarmUp.Weeks) * des.Week
	const finished = 32      // marks an hour whose piece has been counted
	hour := map[uint64]int{} // of pieces in the works
	_, err := p.Simulate(plant.Options{
		Source: random.New(z.grid.Seed, number), Fixed: z.grid.Fixed, Weeks: z.grid.Weeks,
		Stopped: func() bool { return ctx.Err() != nil },
		Observer: func(e plant.Observation) {
			if e.Event == "filled" {
				if e.At >= from {
					hour[e.Piece] = p.Clock().Civil(e.At).Hour()
				}
				return
			}
			h, ok := hour[e.Piece]
			if !ok {
				return
			}
			i := wares[e.Ware]
			counted := h >= finished
			switch h %= finished; e.Event {
			case "missed its window":
				count.missed[i][h]++
			case "finished":
				count.poured[i][h]++
				hour[e.Piece] = h + finished
			case "lost", "packed":
				// Every piece leaves the works by one of these, so the list stays short.
				delete(hour, e.Piece)
				if counted {
					return // it was lost later
				}
				count.poured[i][h]++
				if e.Where == plant.TooDry {
					count.missed[i][h]++
				}
			}
		},
	})
	return count, err
}

// riskOf turns counts by replication into shares.
func riskOf(p *plant.Plant, runs []pours, weeks float64) []PourRisk {
	var all []PourRisk
	for i := range p.Works().Ware {
		if p.Works().Ware[i].Window == nil {
			continue
		}
		for h := range 24 {
			var poured, missed []float64
			sum := 0.0
			for _, r := range runs {
				poured, missed = append(poured, r.poured[i][h]), append(missed, r.missed[i][h])
				sum += r.poured[i][h]
			}
			if sum == 0 {
				continue
			}
			e := stats.RatioInterval(missed, poured, experiment.Level)
			all = append(all, PourRisk{Ware: p.Works().Ware[i].Name, Hour: h, Poured: sum / float64(len(runs)) / weeks, Missed: e, Runs: len(runs)})
		}
	}
	return all
}
