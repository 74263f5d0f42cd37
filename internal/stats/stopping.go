package stats

import "math"

// Stopping says when enough runs were made: when every headline measure is
// known precisely enough at the same time.
//
// A measure is precise enough when its half-width is at most Absolute (in the
// measure's unit), or at most Relative times its true mean. The latter is tested
// as half-width <= g·|mean found| with g = Relative/(1+Relative), as the mean
// found may err by as much as the half-width (Law, Simulation Modeling and
// Analysis, section 9.4.1). A precision of 0 is not asked for; with both asked,
// one suffices, so a measure near zero need not be known relatively.
//
// Level, 0.95 if 0, holds for all measures together: each gets the level
// 1-(1-Level)/k (Bonferroni). To stop when the intervals look narrow costs a
// little coverage; a first stage of at least 10 runs keeps that small.
type Stopping struct {
	Relative float64 // wanted half-width as a share of the mean, e.g. 0.05
	Absolute float64 // wanted half-width in the unit of the measure
	Level    float64 // joint confidence, 0.95 if 0
	Min      int     // runs before the first test: 10 if 0, at least 2
	Max      int     // runs at which to stop regardless; 0 for no limit
}

// Precision is the state of a sequential study.
type Precision struct {
	// N is the number of runs to use: the first at which the study could stop,
	// or all runs common to the measures when it cannot yet.
	N          int
	Done       bool      // no more runs are needed, or Max is reached
	Reached    []bool    // which measures are precise enough at N
	HalfWidths []float64 // of each measure at N; NaN below 2 runs
	Driver     int       // measure furthest from its precision, -1 without measures
	Warnings   []string
}

// Done tells whether the study may stop, and the half-width of each measure.
// samples[m][i] is measure m in run i. See Check for the runs to use.
func (s Stopping) Done(samples [][]float64) (done bool, halfWidths []float64) {
	p := s.Check(samples)
	return p.Done, p.HalfWidths
}

// Check goes through the runs in the order of their numbers and stops at the
// first number of runs that suffices. As it looks at prefixes only, runs beyond
// that number, made because several workers were at it, change nothing: use the
// first N runs of the result and drop the rest. Measures of unequal length are
// judged on the runs common to all.
func (s Stopping) Check(samples [][]float64) Precision {
	common, least := s.limits(samples)
	if len(samples) == 0 {
		return Precision{Driver: -1}
	}
	tallies := make([]Tally, len(samples))
	p := s.judge(tallies) // no runs yet: nothing reached
	for n := 1; n <= common; n++ {
		for m := range samples {
			tallies[m].Add(samples[m][n-1])
		}
		if n < least && n < common {
			continue
		}
		p = s.judge(tallies)
		if p.Done = p.Done && n >= least; p.Done {
			return p
		}
		if s.Max > 0 && n >= s.Max {
			p.Done = true
			p.warn(n)
			return p
		}
	}
	return p
}

// limits returns the number of runs common to all measures and the number
// before which no test is made.
func (s Stopping) limits(samples [][]float64) (common, least int) {
	for m, sample := range samples {
		if m == 0 || len(sample) < common {
			common = len(sample)
		}
	}
	least = s.Min
	if least == 0 {
		least = fewValues
	}
	if s.Max > 0 {
		least = min(least, s.Max)
	}
	return common, max(2, least)
}

// judge compares every measure with its wanted precision.
func (s Stopping) judge(tallies []Tally) Precision {
	level := s.Level
	if level == 0 {
		level = 0.95
	}
	checkLevel(level)
	each := 1 - (1-level)/float64(len(tallies))
	n := tallies[0].N()
	p := Precision{N: n, Done: true, Driver: -1}
	factor := math.NaN() // below two runs there is no half-width
	if n > 1 {
		factor = studentFactor(n, each) / math.Sqrt(float64(n))
	}
	worst := math.Inf(-1)
	for m := range tallies {
		half := factor * tallies[m].SD()
		shortfall := s.shortfall(half, tallies[m].Mean())
		p.HalfWidths = append(p.HalfWidths, half)
		p.Reached = append(p.Reached, shortfall <= 1)
		p.Done = p.Done && shortfall <= 1
		if shortfall > worst {
			worst, p.Driver = shortfall, m
		}
	}
	return p
}

// shortfall is the half-width over the widest one allowed: 1 or less is precise
// enough. A half-width that is no number is never enough.
func (s Stopping) shortfall(half, mean float64) float64 {
	allowed := max(s.Absolute, s.Relative/(1+s.Relative)*math.Abs(mean))
	switch {
	case math.IsNaN(half):
		return math.Inf(1)
	case half == 0:
		return 0 // no spread at all: precise whatever was asked
	}
	return half / allowed
}

// warn says that the limit of runs came before the precision.
func (p *Precision) warn(n int) {
	var e Estimate
	e.warn("The limit of %d runs was reached before the wanted precision: the ranges are wider than asked for.", n)
	p.Warnings = e.Warnings
}
