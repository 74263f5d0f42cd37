package decision

import (
	"math"
	"slices"
	"time"

	"potbank/internal/des"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// PromiseDay is the good pieces counted for the order by the end of one day of
// 24 h from the start of the run: the 5, 50 and 95 % points over the runs.
type PromiseDay struct {
	End            time.Time
	Low, Mid, High float64
	Done           float64 // share of the runs that have all by then
}

// PromiseWeek is one week of the order: the fan at its end, and what is cast and
// wears out in it on average.
type PromiseWeek struct {
	Begins         time.Time
	Low, Mid, High float64   // good pieces by its end
	Casts, AllCast float64   // in the week, and up to its end
	Worn           float64   // working moulds worn out
	WornMost       float64   // 95 % point of that
	PourBy         time.Time // when moulds for them must be poured at the latest
	Enough         bool      // the casts of the batch are reached in this week
}

// fanEnds are the probabilities that bound the fan.
const fanLow, fanHigh = 0.05, 0.95

// progressOf lays out the progress of the order, from its start until all but one
// in twenty of the runs are done.
func (s *promiseStudy) progressOf() {
	runs := usable(s.runs)
	if len(runs) == 0 {
		return
	}
	first := int(max(0, s.from()) / des.Day)
	last := first
	for _, d := range s.daysOf(runs, ownDone, true) {
		last = max(last, first+int(math.Ceil(d)))
	}
	last = min(last, int(s.works.file.Works.Run.Length/des.Day))
	counts := make([]float64, len(runs))
	for k := range counts {
		counts[k] = float64(s.order.Packed)
	}
	for day := first; day < last; day++ {
		for k, r := range runs {
			if day < len(r.own.Days) {
				counts[k] += float64(r.own.Days[day])
			}
		}
		sorted := slices.Sorted(slices.Values(counts))
		d := PromiseDay{End: s.civil(des.Time(day+1) * des.Day), Low: stats.SampleQuantile(sorted, fanLow), Mid: stats.SampleQuantile(sorted, 0.5), High: stats.SampleQuantile(sorted, fanHigh)}
		few, _ := slices.BinarySearch(sorted, float64(s.order.Quantity))
		d.Done = float64(len(sorted)-few) / float64(len(sorted))
		s.answer.Days = append(s.answer.Days, d)
		if d.Low >= float64(s.order.Quantity) {
			break
		}
	}
	s.weeks(runs, first)
}

// weeks sums the days up. Runs end with their order, so that the casts of a week
// are averaged over the runs that still go on in it.
func (s *promiseStudy) weeks(runs []promiseRun, first int) {
	a := &s.answer
	all := 0.0
	for begin := 0; begin < len(a.Days); begin += 7 {
		end := min(begin+7, len(a.Days)) - 1
		w := PromiseWeek{Begins: s.civil(des.Time(first+begin) * des.Day), Low: a.Days[end].Low, Mid: a.Days[end].Mid, High: a.Days[end].High}
		var casts, worn []float64
		for _, r := range runs {
			if first+begin+7 > len(r.days) {
				continue
			}
			c, m := 0.0, 0.0
			for _, day := range r.days[first+begin : first+begin+7] {
				c, m = c+float64(day.Cast), m+float64(day.Worn)
			}
			casts, worn = append(casts, c), append(worn, m)
		}
		if len(casts) == 0 {
			break
		}
		slices.Sort(worn)
		w.Casts, w.Worn, w.WornMost = meanOf(casts), meanOf(worn), stats.SampleQuantile(worn, fanHigh)
		before := all
		all += w.Casts
		w.AllCast = all
		w.PourBy = w.Begins.Add(-a.Casts.Lead)
		w.Enough = before < float64(a.Casts.Batch) && all >= float64(a.Casts.Batch)
		a.Weeks = append(a.Weeks, w)
	}
}

func meanOf(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

// resample is what the draws of a bootstrap decide.
var resample = random.PurposeOf("promise.resample")

// resampled is which of n pairs is the i-th of resample k.
func resampled(seed uint64, k, i, n int) int {
	return min(n-1, int(random.New(seed, 0).Uniform(resample, uint64(k), uint32(i))*float64(n)))
}
