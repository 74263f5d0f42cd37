package stats

// A Goal says which of several means is the best.
type Goal int

const (
	Least Goal = iota // the smallest is best: cost, lead time, scrap
	Most              // the largest is best: pieces a week, profit
)

// sign is the factor that makes the largest the best.
func (g Goal) sign() float64 {
	if g == Least {
		return -1
	}
	return 1
}

// best returns the index of the best value, the first of several, -1 of none.
func (g Goal) best(values []float64) int {
	best := -1
	for i, v := range values {
		if best < 0 || g.sign()*(v-values[best]) > 0 {
			best = i
		}
	}
	return best
}
