package stats

import "math"

// BatchMeans estimates the mean of one long run, warm-up already removed, whose
// values depend on their neighbours. The run is cut into equal batches, long
// enough that their means are nearly independent, and these are treated as
// separate runs (Law, Simulation Modeling and Analysis, section 9.5.3). Twenty
// to thirty batches are usual; fewer than 2 panic. Values that do not fill the
// batches are dropped at the beginning, where start-up would linger. SD and N
// are those of the batch means.
//
// It warns when the batches are so short that neighbouring ones still hang
// together, since the range is then too narrow.
func BatchMeans(series []float64, batches int, level float64) Estimate {
	if batches < 2 {
		panic("stats: fewer than 2 batches")
	}
	size := len(series) / batches
	if size == 0 {
		t := tallyOf(series)
		e := withoutInterval(t.Mean(), 0, level)
		e.warn("The run has only %d values: too few for %d batches.", len(series), batches)
		return e
	}
	means := batchAverages(series[len(series)-size*batches:], size)
	e := MeanInterval(means, level)
	// Under independence the correlation has standard error 1/sqrt(batches).
	limit := NormalQuantile(0.95) / math.Sqrt(float64(batches))
	if batches >= fewValues && Autocorrelation(means, 1) > limit {
		e.warn("Neighbouring stretches of the run still resemble each other: the range is too narrow. Make the run longer or the stretches fewer.")
	}
	return e
}
