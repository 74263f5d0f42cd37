package stats

import "math"

// PairedInterval estimates the mean of a - b from runs made in pairs: run i of
// both plants used the same random draws. The pairing takes the luck common to
// both out of the difference; Correlation says how much. Excludes(0) of the
// result tells whether there is a difference at the level asked for.
func PairedInterval(a, b []float64, level float64) Estimate {
	checkPaired(len(a), len(b))
	differences := make([]float64, len(a))
	for i := range a {
		differences[i] = a[i] - b[i]
	}
	e := MeanInterval(differences, level)
	// Of independent runs the correlation strays about 1/sqrt(n) from 0, so
	// only a clearly negative one is worth a word.
	against := -NormalQuantile(0.95) / math.Sqrt(float64(len(a)))
	if len(a) >= fewValues && Correlation(a, b) < against {
		e.warn("The two plants move against each other under the same draws: pairing the runs makes the difference less sure, not more.")
	}
	return e
}
