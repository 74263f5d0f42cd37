package decision

import (
	"context"
	"fmt"
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// answer draws the answer from the replications taken, but for its certificate.
func (s *masterStudy) answer() *MasterAnswer {
	q, w := s.q, s.p.Works()
	a := &MasterAnswer{
		Title: q.Title, Works: w.Name, Currency: w.Currency, Ware: q.Fault.Ware, Node: q.Fault.Node, Shows: q.Fault.Shows,
		PerYear: q.PerYear, Weeks: q.Weeks, Seed: q.Seed, Replications: len(s.trials), Redraws: q.Redraws,
		Born:       s.p.Clock().Civil(q.Fault.Born).Format("Mon 2 Jan 2006"),
		Constraint: map[bool]string{true: "casting", false: "kiln"}[s.f.casting],
	}
	rec := s.fitRecovery()
	for k := range s.rows {
		a.Rows = append(a.Rows, s.row(k, rec))
	}
	customer := a.Rows[len(a.Rows)-1].Cost.Value
	for k := range a.Rows {
		r := &a.Rows[k]
		r.Even = math.NaN()
		if k < len(a.Rows)-1 {
			r.Even = evenAt(r.Running, customer-r.Cost.Value)
		}
	}
	today := means(s.totals(s.today, rec))
	s.answerSteps(a, rec, today)
	s.answerTraces(a, rec)
	mean := a.Rows[s.todayRow()].Cost.Value
	a.Release, a.Pilot = s.releaseWorth(mean), s.pilotWorth(mean)
	a.Pulled, a.Orders = s.pulled(), s.orders()
	a.True, a.StopAt = s.credible(), StopAt(a.yieldMargin(s), s.f.stages[valueFinished]-s.f.reclaim)
	s.warn(a)
	s.recommend(a, nil)
	return a
}

// row is the answer of one row.
func (s *masterStudy) row(k int, rec recovery) GateRow {
	w := s.rows[k]
	r := GateRow{Name: w.name, Cost: s.rowCost(k), EscapeN: len(s.trials)}
	for _, g := range w.gates {
		r.InUse = r.InUse || g.InUse
	}
	totals := s.totals(k, rec)
	r.Replayed = average(means(totals))
	for i := range totals { // levelled as the mean is, so that all of a row is of one distribution
		t := &s.trials[i]
		wrong := t.runs[k].cost.Total() - t.own[k].total(rec)
		for n := range totals[i] {
			totals[i][n] += wrong
		}
	}
	r.P50, r.P95, r.CVaR, r.N = spread(totals, s.q.Seed)
	r.Gap = s.gap(k, rec)
	each := func(run func(m *plant.MasterResult) int64, of func(p *played) float64) float64 {
		return s.average(func(t *masterTrial) float64 { return t.levelled(k, float64(run(t.runs[k].rec)), of) })
	}
	for i := range s.trials {
		r.Parts.add(s.trials[i].cost(k, rec), 1/float64(len(s.trials)))
	}
	r.Casts = each(func(m *plant.MasterResult) int64 {
		if m.Stop == des.Never {
			return m.Cast
		}
		return m.CastStop
	}, func(p *played) float64 { return p.casts })
	r.Moulds = each(func(m *plant.MasterResult) int64 { return m.MouldsBroken }, func(p *played) float64 { return p.moulds })
	r.Shipped = each(func(m *plant.MasterResult) int64 { return m.ShippedBad }, func(p *played) float64 { return p.shipped })
	r.Returned = each(func(m *plant.MasterResult) int64 { return m.Returned }, func(p *played) float64 { return p.returned })
	r.Lost = stats.MeanInterval(s.column(func(t *masterTrial) float64 { return t.runs[k].lost }), experiment.Level)
	r.Escape = 1
	if len(w.gates) > 0 {
		r.Escape = s.average(func(t *masterTrial) float64 { return t.escape[k] })
	}
	r.Times = s.times(k)
	r.Running = s.running(w.gates)
	r.Year = float64(s.q.PerYear*r.Cost.Value) + r.Running
	r.Hand = s.handGate(k)
	return r
}

// times are the medians of a row's dates after its first bad cast.
func (s *masterStudy) times(row int) MasterTimes {
	of := func(pick func(r *plant.MasterResult) des.Time) float64 {
		days := make([]float64, 0, len(s.trials))
		for i := range s.trials {
			rec := s.trials[i].runs[row].rec
			d := math.Inf(1)
			if at := pick(rec); at != des.Never {
				d = float64(at-rec.FirstCast) / float64(des.Day)
			}
			days = append(days, d)
		}
		if m := median(days); !math.IsInf(m, 0) {
			return m
		}
		return math.NaN()
	}
	return MasterTimes{
		Seen:     of(func(r *plant.MasterResult) des.Time { return r.FirstSeen }),
		Alarm:    of(func(r *plant.MasterResult) des.Time { return r.Alarm }),
		Stop:     of(func(r *plant.MasterResult) des.Time { return r.Stop }),
		Released: of(func(r *plant.MasterResult) des.Time { return r.Released }),
		Refilled: of(func(r *plant.MasterResult) des.Time { return r.Refilled }),
	}
}

// answerSteps tells what each single change of today's watch is worth.
func (s *masterStudy) answerSteps(a *MasterAnswer, rec recovery, today []float64) {
	q := s.q
	first := len(s.policies) - len(s.steps)
	_, _, tailToday, _ := spread(s.totals(s.today, rec), q.Seed)
	running := s.running(q.used().gates)
	for k, st := range s.steps {
		totals := s.totals(first+k, rec)
		xs := means(totals)
		_, _, worst, _ := spread(totals, q.Seed)
		g := q.Gates[st.gate]
		step := GateStep{Gate: g.Name, From: st.from, To: st.to(q), Saves: less(today, xs), Tail: tailToday.Value - worst.Value}
		step.Running = s.running(st.policy.gates) - running
		step.Year = scaled(step.Saves, q.PerYear, -step.Running)
		step.Even = evenAt(step.Running, step.Saves.Value)
		g.Fraction = step.To
		step.False = s.falseYear(g, st.gate)
		step.Formula = s.formula(st.gate, a)
		a.Steps = append(a.Steps, step)
	}
	for k := range a.Steps {
		st := &a.Steps[k]
		st.Best = st.Year.Value > 0
		for _, o := range a.Steps {
			st.Best = st.Best && (o.Gate != st.Gate || o.Year.Value <= st.Year.Value)
			if o.Gate == st.Gate && o.To == 1 {
				st.Floor = average(today) - o.Saves.Value
			}
		}
	}
	slices.SortStableFunc(a.Steps, func(x, y GateStep) int {
		switch {
		case x.Year.Value > y.Year.Value:
			return -1
		case x.Year.Value < y.Year.Value:
			return 1
		}
		return 0
	})
}

// scaled is factor x estimate + shift; the factor is not negative.
func scaled(e stats.Estimate, factor, shift float64) stats.Estimate {
	e.Value, e.Low, e.High, e.SD = float64(factor*e.Value)+shift, float64(factor*e.Low)+shift, float64(factor*e.High)+shift, factor*e.SD
	return e
}

// formula is the fraction to inspect by the closed form of a steady fault: what
// one more bad cast costs is its value at the gate and the good piece in whose
// place it was cast.
func (s *masterStudy) formula(k int, a *MasterAnswer) float64 {
	g := s.q.Gates[k]
	reach := 1.0
	if y := s.flow(); y > 0 {
		reach = min(1, s.average(func(t *masterTrial) float64 { return t.base.perWeek[k] })/y)
	}
	yield := s.average(func(t *masterTrial) float64 { return t.base.yield })
	return Sampling{
		PerYear: s.q.PerYear, Faults: max(1, g.Alarm.Faults), Cost: g.Each, Finds: g.Finds * max(s.q.Fault.Shows, 1e-9), Reach: reach,
		Value:  s.f.atGate(placeOf(g.At)) + float64(yield*s.q.Money.Margin[s.q.Fault.Ware]),
		Pieces: weeksPerYear * s.average(func(t *masterTrial) float64 { return t.base.perWeek[k] }),
	}.Best()
}

// answerTraces tells what each trace level is worth: the least cost of the ways
// of counting that it allows.
func (s *masterStudy) answerTraces(a *MasterAnswer, rec recovery) {
	if len(s.traces) == 0 {
		return
	}
	first := s.today + 1
	best := map[string]int{}
	costs := make([][]float64, len(s.traces))
	for k, t := range s.traces {
		costs[k] = means(s.totals(first+k, rec))
		if b, any := best[t.level]; !any || average(costs[k]) < average(costs[b]) {
			best[t.level] = k
		}
	}
	limit := s.falseLimit(s.q.watched())
	for level, name := range plant.TraceLevels {
		k := best[name]
		row := TraceRow{Level: name, By: s.traces[k].by, Faults: s.traces[k].faults, InUse: name == s.q.Fault.Trace, Limit: limit}
		row.Cost = stats.MeanInterval(costs[k], experiment.Level)
		row.Saves = less(costs[best["none"]], costs[k])
		row.Days = s.average(func(t *masterTrial) float64 {
			sum := 0.0
			for _, p := range t.played[first+k] {
				sum += float64(float64(p.stop-t.runs[0].rec.FirstCast) / float64(des.Day))
			}
			return sum / float64(len(t.played[first+k]))
		})
		m, _ := s.suspects(level)
		row.Works, row.Store, row.Shipped, row.Good, row.Moulds = float64(m.Works), float64(m.Store), float64(m.Shipped), float64(m.Good), float64(m.Moulds)
		a.Traces = append(a.Traces, row)
	}
}

// certify plays today's watch and the best change of it on fresh histories, and
// rewrites the recommendation with what they say. Playing both many times on a
// history takes the luck of inspection out, which is most of the spread; the
// recovery is that of the runs that chose.
func (s *masterStudy) certify(ctx context.Context, a *MasterAnswer) error {
	if len(a.Steps) == 0 || a.Steps[0].Year.Value <= 0 {
		return nil
	}
	chosen := s.policyOf(a.Steps[0])
	offset, rec := len(s.trials), s.fitRecovery()
	var saves []float64
	err := experiment.Each(ctx, s.q.Workers, offset, func(ctx context.Context, number int) (float64, error) {
		h, err := s.history(ctx, offset+number)
		if err != nil {
			return 0, err
		}
		return h.saved(s.q.used(), chosen, rec), nil
	}, func(x float64) bool { saves = append(saves, x); return false })
	if len(saves) >= 2 {
		e := stats.MeanInterval(saves, experiment.Level)
		a.Certified = len(saves)
		s.recommend(a, &e)
	}
	return err
}

// history runs one replication without the fault and one with it that only
// complaints stop.
func (s *masterStudy) history(ctx context.Context, number int) (*history, error) {
	stopped := func() bool { return ctx.Err() != nil }
	r, err := simulateMaster(s.p, s.q, s.q.without(), number, stopped)
	if err != nil {
		return nil, err
	}
	b := baseOf(s.q, s.f, s.measures, r)
	if r, err = simulateMaster(s.p, s.q, s.q.with(), number, stopped); err != nil {
		return nil, err
	}
	return newHistory(s.q, s.f, b, number, r.Master), nil
}

// roughReplay is the share of a cost by which replays may be off before it is
// worth a word.
const roughReplay = .1

// warn tells what makes the answer doubtful.
func (s *masterStudy) warn(a *MasterAnswer) {
	for k, r := range a.Rows {
		if g := r.Gap; math.Abs(g.Value) > roughReplay*math.Abs(r.Cost.Value) && g.Excludes(0) {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%s: with the same luck of inspection a run comes to %s %s %s than its replay, so take the median, the 95 %% column and the worst 5 %% of %s, and what other fractions of it are worth, as rough by about that; its mean allows for it",
				r.Name, plain(math.Abs(g.Value)), a.Currency, map[bool]string{true: "more", false: "less"}[g.Value > 0], r.Name))
		}
		late := 0
		for i := range s.trials {
			if rec := s.trials[i].runs[k].rec; rec.Stop == des.Never || rec.Refilled == des.Never {
				late++
			}
		}
		if late > 0 {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%s: in %d of %d runs the works had not recovered by the end; simulate more than %d weeks for the whole cost", r.Name, late, len(s.trials), s.q.Weeks))
		}
	}
	if s.q.Money.Margin[s.q.Fault.Ware] == 0 {
		a.Warnings = append(a.Warnings, "no margin is given: good pieces lost cost nothing in this answer")
	}
	free := true
	for _, g := range s.q.Gates {
		free = free && g.Each == 0 && g.Year == 0
	}
	if free {
		a.Warnings = append(a.Warnings, "inspection is free in this answer, so it advises more of it than is worth its price")
	}
	never := s.average(func(t *masterTrial) float64 {
		if t.runs[0].rec.FirstCast == des.Never {
			return 1
		}
		return 0
	})
	if never > 0 {
		a.Warnings = append(a.Warnings, fmt.Sprintf("in %.0f %% of the runs no bad piece was cast", 100*never))
	}
}
