package stats

import "math/rand/v2"

// A Standing says how sure one can be of one plant among several.
type Standing struct {
	// Best is the probability of being the best. Its interval shows the error of
	// the finite number of draws only.
	Best Estimate
	// Loss is the expected opportunity cost: what choosing this plant forgoes on
	// average against the one that is best in each draw, in the measure's unit.
	// A plant that is rarely best may still cost little, and the other way round.
	Loss Estimate
}

// Standings compares plants over many draws of what the truth may be:
// draws[d][i] is plant i in draw d. A draw is one set of uncertain inputs
// (every draw then being the mean of a few runs), or one resampling of the
// runs made (BootstrapMeans). All plants of a draw must share its inputs. Equal
// bests count for the first.
func Standings(draws [][]float64, goal Goal, level float64) []Standing {
	if len(draws) == 0 {
		return nil
	}
	plants := len(draws[0])
	wins, losses := make([]int, plants), make([][]float64, plants)
	for _, draw := range draws {
		checkPaired(len(draw), plants)
		best := goal.best(draw)
		for i, v := range draw {
			losses[i] = append(losses[i], goal.sign()*(draw[best]-v))
		}
		if best >= 0 {
			wins[best]++
		}
	}
	standings := make([]Standing, plants)
	for i := range standings {
		standings[i].Best = Wilson(wins[i], len(draws), level)
		standings[i].Loss = MeanInterval(losses[i], level)
	}
	return standings
}

// BootstrapMeans draws what the mean of each plant may be, given that only so
// many runs were made: it picks as many runs as there are, with replacement,
// and averages them. samples[i][j] is plant i in run j; the same picks serve all
// plants, so common draws keep their effect. Result d, i is plant i in draw d.
func BootstrapMeans(samples [][]float64, draws int, rng *rand.Rand) [][]float64 {
	result := make([][]float64, draws)
	for d := range result {
		result[d] = make([]float64, len(samples))
		tallies := make([]Tally, len(samples))
		for range runsOf(samples) {
			pick := rng.IntN(runsOf(samples))
			for i := range samples {
				tallies[i].Add(samples[i][pick])
			}
		}
		for i := range tallies {
			result[d][i] = tallies[i].Mean()
		}
	}
	return result
}

// runsOf is the common length of the samples; unequal ones panic.
func runsOf(samples [][]float64) int {
	for _, sample := range samples {
		checkPaired(len(sample), len(samples[0]))
	}
	if len(samples) == 0 {
		return 0
	}
	return len(samples[0])
}
