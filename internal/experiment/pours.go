package experiment

import (
	"context"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

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

// WatchedRuns is the most replications of a works in which every piece is
// watched from its pour to its punching.
const WatchedRuns = 3

// Watched counts one watched replication by ware and hour of pour.
type Watched struct{ poured, missed [][24]float64 }

// AddPours runs the first replications of an answer once more with an observer,
// which changes nothing in them, and keeps the risk of the window by hour of
// pour. Nothing is added where nothing is punched. The error is that of ctx or a
// *ReplicationError.
func (a *Answer) AddPours(ctx context.Context, p Runner, s Settings) error {
	if p.Works().Finishing == nil {
		return nil
	}
	s.Weeks = a.Weeks
	var seen []Watched
	err := Each(ctx, s.Workers, min(WatchedRuns, a.Replications), func(ctx context.Context, n int) (Watched, error) {
		return Watch(ctx, p, s, a.WarmUp.Weeks, uint32(n))
	}, func(w Watched) bool {
		seen = append(seen, w)
		return false
	})
	if err != nil {
		return err
	}
	a.Pictures.Pours = PourRisks(p, seen, a.Weeks-a.WarmUp.Weeks)
	return nil
}

// Watch observes one replication of so many weeks as s says. Only what is poured
// after the warm-up counts.
func Watch(ctx context.Context, p Runner, s Settings, warmUp int, number uint32) (Watched, error) {
	wares := map[string]int{}
	for i := range p.Works().Ware {
		wares[p.Works().Ware[i].Name] = i
	}
	count := Watched{make([][24]float64, len(wares)), make([][24]float64, len(wares))}
	from := des.Time(warmUp) * des.Week
	const finished = 32      // marks an hour whose piece has been counted
	hour := map[uint64]int{} // of pieces in the works
	_, err := p.Simulate(plant.Options{
		Source: random.New(s.Seed, number), Fixed: s.Fixed, Weeks: s.Weeks,
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

// PourRisks turns counts by replication, each of so many weeks, into shares.
func PourRisks(p Runner, runs []Watched, weeks int) []PourRisk {
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
			e := stats.RatioInterval(missed, poured, Level)
			all = append(all, PourRisk{Ware: p.Works().Ware[i].Name, Hour: h, Poured: sum / float64(len(runs)) / float64(weeks), Missed: e, Runs: len(runs)})
		}
	}
	return all
}
