package stats

import "math"

// Components splits the spread of single values that come in groups, such as
// runs in pairs on the same inputs, into what differs between the groups and
// what differs within them: the one-way analysis of variance with random
// groups (Searle, Casella and McCulloch, Variance Components, sections 3.6 and
// 3.7).
type Components struct {
	Groups, Each int     // groups, and values in each
	Mean         float64 // of all values
	// Between is the variance that the groups add to that of a single value,
	// Within the variance inside a group. Between is 0 when the groups differ
	// no more than values within them do.
	Between, Within float64
	// Share is Between over the sum of both, with its exact interval for
	// normal values.
	Share Estimate

	msGroups float64 // mean square between groups: Within + Each x Between
}

// OneWay analyses groups of equal size, at least two groups of at least two
// values; anything else is a fault of the program and panics. The warnings are
// those of Share: few groups, or values that do not vary at all.
func OneWay(groups [][]float64, level float64) Components {
	if len(groups) < 2 || len(groups[0]) < 2 {
		panic("stats: variance components need two groups of two values")
	}
	c := Components{Groups: len(groups), Each: len(groups[0])}
	var means, within Tally
	for _, g := range groups {
		if len(g) != c.Each {
			panic("stats: groups of unequal size")
		}
		t := tallyOf(g)
		means.Add(t.Mean())
		within.Add(t.Variance())
	}
	c.Mean, c.Within = means.Mean(), within.Mean()
	c.msGroups = float64(float64(c.Each) * means.Variance())
	c.Between = max(0, (c.msGroups-c.Within)/float64(c.Each))
	c.share(level)
	return c
}

// fewGroups is the number of groups below which the spread between them is
// called rough: of 20 normal values the standard deviation is known to about a
// third, with 95 % confidence.
const fewGroups = 20

// share fills in Share. The ratio of the mean squares over its expectation
// follows Fisher's law, whatever the components.
func (c *Components) share(level float64) {
	c.Share = withoutInterval(c.Between/(c.Between+c.Within), c.Groups, level)
	e := &c.Share
	if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
		e.warn("The values do not vary: there is nothing to split.")
		return
	}
	if c.Groups < fewGroups {
		e.warn("There are only %d groups: how much they differ is known roughly. %d or more are better.", c.Groups, fewGroups)
	}
	between, within := c.freedom()
	ratio := c.msGroups / c.Within // +Inf where values within a group are all alike
	end := func(p float64) float64 {
		theta := max(0, (ratio/FQuantile(p, between, within)-1)/float64(c.Each))
		if math.IsInf(theta, 1) {
			return 1
		}
		return theta / (1 + theta)
	}
	e.Low, e.High = end((1+level)/2), end((1-level)/2)
}

// freedom returns the degrees of freedom of the two mean squares.
func (c Components) freedom() (between, within float64) {
	return float64(c.Groups - 1), float64(c.Groups * (c.Each - 1))
}

// HalfWithin returns half the width of the range that single values of one
// group keep to with probability level, if they are normal.
func (c Components) HalfWithin(level float64) float64 {
	_, within := c.freedom()
	return StudentQuantile((1+level)/2, within) * math.Sqrt(c.Within)
}

// HalfBetween returns half the width of the range that the means of groups,
// freed of what varies within them, keep to with probability level.
func (c Components) HalfBetween(level float64) float64 {
	between, _ := c.freedom()
	return StudentQuantile((1+level)/2, between) * math.Sqrt(c.Between)
}

// Range is the range in which a single value of another group lies with
// probability level. Its variance is a weighted sum of the two mean squares,
// whose degrees of freedom are Satterthwaite's (Biometrics Bulletin 2, 1946);
// the error of the mean is in it. SD is that of a single value.
func (c Components) Range(level float64) Estimate {
	between, within := c.freedom()
	n := float64(c.Each)
	a, b := c.msGroups/n, float64(c.Within*(n-1))/n
	single := a + b
	e := withoutInterval(c.Mean, c.Groups, level)
	e.SD = math.Sqrt(single)
	if single == 0 {
		e.Low, e.High = c.Mean, c.Mean
		return e
	}
	freedom := single * single / (float64(a*a)/between + float64(b*b)/within)
	half := float64(StudentQuantile((1+level)/2, freedom) * math.Sqrt(single+a/float64(c.Groups)))
	e.Low, e.High = c.Mean-half, c.Mean+half
	e.Warnings = c.Share.Warnings
	return e
}

// GroupedQuantile estimates the p-quantile of values in groups of equal size,
// of which only the groups are independent, without assuming any law. Value is
// the least of the values that a value of another group keeps to with
// probability p: of rank (n+1)p rounded up, where QuantileInterval takes n p,
// since it is to foretell one case and not to estimate the law. The interval
// is that of as many values as there are groups, each rank widened to the
// whole group it may stand for. So it holds whether values of a group are all
// alike, or differ as much as any.
func GroupedQuantile(groups [][]float64, p, level float64) Estimate {
	all, each := pooled(groups)
	rank := min(len(all), int(math.Ceil(float64(float64(len(all)+1)*p)-1e-9)))
	e := withoutInterval(all[rank-1], len(groups), level)
	t := tallyOf(all)
	e.SD = t.SD()
	low, high, _, ok := QuantileRanks(len(groups), p, level)
	if !ok {
		e.warn("No range for the %g %% point: need >= %d draws at %g %% confidence, there are %d.",
			percent(p), QuantileSampleSize(p, level), percent(level), e.N)
		return e
	}
	e.Low, e.High = all[(low-1)*each], all[high*each-1]
	return e
}

// GroupedRange is the range in which a single value of another group lies with
// probability level, whatever the law, and as careful about values of a group
// as GroupedQuantile. It needs 39 groups for 95 %; with fewer there is no
// range. Value is the median.
func GroupedRange(groups [][]float64, level float64) Estimate {
	all, each := pooled(groups)
	n := len(groups)
	e := withoutInterval(all[QuantileRank(len(all), 0.5)-1], n, level)
	t := tallyOf(all)
	e.SD = t.SD()
	rank := int(math.Floor(float64(float64(n+1)*(1-level)/2) + 1e-9))
	if rank < 1 {
		e.warn("No range of a single case: need >= %.0f draws, there are %d.", math.Ceil(2/(1-level)-1-1e-9), n)
		return e
	}
	e.Low, e.High = all[(rank-1)*each], all[(n-rank+1)*each-1]
	return e
}

// pooled returns the values of all groups in order, and how many each has.
func pooled(groups [][]float64) (all []float64, each int) {
	for _, g := range groups {
		if len(g) != len(groups[0]) {
			panic("stats: groups of unequal size")
		}
		all = append(all, g...)
	}
	return ascending(all), len(groups[0])
}
