package experiment

import (
	"math"
	"slices"
	"strings"

	"potbank/internal/plant"
	"potbank/internal/stats"
)

// A study keeps of each replication what the answer needs, in the order of
// their numbers.
type study struct {
	Settings
	gauges   []gauge
	headline []int // indices of gauges on which precision is judged

	early  []*plant.Result // results held back until the warm-up is known
	warmUp WarmUp
	cut    bool // the warm-up is known

	kept     int         // replications taken
	num, den [][]float64 // [gauge][replication, or stretch of one long run], over the weeks after the warm-up
	series   []weekSum   // of every wip measure and of packed.total
	packed   []float64   // packed.total of every week after the warm-up, all replications

	leads  plant.LeadTimes // of the weeks measured, all replications
	weekly []weekValues    // of the measures asked for

	orders [][]plant.OrderResult // [replication][order]
	laws   []Law
	notes  noteCount
	events uint64

	precision stats.Precision
}

// weekSum adds up a measure week by week over replications.
type weekSum struct {
	gauge
	sum  []float64
	runs [][]float64 // of the first replications, by week
}

// weekValues keeps the single weeks of a measure.
type weekValues struct {
	gauge
	runs [][]float64 // [replication][week after the warm-up with something to measure]
}

// keep adds the weeks of one replication.
func (v *weekValues) keep(r *plant.Result, from, to int) {
	var weeks []float64
	for w := from; w < to; w++ {
		if num, den := v.of(r, w, w+1); den != 0 {
			weeks = append(weeks, num/den)
		}
	}
	v.runs = append(v.runs, weeks)
}

// newStudy starts an empty study. The settings must be complete.
func newStudy(gauges []gauge, s Settings) *study {
	st := &study{
		Settings: s, gauges: gauges,
		num: make([][]float64, len(gauges)), den: make([][]float64, len(gauges)),
	}
	for i, g := range gauges {
		if g.Headline {
			st.headline = append(st.headline, i)
		}
		if g.Name == "packed.total" || strings.HasPrefix(g.Name, "wip.") {
			st.series = append(st.series, weekSum{gauge: g, sum: make([]float64, s.Weeks)})
		}
	}
	if s.WarmUp != Auto {
		st.settle(WarmUp{Weeks: s.WarmUp, Method: "as given"})
	}
	return st
}

// take adds the next replication and reports whether there are enough.
func (st *study) take(r *plant.Result) (enough bool) {
	if !st.cut {
		st.early = append(st.early, r)
		if len(st.early) < min(pilot, st.Replications) {
			st.tell()
			return false
		}
		st.settle(findWarmUp(st.gauges, st.early, st.Weeks))
	} else {
		st.keep(r)
	}
	enough = st.enough()
	st.tell()
	return enough
}

// close settles the warm-up of a study that ended before its time.
func (st *study) close() {
	if !st.cut && len(st.early) > 0 {
		st.settle(findWarmUp(st.gauges, st.early, st.Weeks))
		st.precision = st.judge()
	}
}

// settle fixes the warm-up and takes in what was held back for it.
func (st *study) settle(w WarmUp) {
	st.warmUp, st.cut = w, true
	for _, r := range st.early {
		st.keep(r)
	}
	st.early = nil
}

// keep takes the figures of one replication; the result itself is let go, so
// that memory grows by a few numbers a replication and not by its weeks.
func (st *study) keep(r *plant.Result) {
	from, to := st.warmUp.Weeks, st.Weeks
	for _, s := range st.stretches(from, to) {
		for i, g := range st.gauges {
			num, den := g.of(r, s.from, s.to)
			st.num[i], st.den[i] = append(st.num[i], num), append(st.den[i], den)
		}
	}
	st.keepLeads(r, from, to)
	for i := range st.series {
		s := &st.series[i]
		weeks := s.weekly(r, to)
		if len(s.runs) < bandRuns {
			s.runs = append(s.runs, weeks)
		}
		for w, v := range weeks {
			s.sum[w] += v
		}
		if s.Name == "packed.total" {
			st.packed = append(st.packed, weeks[from:]...)
		}
	}
	for i := range st.weekly {
		st.weekly[i].keep(r, from, to)
	}
	st.kept++
	st.orders = append(st.orders, r.Orders)
	st.laws = addLaws(st.laws, r.Audit)
	st.notes.add(r.Notes)
	st.events += r.Events
}

// enough judges the precision and reports whether the study may end.
//
// Stopping is asked about the newest number of replications only: the smaller
// ones were asked about before, so the answer is that of one look at all
// prefixes, for a fraction of the work.
func (st *study) enough() bool {
	if st.kept < st.Replications {
		return false
	}
	st.precision = st.judge()
	return st.kept >= st.Most || st.Precision > 0 && st.precision.Done
}

// judge compares the headline measures with the precision wanted.
func (st *study) judge() stats.Precision {
	rule := stats.Stopping{Relative: st.Precision, Level: Level, Min: max(2, st.kept)}
	return rule.Check(st.ratios())
}

// ratios gives the headline measures replication by replication. The stopping
// rule looks at single ratios where the answer takes the ratio of means; the two
// differ by less than the half-width, and the rule only decides when to stop. Measures of
// which no replication has anything to measure are left out: they would keep
// the study going for ever.
func (st *study) ratios() [][]float64 {
	var samples [][]float64
	for _, i := range st.judged() {
		sample := make([]float64, len(st.num[i]))
		for r := range sample {
			sample[r] = st.num[i][r] / st.den[i][r]
		}
		samples = append(samples, sample)
	}
	return samples
}

// judged returns the indices of the headline measures that can be judged.
func (st *study) judged() []int {
	var able []int
	for _, i := range st.headline {
		if slices.ContainsFunc(st.den[i], func(d float64) bool { return d != 0 }) {
			able = append(able, i)
		}
	}
	return able
}

// driver returns the name of the headline measure furthest from its precision
// and its half-width relative to its mean; NaN when there is none yet.
func (st *study) driver(reached stats.Precision) (name string, relative float64) {
	d := reached.Driver
	if d < 0 || d >= len(reached.HalfWidths) {
		return "", math.NaN()
	}
	i := st.judged()[d]
	mean := stats.RatioInterval(st.num[i], st.den[i], Level).Value
	return st.gauges[i].Name, reached.HalfWidths[d] / math.Abs(mean)
}

// tell reports progress, if anybody listens.
func (st *study) tell() {
	if st.Settings.Progress == nil {
		return
	}
	p := Progress{
		Replications: max(st.kept, len(st.early)), Fewest: st.Replications, Most: st.Most,
		Precision: st.Precision,
	}
	reached := st.precision
	if 2 <= st.kept && st.kept < st.Replications {
		reached = st.judge() // for whoever looks on; the rule does not ask so early
	}
	p.Driver, p.HalfWidth = st.driver(reached)
	st.Settings.Progress(p)
}
