package stats

import "math"

const (
	growingBlocks = 10   // blocks into which the series is averaged
	growingLeast  = 5    // fewer blocks cannot reach growingLevel
	growingLevel  = 0.01 // chance of calling a settled series growing
	growingRise   = 0.01 // share of the mean level below which a rise is no matter
)

// Growing tells whether a series, usually the week averages after the warm-up,
// is still rising at its end, as stock does before a kiln that cannot keep up.
//
// The series is averaged in up to 10 blocks, which takes out most of the
// dependence between neighbouring weeks, and the blocks are put to Mann's test
// for an upward trend (Econometrica 13, 1945; Kendall's S against time) with its
// exact law. p is the probability of so clear a rise in a settled series. It is
// called growing when p <= 0.01 and the rise over the whole series is at least
// 1 % of its mean level: a smaller creep is real at times but changes no
// decision. perStep is the slope per value of the series by the median of all
// pairwise slopes (Sen, Journal of the American Statistical Association 63,
// 1968).
//
// Fewer than 5 values can prove nothing: growing is false and p is 1.
func Growing(series []float64) (growing bool, perStep, p float64) {
	size := max(1, (len(series)+growingBlocks-1)/growingBlocks)
	// The remainder is dropped at the beginning: the question is about the end.
	blocks := batchAverages(series[len(series)%size:], size)
	if len(blocks) < growingLeast {
		return false, 0, 1
	}
	score, slopes := 0, []float64(nil)
	for j := range blocks {
		for i := range j {
			rise := blocks[j] - blocks[i]
			slopes = append(slopes, rise/float64(j-i))
			switch {
			case rise > 0:
				score++
			case rise < 0:
				score--
			}
		}
	}
	perStep = median(slopes) / float64(size)
	p = trendProbability(len(blocks), score)
	t := tallyOf(series)
	rise := perStep * float64(len(series)-1)
	return p <= growingLevel && rise >= growingRise*math.Abs(t.Mean()), perStep, p
}

// trendProbability returns P(S >= score) for Kendall's S of n values in random
// order. S is pairs - 2·inversions, and permutations with k inversions are
// counted by inserting one value after another.
func trendProbability(n, score int) float64 {
	pairs := n * (n - 1) / 2
	inversions := make([]float64, pairs+1) // probabilities, so nothing overflows
	inversions[0] = 1
	for m := 2; m <= n; m++ {
		next := make([]float64, pairs+1)
		for k, share := range inversions {
			for extra := 0; extra < m && k+extra <= pairs; extra++ {
				next[k+extra] += share / float64(m)
			}
		}
		inversions = next
	}
	var p float64
	for k, share := range inversions {
		if pairs-2*k >= score {
			p += share
		}
	}
	return min(1, p)
}

// median returns the middle value, the mean of the two middle ones if there are
// two.
func median(xs []float64) float64 {
	sorted := ascending(xs)
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
