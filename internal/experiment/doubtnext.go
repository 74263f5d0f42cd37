package experiment

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/stats"
)

// Contribution is how much of what is not known of a measure hangs on one
// input, and so would go if it were measured without end.
type Contribution struct {
	Measure string
	Evidence
	// Share is of the variance of the measure among works, luck taken away,
	// from 0 to 1. Inputs drawn together, as grades are, each count what they
	// have in common, so shares may add up to more than 1.
	Share float64
}

// mostNext is how many inputs are named for one measure.
const mostNext = 3

// contributions ranks the inputs by the correlation of their drawn values with
// the mean of the runs of each works. That takes no further run, and sees the
// straight part of an effect only. An input counts when chance alone would
// show as much of any of them in one study of twenty (Student's t test,
// Bonferroni); its share is freed of what chance adds on average.
func (d *drawing) contributions(s Spread, groups [][]float64) []Contribution {
	n := float64(len(groups))
	if n < 4 || s.Inputs == 0 || len(d.inputs.Evidence) == 0 {
		return nil
	}
	means := make([]float64, len(groups))
	var all stats.Tally
	for k, g := range groups {
		var t stats.Tally
		for _, x := range g {
			t.Add(x)
		}
		means[k] = t.Mean()
		all.Add(t.Mean())
	}
	limit := stats.StudentQuantile(1-0.025/float64(len(d.inputs.Evidence)), n-2)
	unknown := s.Share.Value * s.Range.SD * s.Range.SD // variance among works
	var found []Contribution
	for i, e := range d.inputs.Evidence {
		values := make([]float64, len(groups))
		for k, w := range d.works {
			values[k] = w.values[i]
		}
		r := stats.Correlation(values, means)
		square := float64(r * r)
		if t := math.Sqrt(square * (n - 2) / (1 - square)); !(t > limit) {
			continue
		}
		chance := (1 - square) / (n - 2)
		found = append(found, Contribution{s.Name, e, min(1, (square-chance)*all.Variance()/unknown)})
	}
	slices.SortStableFunc(found, func(a, b Contribution) int { return cmp.Compare(b.Share, a.Share) })
	return found[:min(len(found), mostNext)]
}

// fewCounted is the number of pieces or records below which the tails of what
// they leave open are more the prior's than theirs.
const fewCounted = 20

// roughDraws is the number of works below which their spread is called rough.
const roughDraws = 20

// warnings says what the doubt itself leaves in doubt.
func (d *drawing) warnings(cut error) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if text := d.cutShort(cut); text != "" {
		say("%s", text)
	}
	switch n := d.doubt.Draws; {
	case n < LeastDraws:
		say("What is not known of the inputs is not in the figures: fewer than %d works drawn from the evidence could be run.", LeastDraws)
	case n < roughDraws:
		say("Only %d works were drawn from the evidence: how much of the width is not known is itself known roughly. %d or more are better.", n, DefaultDraws)
	}
	if d.doubt.Refused > 0 {
		say("Of %d works drawn from the evidence %d could not run and were left out, so the doubt is too small (%s).", d.done, d.doubt.Refused, d.doubt.Why)
	}
	var few []string
	for _, e := range d.inputs.Evidence {
		if e.Of < fewCounted {
			few = append(few, fmt.Sprintf("%s (%s)", e.Path, e.Rests))
		}
	}
	if more := len(few) - mostNext; more > 0 {
		few = append(few[:mostNext], fmt.Sprintf("%d more", more))
	}
	if len(few) > 0 {
		say("Known from fewer than %d pieces or records: %s. The ends of the ranges lean on them; count more before you promise.", fewCounted, strings.Join(few, ", "))
	}
	return all
}
