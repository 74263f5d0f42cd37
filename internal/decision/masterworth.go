package decision

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// recovery is the margin starved in recovery as a line over the moulds broken,
// fitted to the simulated rows: what a replay cannot know of itself.
type recovery struct{ fixed, perMould float64 }

// fitRecovery fits the line by least squares over all rows and replications.
// Where all rows broke as many moulds there is no line, only a level.
func (s *masterStudy) fitRecovery() recovery {
	var n, sx, sy, sxx, sxy float64
	for i := range s.trials {
		for _, r := range s.trials[i].runs {
			x, y := float64(r.rec.MouldsBroken), r.cost.Starved+r.cost.Late
			n++
			sx += x
			sy += y
			sxx += float64(x * x)
			sxy += float64(x * y)
		}
	}
	spread := sxx - sx*sx/n
	if spread < 1 {
		return recovery{fixed: sy / n}
	}
	slope := (sxy - sx*sy/n) / spread
	return recovery{fixed: (sy - float64(slope*sx)) / n, perMould: slope}
}

// total is the cost of one replay with what is starved in recovery.
func (p *played) total(r recovery) float64 {
	return p.cost.Total() + r.fixed + float64(r.perMould*p.moulds)
}

// totals are the costs of a policy, a slice for each replication.
func (s *masterStudy) totals(policy int, r recovery) [][]float64 {
	all := make([][]float64, len(s.trials))
	for i := range s.trials {
		for k := range s.trials[i].played[policy] {
			all[i] = append(all[i], s.trials[i].played[policy][k].total(r))
		}
	}
	return all
}

// means are the mean costs of a policy by replication.
func means(all [][]float64) []float64 {
	xs := make([]float64, len(all))
	for i, x := range all {
		for _, v := range x {
			xs[i] += v / float64(len(x))
		}
	}
	return xs
}

// less is the paired difference of two policies, the first less the second.
func less(a, b []float64) stats.Estimate { return stats.PairedInterval(a, b, experiment.Level) }

// tail is the mean of the worst share of sorted values; a share that is no whole
// number of values takes part of the last.
func tail(sorted []float64, share float64) float64 {
	want := share * float64(len(sorted))
	sum, left := 0.0, want
	for k := len(sorted) - 1; k >= 0 && left > 0; k-- {
		part := min(1, left)
		sum += float64(part * sorted[k])
		left -= part
	}
	return sum / want
}

// median of some values; NaN of none.
func median(xs []float64) float64 {
	slices.Sort(xs)
	return stats.SampleQuantile(xs, .5)
}

// bootstraps are resamples of the histories, behind the intervals of quantiles
// and tails: outcomes on one history are not independent, histories are.
const bootstraps = 200

// spread gives the median, the 95 % point and the mean of the worst 5 % of
// outcomes, with intervals by resampling whole histories.
func spread(all [][]float64, seed uint64) (p50, p95, cvar stats.Estimate, n int) {
	of := func(pick func(i int) int) [3]float64 {
		var xs []float64
		for i := range all {
			xs = append(xs, all[pick(i)]...)
		}
		slices.Sort(xs)
		n = len(xs)
		return [3]float64{stats.SampleQuantile(xs, .5), stats.SampleQuantile(xs, .95), tail(xs, .05)}
	}
	value := of(func(i int) int { return i })
	luck, purpose := random.New(seed, 0), random.PurposeOf("bootstrap")
	var drawn [3][]float64
	for b := range bootstraps {
		x := of(func(i int) int {
			return int(luck.Uniform(purpose, uint64(b), uint32(i)) * float64(len(all)))
		})
		for k := range drawn {
			drawn[k] = append(drawn[k], x[k])
		}
	}
	var e [3]stats.Estimate
	for k := range e {
		slices.Sort(drawn[k])
		e[k] = stats.Estimate{Value: value[k], Low: stats.SampleQuantile(drawn[k], .025), High: stats.SampleQuantile(drawn[k], .975), Level: experiment.Level, N: n}
	}
	return e[0], e[1], e[2], n
}

// running is what gates cost a year, besides faults: inspection, upkeep, good
// ware thrown away, alarms that were none.
func (s *masterStudy) running(gates []WatchGate) float64 {
	sum := 0.0
	for _, g := range gates {
		k := slices.IndexFunc(s.q.Gates, func(o WatchGate) bool { return o.Name == g.Name })
		perYear := weeksPerYear * s.average(func(t *masterTrial) float64 { return t.base.perWeek[k] }) * g.Fraction
		thrown := g.Rejects
		if g.Destroys {
			thrown = 1
		}
		sum += g.Year + float64(perYear*(g.Each+float64(thrown*(s.f.atGate(placeOf(g.At))+s.q.Money.Margin[s.q.Fault.Ware])))) + float64(s.falseYear(g, k)*s.q.Money.FalseAlarm)
	}
	return sum
}

