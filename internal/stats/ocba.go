package stats

import (
	"cmp"
	"math"
	"slices"
)

// OCBA divides a budget of runs among plants so that the best is found with
// the greatest probability: optimal computing budget allocation (Chen, Lin,
// Yucesan and Chick, Discrete Event Dynamic Systems 10, 2000). Plants close to
// the best and plants that vary much get more runs. It gives no guarantee of a
// right choice, as KimNelson does, but wastes least when runs are dear.
type OCBA struct {
	// Indifference is the difference below which plants count as equal; it keeps
	// a tie from swallowing the whole budget. 0 is allowed.
	Indifference float64
	Goal         Goal
}

// Allocate returns the runs of each plant, summing to total, from the means
// and standard deviations known so far. For b the best and d the distance
// from it, plants other than b are given runs as (sd/d)², and b itself
// sd·sqrt(sum of (runs/sd)² of the others). Fractions go to the largest
// remainders. Plants without spread need no runs; if all are so, all get alike.
func (o OCBA) Allocate(means, sds []float64, total int) []int {
	checkPaired(len(means), len(sds))
	if len(means) == 0 {
		return nil
	}
	best := o.Goal.best(means)
	// Below a millionth of the whole range two means are a tie all the same.
	floor := max(o.Indifference, 1e-6*(slices.Max(means)-slices.Min(means)))
	if floor == 0 {
		floor = 1
	}
	weights := make([]float64, len(means))
	var squares float64
	for i := range means {
		if i == best || sds[i] == 0 {
			continue
		}
		d := max(floor, math.Abs(means[i]-means[best]))
		weights[i] = (sds[i] / d) * (sds[i] / d)
		squares += float64((weights[i] / sds[i]) * (weights[i] / sds[i]))
	}
	weights[best] = sds[best] * math.Sqrt(squares)
	return apportion(weights, total)
}

// apportion divides total in proportion to the weights, whole numbers only, by
// largest remainders; equal remainders go to the first. Without any weight all
// get alike.
func apportion(weights []float64, total int) []int {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	if sum == 0 {
		return apportion(slices.Repeat([]float64{1}, len(weights)), total)
	}
	shares, order := make([]int, len(weights)), make([]int, len(weights))
	remainders := make([]float64, len(weights))
	given := 0
	for i, w := range weights {
		exact := float64(float64(total) * (w / sum))
		shares[i] = int(exact)
		remainders[i] = exact - float64(shares[i])
		given += shares[i]
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(remainders[b], remainders[a]) })
	for i := range total - given {
		shares[order[i%len(order)]]++
	}
	return shares
}
