package stats_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"potbank/internal/stats"
)

// dyestuff is the yield of dyestuff from six batches of an intermediate, five
// preparations each.
// source: O. L. Davies, Statistical Methods in Research and Production, 1947,
// table 6.5; from memory.
var dyestuff = [][]float64{
	{1545, 1440, 1440, 1520, 1580},
	{1540, 1555, 1490, 1560, 1495},
	{1595, 1550, 1605, 1510, 1560},
	{1445, 1440, 1595, 1465, 1545},
	{1595, 1630, 1515, 1635, 1625},
	{1520, 1455, 1450, 1480, 1445},
}

// source: the components are those of the lme4 documentation for its Dyestuff
// data, 1764.05 between batches and 2451.25 within them, mean 1527.5; from
// memory. For balanced groups its method gives those of the analysis of
// variance.
func TestOneWayOnDyestuff(t *testing.T) {
	c := stats.OneWay(dyestuff, 0.95)
	if math.Abs(c.Between-1764.05) > 1e-9 || math.Abs(c.Within-2451.25) > 1e-9 || math.Abs(c.Mean-1527.5) > 1e-9 {
		t.Errorf("between %v, within %v about %v; want 1764.05, 2451.25 about 1527.5", c.Between, c.Within, c.Mean)
	}
	if want := 1764.05 / (1764.05 + 2451.25); math.Abs(c.Share.Value-want) > 1e-12 || !c.Share.Contains(want) {
		t.Errorf("share %+v, want %v", c.Share, want)
	}
	if len(c.Share.Warnings) != 1 || !strings.HasPrefix(c.Share.Warnings[0], "There are only 6 groups") {
		t.Errorf("warnings %q", c.Share.Warnings)
	}
}

// Groups that differ less than their values do add nothing.
func TestOneWayOfLikeGroups(t *testing.T) {
	c := stats.OneWay([][]float64{{1, 5}, {2, 4}, {0, 6}}, 0.95)
	if c.Between != 0 || c.Share.Value != 0 || c.Share.Low != 0 || c.HalfBetween(0.95) != 0 {
		t.Errorf("components %+v", c)
	}
	if still := stats.OneWay([][]float64{{3, 3}, {3, 3}}, 0.95); still.Share.HasInterval() || still.Range(0.95).HalfWidth() != 0 {
		t.Errorf("of values that do not vary %+v", still)
	}
	if alike := stats.OneWay([][]float64{{1, 1}, {2, 2}, {4, 4}}, 0.95); alike.Share.Value != 1 || alike.Share.Low != 1 {
		t.Errorf("of values that vary between groups alone %+v", alike.Share)
	}
}

// How much groups differ is known well enough from 20 on.
func TestFewGroupsAreTold(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 20))
	for groups, warnings := range map[int]int{19: 1, 20: 0} {
		if c := stats.OneWay(normalGroups(r, groups, 2, 3, 1), 0.95); len(c.Share.Warnings) != warnings {
			t.Errorf("%d groups: warned %q, want %d warnings", groups, c.Share.Warnings, warnings)
		}
	}
}

// normalGroups draws groups with known components.
func normalGroups(r *rand.Rand, groups, each int, between, within float64) [][]float64 {
	all := make([][]float64, groups)
	for i := range all {
		level := between * r.NormFloat64()
		for range each {
			all[i] = append(all[i], level+within*r.NormFloat64())
		}
	}
	return all
}

// Over many samples the components are right on average, their share is
// covered at the level, and the next value of another group lies in Range and
// GroupedRange at the level, give or take four standard deviations.
func TestComponentsOfKnownSpread(t *testing.T) {
	samples := 3000
	if testing.Short() {
		samples = 500
	}
	off := 4 * math.Sqrt(0.95*0.05/float64(samples))
	for _, known := range []struct{ between, within float64 }{{3, 1}, {1, 3}, {2, 2}} {
		r := rand.New(rand.NewPCG(1759, 7))
		var between, within stats.Tally
		var shares, ranges, grouped int
		truth := known.between * known.between / (known.between*known.between + known.within*known.within)
		for range samples {
			groups := normalGroups(r, 40, 2, known.between, known.within)
			next := known.between*r.NormFloat64() + known.within*r.NormFloat64()
			c := stats.OneWay(groups, 0.95)
			between.Add(c.Between)
			within.Add(c.Within)
			shares += count(c.Share.Contains(truth))
			ranges += count(c.Range(0.95).Contains(next))
			grouped += count(stats.GroupedRange(groups, 0.95).Contains(next))
		}
		if known.between >= known.within { // a smaller one is cut off at zero too often
			averages(t, "between", between, known.between*known.between)
		}
		averages(t, "within", within, known.within*known.within)
		for name, covered := range map[string]int{"share": shares, "range": ranges} {
			if c := float64(covered) / float64(samples); math.Abs(c-0.95) > off {
				t.Errorf("sd %v and %v: the %s is covered in %.3f", known.between, known.within, name, c)
			}
		}
		if c := float64(grouped) / float64(samples); c < 0.95-off || c > 0.975+off {
			t.Errorf("sd %v and %v: the range by ranks covers %.3f", known.between, known.within, c)
		}
	}
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// averages allows four standard errors, and what cutting off at zero adds.
func averages(t *testing.T, name string, x stats.Tally, want float64) {
	t.Helper()
	if math.Abs(x.Mean()-want) > 4*x.SD()/math.Sqrt(float64(x.N()))+0.02*want {
		t.Errorf("%s is %v on average, want %v", name, x.Mean(), want)
	}
}

// The interval of a quantile is as wide as the groups alone would make it when
// values of a group are alike, and never narrower than that when they differ.
func TestGroupedQuantile(t *testing.T) {
	var single []float64
	var pairs [][]float64
	for i := range 60 {
		x := float64(i * i % 61)
		single, pairs = append(single, x), append(pairs, []float64{x, x})
	}
	want, _ := stats.QuantileInterval(single, 0.8, 0.95)
	got := stats.GroupedQuantile(pairs, 0.8, 0.95)
	if got.Low != want.Low || got.High != want.High || got.Value < want.Value || got.Value > want.High {
		t.Errorf("of pairs of like values %+v, of single ones %+v", got, want)
	}
	// With 39 pairs the next is below the last but one pair in 38 of 40 cases.
	if q := stats.GroupedQuantile(pairs[:39], 0.95, 0.95); q.Value != 58 {
		t.Errorf("95 %% of 39 pairs lie below %v", q.Value)
	}
	few := stats.GroupedQuantile(pairs[:25], 0.95, 0.95)
	if few.HasInterval() || len(few.Warnings) != 1 || !strings.Contains(few.Warnings[0], "need >= 59 draws") {
		t.Errorf("of 25 pairs %+v", few)
	}
	if r := stats.GroupedRange(pairs[:38], 0.95); r.HasInterval() || !strings.Contains(r.Warnings[0], "need >= 39 draws") {
		t.Errorf("range of 38 pairs %+v", r)
	}
	if r := stats.GroupedRange(pairs[:39], 0.95); !r.HasInterval() {
		t.Errorf("range of 39 pairs %+v", r)
	}
}
