package decision

import (
	"cmp"
	"context"
	"math"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// PromiseCause is one cause of the width of the date. Share is the part of the
// variance of the working days that would go if this cause were known or gone
// and all others stayed: half the mean square of what dealing it anew changes,
// over the variance (Jansen, Computer Physics Communications 117, 1999). Causes
// that only hurt together each count what they have in common; where shares would
// add up to more than 1 for that, or for the error of few pairs, all are scaled
// to add up to 1.
type PromiseCause struct {
	Name, Where string
	Share       stats.Estimate
	Days        float64 // standard deviation of the date from this cause alone, working days
	Pairs       int
}

// PromiseInput is a value that rests on counts or records, with the part of the
// variance of the working days that goes with it: the square of their
// correlation, freed of what chance adds.
type PromiseInput struct {
	experiment.Evidence
	Share float64
}

// causeGroup is luck that is dealt anew together.
type causeGroup struct {
	name, where string
	cause       plant.Cause
}

// unknownCause is the cause that is not luck.
const unknownCause = "what nobody knows exactly"

// causeGroups are the causes of luck, in the words of an answer.
var causeGroups = []causeGroup{
	{"long stops and breakdowns", "kilns, machines", plant.CauseStops},
	{"cars and days that go wrong as a whole", "kilns, white inspection", plant.CauseBatches},
	{"times and absence of hands", "all shops", plant.CauseHands},
	{"lives of moulds, places out of use, cycles", "casting, dryers", plant.CauseMoulds},
	{"age of the ware in the works today", "all shops", plant.CauseOpening},
	{"luck of single pieces", "all shops", plant.CausePieces},
}

// fewCausePairs is how many pairs tell whether a cause moves the date at all; of
// one that moves none of them no more are run.
const fewCausePairs = 6

// causes deals each cause anew on the same luck of all others.
func (s *promiseStudy) causes(ctx context.Context) error {
	s.unknownInputs()
	if !(s.answer.Spread > 0) {
		return nil
	}
	specs := []trialSpec{{works: s.works, until: []string{s.q.Order}, redraw: true}}
	groups := []causeGroup{{name: unknownCause, where: "the file"}}
	if !s.works.unknown() {
		specs, groups = nil, nil
	}
	for _, g := range causeGroups {
		specs = append(specs, trialSpec{works: s.works, until: []string{s.q.Order}, cause: g.cause})
		groups = append(groups, g)
	}
	for k, g := range groups {
		cause, err := s.cause(ctx, g, specs[k])
		if err != nil {
			return err
		}
		if cause.Share.Value > 0 {
			s.answer.Causes = append(s.answer.Causes, cause)
		}
	}
	s.scaleCauses()
	slices.SortStableFunc(s.answer.Causes, func(a, b PromiseCause) int { return cmp.Compare(b.Share.Value, a.Share.Value) })
	return nil
}

// cause measures one.
func (s *promiseStudy) cause(ctx context.Context, g causeGroup, spec trialSpec) (PromiseCause, error) {
	c := PromiseCause{Name: g.name, Where: g.where}
	first := min(fewCausePairs, s.q.Pairs)
	runs, err := s.simulate(ctx, spec, 0, first)
	if err != nil {
		return c, err
	}
	halves := s.halfSquares(runs)
	if slices.Max(append(halves, 0)) > 0 && first < s.q.Pairs {
		more, err := s.simulate(ctx, spec, first, s.q.Pairs-first)
		if err != nil {
			return c, err
		}
		halves = s.halfSquares(append(runs, more...))
	}
	variance := s.answer.Spread * s.answer.Spread
	for i := range halves {
		halves[i] /= variance
	}
	c.Pairs = len(halves)
	c.Share = stats.MeanInterval(halves, experiment.Level)
	c.Share.Low = max(0, c.Share.Low)
	return c, nil
}

// scaleCauses keeps the shares to a whole, and tells what each comes to in days.
func (s *promiseStudy) scaleCauses() {
	sum := 0.0
	for _, c := range s.answer.Causes {
		sum += c.Share.Value
	}
	for k := range s.answer.Causes {
		c := &s.answer.Causes[k]
		c.Share.Value, c.Share.Low, c.Share.High = c.Share.Value/max(1, sum), c.Share.Low/max(1, sum), min(1, c.Share.High/max(1, sum))
		c.Days = s.answer.Spread * math.Sqrt(c.Share.Value)
	}
}

// halfSquares is half the square of what dealing anew changes in the working
// days, by pair.
func (s *promiseStudy) halfSquares(runs []promiseRun) []float64 {
	a, b := pairsOf(runs, s.runs)
	x, y := workDaysOf(a), workDaysOf(b)
	var halves []float64
	for k := range x {
		if x[k] < never && y[k] < never {
			halves = append(halves, (x[k]-y[k])*(x[k]-y[k])/2)
		}
	}
	return halves
}

// shownInputs is how many inputs are named.
const shownInputs = 5

// unknownInputs ranks the values that rest on evidence by what of the date goes
// with them. An input counts when chance alone would show as much of any of them
// in one study of twenty (Student's t test, Bonferroni).
func (s *promiseStudy) unknownInputs() {
	runs := usable(s.runs)
	evidence := s.works.file.Evidence()
	days := workDaysOf(runs)
	if len(evidence) == 0 || len(runs) < 10 || slices.Max(days) == never {
		return
	}
	n := float64(len(runs))
	limit := stats.StudentQuantile(1-0.025/float64(len(evidence)), n-2)
	for i, e := range evidence {
		values := make([]float64, len(runs))
		for k, r := range runs {
			values[k] = r.values[i]
		}
		r := stats.Correlation(values, days)
		square := float64(r * r)
		if t := math.Sqrt(square * (n - 2) / (1 - square)); t > limit {
			s.answer.Unknown = append(s.answer.Unknown, PromiseInput{
				experiment.Evidence{Path: e.Path, Rests: e.String(), Of: e.Of}, max(0, square-(1-square)/(n-2))})
		}
	}
	slices.SortStableFunc(s.answer.Unknown, func(a, b PromiseInput) int { return cmp.Compare(b.Share, a.Share) })
	s.answer.Unknown = s.answer.Unknown[:min(len(s.answer.Unknown), shownInputs)]
}
