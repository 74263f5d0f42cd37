package decision

import (
	"math"
	"slices"
	"strings"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// kWhPerGJ turns a price per kWh into one per GJ.
const kWhPerGJ = 1e3 / 3.6

// The books are of one option in one future by replication: what money is reckoned
// from. Prices are kept apart from what was made and burnt, so that other
// prices can be put to the same runs.
type books struct {
	good   []float64 // good pieces packed a week
	sold   []float64 // of them wanted
	other  []float64 // direct cost a week but for fuel, in the currency
	fuel   []float64 // GJ a week
	wanted float64   // pieces a week
	price  float64   // of fuel, a GJ
	// slack is how many times what was wanted was packed, by replication and
	// period; of several wares the least of them.
	slack [][]float64
	kept  []float64 // 1 for a replication that keeps all limits, else 0
}

// accountOf reads a cell. A demand for all wares together is met by any of
// them; one for a ware by that ware alone.
func accountOf(c *experiment.Cell, w *plant.Works, f SizeFuture, t SizeTerms) *books {
	a := &books{wanted: f.total(), price: float64(w.Fuel.Price) * 1e-6 * kWhPerGJ}
	a.good, a.fuel = c.Ratios("packed.total"), c.Ratios("fuel.week")
	a.sold, a.other = make([]float64, len(a.good)), make([]float64, len(a.good))
	for _, m := range c.Runner().Measures() {
		if isCostLine(m.Name) {
			for r, v := range c.Ratios(m.Name) {
				a.other[r] += v
			}
		}
	}
	for _, d := range f.Demand {
		for r, v := range c.Ratios(packedOf(d.Ware)) {
			a.sold[r] += min(v, d.Pieces)
		}
	}
	for r := range a.good {
		a.slack = append(a.slack, slackOf(f.Demand, t.Period, func(ware string) []float64 { return c.Weeks(packedOf(ware))[r] }))
	}
	a.kept = keptBy(c, t.Limits, len(a.good))
	return a
}

// keptBy tells for each replication whether it keeps all limits. A measure that
// a works lacks, as that of a kiln which it does not have, limits nothing.
func keptBy(c *experiment.Cell, limits []Limit, replications int) []float64 {
	kept := make([]float64, replications)
	for r := range kept {
		kept[r] = 1
	}
	for _, l := range limits {
		for r, v := range c.Ratios(l.Measure) {
			if v < l.Least || v > l.Most {
				kept[r] = 0
			}
		}
	}
	return kept
}

// packedOf is the measure of the good pieces of a ware, of all where none is named.
func packedOf(ware string) string {
	if ware == "" {
		ware = "total"
	}
	return "packed." + ware
}

// isCostLine tells whether a measure is a line of the direct cost other than
// fuel. Reclaim is a line with its sign.
func isCostLine(name string) bool {
	return strings.HasPrefix(name, "cost.") && name != "cost.per_good" && name != "cost.gas"
}

// slackOf is how many times the demand was packed in each whole period of a run;
// a run shorter than a period is one. Periods follow one another, so what one
// lacks does not count for the next.
func slackOf(wanted []Demand, period int, packed func(ware string) []float64) []float64 {
	n := len(packed(wanted[0].Ware))
	period = min(period, n)
	var slack []float64
	for from := 0; period > 0 && from+period <= n; from += period {
		least := math.Inf(1)
		for _, d := range wanted {
			sum := 0.0
			for _, v := range packed(d.Ware)[from : from+period] {
				sum += v
			}
			least = min(least, sum/(d.Pieces*float64(period)))
		}
		slack = append(slack, least)
	}
	return slack
}

// met is the share of the periods, by replication, in which so many times what
// is wanted was packed.
func (a *books) met(times float64) []float64 {
	shares := make([]float64, len(a.slack))
	for r, periods := range a.slack {
		for _, s := range periods {
			if s >= times {
				shares[r] += 1 / float64(len(periods))
			}
		}
	}
	return shares
}

// upTo is the weekly demand, in the same mix, that is met with a probability:
// the same runs held against other demands. Periods of one run are taken to be
// independent.
func (a *books) upTo(service float64) stats.Estimate {
	all := slices.Concat(a.slack...)
	if len(all) == 0 || service >= 1 {
		return none()
	}
	e, _ := stats.QuantileInterval(all, 1-service, experiment.Level)
	e.Value, e.Low, e.High = e.Value*a.wanted, e.Low*a.wanted, e.High*a.wanted
	return e
}

// running is the yearly cost of the pieces wanted but for outlays, by
// replication, at a price of fuel: what is sold at the direct cost of a good
// piece, and what is short at its worth. Where that is not known a piece short
// is charged as though it could be had for what the works' own cost.
func (a *books) running(t SizeTerms, price float64) []float64 {
	cost := make([]float64, len(a.good))
	for r := range cost {
		piece := (a.other[r] + float64(a.fuel[r]*price)) / a.good[r]
		short := t.Worth
		if short == 0 {
			short = piece
		}
		cost[r] = t.Weeks * (float64(piece*a.sold[r]) + float64(short*(a.wanted-a.sold[r])))
	}
	return cost
}

// yearly is running with the outlay spread over its life.
func (a *books) yearly(t SizeTerms, o Outlay, price float64) []float64 {
	cost := a.running(t, price)
	fixed := o.PerYear(t.Rate)
	for r := range cost {
		cost[r] += fixed
	}
	return cost
}

// weigh adds up figures of the futures by their weights, over the replications
// that all have.
func weigh(futures []SizeFuture, of func(future int) []float64) []float64 {
	all := make([][]float64, len(futures))
	n := math.MaxInt
	for f := range futures {
		all[f] = of(f)
		n = min(n, len(all[f]))
	}
	sum := make([]float64, n)
	for f, xs := range all {
		for r := range sum {
			sum[r] += float64(futures[f].Weight * xs[r])
		}
	}
	return sum
}

// chance estimates a probability from the shares of periods by replication. A
// share over several periods of one run varies no more than a single trial
// would, so the score interval for as many trials as there are replications
// errs on the side of doubt.
func chance(shares []float64) stats.Estimate {
	n := len(shares)
	e := stats.MeanInterval(shares, experiment.Level)
	if n == 0 || math.IsNaN(e.Value) {
		return e
	}
	z := stats.NormalQuantile((1 + experiment.Level) / 2)
	z2, m := float64(z*z), float64(n)
	centre := (float64(e.Value*m) + float64(z2/2)) / (m + z2)
	half := float64(z / (m + z2) * math.Sqrt(float64(m*e.Value*(1-e.Value))+float64(z2/4)))
	e.Low, e.High = max(0, centre-half), min(1, centre+half)
	if e.Value > 1-1e-12 {
		e.High = 1
	}
	if e.Value < 1e-12 {
		e.Low = 0
	}
	e.Warnings = nil
	return e
}

// mixed is the chance over futures: each end of the interval is the mean of the
// futures' ends, which is wider than need be where their luck is not the same.
func mixed(futures []SizeFuture, in []stats.Estimate) stats.Estimate {
	e := in[0]
	e.Value, e.Low, e.High = 0, 0, 0
	for f, x := range in {
		w := futures[f].Weight
		e.Value += float64(w * x.Value)
		e.Low += float64(w * x.Low)
		e.High += float64(w * x.High)
		e.N = min(e.N, x.N)
	}
	return e
}
