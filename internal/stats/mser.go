package stats

import "math"

const (
	// mserTail is the number of batches at the end at which MSER never cuts.
	// With few values left the statistic falls to near 0 by chance (Hoad,
	// Robinson and Davies, Journal of the Operational Research Society 61,
	// 2010, leave out the last five too).
	mserTail = 5
	// mserLeast is the least number of batches from which a cut is accepted.
	mserLeast = 10
)

// MSER finds where the start-up of a series ends by the marginal standard error
// rule (White, Simulation 69, 1997): average the series in batches of the given
// size (5 is the classic rule, MSER-5) and drop the first d batches for which
//
//	sum of squared deviations of the remaining batches / (their number)²
//
// is least, the smallest d if several are. That trades the bias of keeping the
// start-up against the noise of throwing data away.
//
// cut is in values of the series, a multiple of batch. ok is false when the cut
// falls in the second half, where the rule says no more than that the run is too
// short, or when there are fewer than 10 batches. statistic[d] is the figure
// above, for a picture. Values that do not fill a batch at the end are left
// out. A batch below 1 panics.
func MSER(series []float64, batch int) (cut int, ok bool, statistic []float64) {
	means := batchAverages(series, batch)
	statistic = marginalErrors(means)
	best := 0
	for d := 1; d <= len(means)-mserTail; d++ {
		if statistic[d] < statistic[best] {
			best = d
		}
	}
	ok = len(means) >= mserLeast && 2*best <= len(means)
	return best * batch, ok, statistic
}

// marginalErrors returns the MSER statistic for every number of dropped values.
// It adds values from the end, so all cuts together cost one pass.
func marginalErrors(values []float64) []float64 {
	statistic := make([]float64, len(values))
	var kept Tally
	for d := len(values) - 1; d >= 0; d-- {
		kept.Add(values[d])
		n := float64(kept.n)
		statistic[d] = kept.m2 / float64(n*n)
	}
	return statistic
}

// batchAverages averages each full run of size values.
func batchAverages(series []float64, size int) []float64 {
	if size < 1 {
		panic("stats: batch size below 1")
	}
	averages := make([]float64, len(series)/size)
	for i := range averages {
		t := tallyOf(series[i*size : (i+1)*size])
		averages[i] = t.Mean()
	}
	return averages
}

// AverageSeries averages several runs of one series, value by value, over the
// length of the shortest. Warm-up is judged on this average, as the start-up is
// common to all runs and their noise is not. It is empty when there are no
// runs.
func AverageSeries(runs [][]float64) []float64 {
	if len(runs) == 0 {
		return nil
	}
	shortest := math.MaxInt
	for _, run := range runs {
		shortest = min(shortest, len(run))
	}
	average := make([]float64, shortest)
	for i := range average {
		var t Tally
		for _, run := range runs {
			t.Add(run[i])
		}
		average[i] = t.Mean()
	}
	return average
}