// falseYear is the false alarms a year of a gate: counted in the runs without the
// fault at its own fraction, by the Poisson law at another.
func (s *masterStudy) falseYear(g WatchGate, k int) float64 {
	if g.Fraction == s.q.Gates[k].Fraction {
		return weeksPerYear * s.average(func(t *masterTrial) float64 { return t.base.falseWeek[k] })
	}
	if g.Alarm.Bad > 0 {
		return 0
	}
	return s.falseAlarms(g, g.Alarm.By, g.Alarm.Faults)
}

// evenAt is the faults a year from which something that costs more to run and
// saves on each fault is worth it; NaN: it saves nothing.
func evenAt(running, saves float64) float64 {
	if saves <= 0 {
		return math.NaN()
	}
	return max(0, running/saves)
}

// checkWorth is the worth of a check before the release, against today.
func (s *masterStudy) checkWorth(finds, ifFound, running, today float64) *CheckWorth {
	if finds == 0 {
		return nil
	}
	saves := float64(finds * (today - ifFound))
	return &CheckWorth{Finds: finds, Running: running, Saves: saves, Year: float64(s.q.PerYear*saves) - running, Even: evenAt(running, saves)}
}

// releaseWorth is the worth of inspecting the tool before its release.
func (s *masterStudy) releaseWorth(today float64) *CheckWorth {
	c := s.q.Release
	return s.checkWorth(c.Finds, c.Rework, float64(c.Each*c.Year), today)
}

// pilotWorth is the worth of a pilot firing before each release.
func (s *masterStudy) pilotWorth(today float64) *CheckWorth {
	c := s.q.Pilot
	if c.Pieces == 0 {
		return nil
	}
	finds := 1 - NoAlarm(1, c.Finds, s.q.Fault.Shows, c.Pieces)
	return s.checkWorth(finds, s.q.Money.Tool, float64(c.Year*(c.Each+float64(c.Days*c.PerDay))), today)
}

// suspects is the mean suspects of a level over the runs of today's row that were
// stopped.
func (s *masterStudy) suspects(level int) (mean plant.MasterSuspects, n int) {
	row := s.todayRow()
	var sum plant.MasterSuspects
	for i := range s.trials {
		rec := s.trials[i].runs[row].rec
		if rec.Stop == des.Never {
			continue
		}
		x := rec.Suspects[level]
		n++
		sum.Works += x.Works
		sum.Store += x.Store
		sum.Shipped += x.Shipped
		sum.Good += x.Good
		sum.Moulds += x.Moulds
	}
	if n > 0 {
		k := int64(n)
		sum = plant.MasterSuspects{Works: sum.Works / k, Store: sum.Store / k, Shipped: sum.Shipped / k, Good: sum.Good / k, Moulds: sum.Moulds / k}
	}
	return sum, n
}

// pulled is where ware is taken out under today's watch.
func (s *masterStudy) pulled() []PulledRow {
	row := s.todayRow()
	var rows []PulledRow
	for k, section := range s.trials[0].runs[row].rec.Scrapped {
		r := PulledRow{Section: section.Section}
		for i := range s.trials {
			x := s.trials[i].runs[row].rec.Scrapped[k]
			r.Pieces += float64(x.Pieces) / float64(len(s.trials))
			r.Value += float64(x.Value) / 1e6 / float64(len(s.trials))
		}
		if r.Pieces > 0 {
			rows = append(rows, r)
		}
	}
	return rows
}

// orders is how much later each order is, by row.
func (s *masterStudy) orders() []LateOrder {
	var all []LateOrder
	for k, o := range s.trials[0].base.orders {
		late := LateOrder{Name: o.Name}
		for row := range s.rows {
			late.Days = append(late.Days, s.average(func(t *masterTrial) float64 { return t.runs[row].late[k] }))
		}
		all = append(all, late)
	}
	return all
}

// credible is the chance that an alarm of the gates in use is a true one: the
// faults a year that they stop, against the alarms a year that are none.
func (s *masterStudy) credible() float64 {
	gates := s.q.used().gates
	if len(gates) == 0 {
		return math.NaN()
	}
	wrong := 0.0
	for _, g := range gates {
		k := slices.IndexFunc(s.q.Gates, func(o WatchGate) bool { return o.Name == g.Name })
		wrong += s.falseYear(g, k)
	}
	stopped := s.average(func(t *masterTrial) float64 {
		n := 0.0
		for _, p := range t.played[s.today] {
			if p.own {
				n++
			}
		}
		return n / float64(len(t.played[s.today]))
	})
	if float64(stopped*s.q.PerYear)+wrong == 0 {
		return math.NaN()
	}
	return stopped * s.q.PerYear / (float64(stopped*s.q.PerYear) + wrong)
}

// yieldMargin is the margin that a cast that is not made loses.
func (a *MasterAnswer) yieldMargin(s *masterStudy) float64 {
	return float64(s.q.Money.Margin[a.Ware] * s.average(func(t *masterTrial) float64 { return t.base.yield }))
}
