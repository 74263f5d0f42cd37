package experiment

import (
	"math"
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// Pictures is what an answer holds for charts: how its figures came about, week
// by week and stage by stage.
type Pictures struct {
	Weekly   []Weekly
	Output   Output
	Leads    Histogram
	Flow     []FlowStage
	Curve    *Curve // nil: too little is known
	Energy   []EnergyUse
	EnergyAt *EnergyCurve // nil: nothing is burnt, or nothing packed
	Paths    []Path
	Typical  int        // week of the first replication, from 1, whose output is nearest to its mean; 0: none
	Week     *Week      // that week, if AddWeek was asked for it
	Stands   []Stand    // of bench ware, if AddStands was
	Pours    []PourRisk // if AddPours was
}

// Weekly is one measure week by week: its mean over all replications, and the
// middle 90 % of the first of them.
type Weekly struct {
	Name, Unit string
	Mean       []float64
	Low, High  []float64 // 5 and 95 % points; nil for one replication
	Runs       int       // behind Low and High
}

// Output is the good pieces packed since the end of the warm-up, added up.
type Output struct {
	Low, Mid, High []float64 // 5, 50 and 95 % points at the end of each week
	Plan           []float64 // what the estimate by hand would have; nil without one
	Ahead          []float64 // Mid less Plan: negative where it is behind
	AheadLow       []float64 // Low less Plan
	AheadHigh      []float64 // High less Plan
	Runs           int
}

// Histogram counts lead times of A pieces over the weeks measured of all
// replications, in classes of equal width.
type Histogram struct {
	From, Width float64 // h
	Count       []int64
}

// End is where a class ends, h.
func (h *Histogram) End(class int) float64 { return h.From + float64(h.Width*float64(class+1)) }

// bandRuns is how many replications a band rests on at most: their weeks are
// kept, which those of a thousand replications should not be.
const bandRuns = 60

// bandEnds are the points between which the middle 90 % lie.
var bandEnds = [2]float64{0.05, 0.95}

// mostClasses is how many columns a histogram has at most.
const mostClasses = 48

// keepLeads adds the lead times of a replication.
func (st *study) keepLeads(r *plant.Result, from, to int) {
	if len(r.Leads) >= to {
		st.leads.Merge(r.Leads[from:to])
	}
}

// pictures puts together what charts need of an answer whose figures are known.
func (st *study) pictures(p Runner, a *Answer) Pictures {
	pic := Pictures{Output: st.output(a), Leads: histogram(&st.leads), Paths: st.paths(), Typical: st.typical()}
	for _, s := range st.series {
		pic.Weekly = append(pic.Weekly, s.bands(st.kept))
	}
	pic.Flow = flowOf(a)
	pic.Curve = curveOf(a)
	pic.Energy, pic.EnergyAt = energyOf(p.Works(), a)
	return pic
}

// bands gives the mean and the middle 90 % of each week.
func (s *weekSum) bands(kept int) Weekly {
	w := Weekly{Name: s.Name, Unit: s.Unit, Runs: len(s.runs)}
	for _, sum := range s.sum {
		w.Mean = append(w.Mean, sum/float64(kept))
	}
	if w.Runs < 2 {
		return w
	}
	w.Low, w.High = make([]float64, len(s.sum)), make([]float64, len(s.sum))
	week := make([]float64, w.Runs)
	for k := range s.sum {
		for r := range s.runs {
			week[r] = s.runs[r][k]
		}
		slices.Sort(week)
		w.Low[k], w.High[k] = stats.SampleQuantile(week, bandEnds[0]), stats.SampleQuantile(week, bandEnds[1])
	}
	return w
}

// output adds up the good pieces of the weeks measured, replication by
// replication.
func (st *study) output(a *Answer) Output {
	weeks := st.Weeks - st.warmUp.Weeks
	o := Output{Runs: min(bandRuns, len(st.packed)/max(1, weeks))}
	sums := make([]float64, o.Runs)
	for w := range weeks {
		for r := range sums {
			sums[r] += st.packed[r*weeks+w]
		}
		sorted := slices.Sorted(slices.Values(sums))
		if o.Runs == 0 {
			break
		}
		o.Mid = append(o.Mid, stats.SampleQuantile(sorted, 0.5))
		o.Low = append(o.Low, stats.SampleQuantile(sorted, bandEnds[0]))
		o.High = append(o.High, stats.SampleQuantile(sorted, bandEnds[1]))
	}
	for _, h := range a.Hand {
		if h.Name == "packed.total" {
			o.against(h.Value)
		}
	}
	return o
}

// against sets the output against a plan of so many pieces every week.
func (o *Output) against(plan float64) {
	for w := range o.Mid {
		due := float64(plan * float64(w+1))
		o.Plan = append(o.Plan, due)
		o.Ahead = append(o.Ahead, o.Mid[w]-due)
		o.AheadLow, o.AheadHigh = append(o.AheadLow, o.Low[w]-due), append(o.AheadHigh, o.High[w]-due)
	}
}

// typical finds the week of the first replication to be looked at: of those
// measured the one whose output is nearest to their mean, the first of several.
func (st *study) typical() int {
	weeks := min(st.Weeks-st.warmUp.Weeks, len(st.packed))
	if weeks < 1 {
		return 0
	}
	first := st.packed[:weeks]
	mean := 0.0
	for _, v := range first {
		mean += v / float64(weeks)
	}
	best := 0
	for w, v := range first {
		if math.Abs(v-mean) < math.Abs(first[best]-mean) {
			best = w
		}
	}
	return st.warmUp.Weeks + best + 1
}

// histogram puts lead times into classes whose width is a round number of hours.
func histogram(l *plant.LeadTimes) Histogram {
	if l.N() == 0 {
		return Histogram{}
	}
	low, _ := l.Quantile(0)
	high, _ := l.Quantile(1)
	for _, size := range []float64{0.25, 0.5, 1, 2, 3, 4, 6, 8, 12, 24, 48, 72, 168, 336, 672} {
		width := des.Time(size * float64(des.Hour))
		if (high-low)/float64(width) < mostClasses || size == 672 {
			from, each, counts := l.Classes(width)
			return Histogram{From: hours(from), Width: hours(each), Count: counts}
		}
	}
	return Histogram{}
}

// Path is how the half-width of a headline measure shrank.
type Path struct {
	Name     string
	Runs     []int
	Relative []float64 // half-width over value after so many replications
}

// pathPoints is about how many numbers of replications a path has.
const pathPoints = 40

// paths follows the precision of every headline measure. One long run has no
// replications to follow.
func (st *study) paths() []Path {
	if st.OneLongRun || st.kept < 2 {
		return nil
	}
	var all []Path
	step := max(1, st.kept/pathPoints)
	for _, i := range st.judged() {
		p := Path{Name: st.gauges[i].Name}
		for n := 2; n <= st.kept; n += step {
			if n+step > st.kept {
				n = st.kept // the last point is that of the answer
			}
			e := ratio(st.num[i][:n], st.den[i][:n])
			if e.HasInterval() && e.Value != 0 {
				p.Runs, p.Relative = append(p.Runs, n), append(p.Relative, e.HalfWidth()/math.Abs(e.Value))
			}
		}
		if p.Runs != nil {
			all = append(all, p)
		}
	}
	return all
}
