package experiment

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// partialOptions says why a comparison ended before its time.
func partialOptions(cut error) string {
	var failed *OptionError
	switch {
	case cut == nil:
		return ""
	case errors.Is(cut, context.Canceled), errors.Is(cut, context.DeadlineExceeded):
		return "The comparison was stopped before its time: it rests on the replications made until then."
	case errors.As(cut, &failed):
		return fmt.Sprintf("The comparison ended early, since replication %d of %s failed: it rests on the replications before it.", failed.Number, failed.Option)
	}
	return "The comparison ended early: " + cut.Error()
}

// warnings gathers what a reader must know before choosing, the weightiest
// first.
func (c *contest) warnings(r *Comparison) []string {
	var all []string
	if r.Partial != "" {
		all = append(all, r.Partial)
	}
	for i, o := range r.Options {
		for _, l := range o.Answer.Audit {
			if !l.Held() {
				all = append(all, fmt.Sprintf("%s: a law of the works was broken %d times, so no figure of it can be trusted: %s (%s).", c.entrants[i].Name, l.Broken, l.Law, l.First))
			}
		}
	}
	all = append(all, c.aboutRuns(r)...)
	all = append(all, c.aboutLength()...)
	for _, o := range r.Options {
		for _, text := range slices.Concat(o.Answer.aboutGrowth(), o.Answer.aboutUnfinished(), o.Answer.WarmUp.Warnings) {
			all = append(all, o.Name+": "+text)
		}
	}
	return append(all, c.aboutPairs(r)...)
}

// aboutRuns says what the number of replications cannot carry.
func (c *contest) aboutRuns(r *Comparison) []string {
	fewest := r.Options[0].Answer.Replications
	for _, o := range r.Options {
		fewest = min(fewest, o.Answer.Replications)
	}
	switch {
	case c.Fixed:
		return []string{"Randomness is off: differences carry no interval, and no choice is made by them."}
	case fewest == 1:
		return []string{"One replication: nothing can be said of chance, and no choice is made."}
	case !(c.margin > 0):
		return []string{fmt.Sprintf("%s of %s has no value other than 0 to take a share of: no rule of choice can be applied. Say what difference matters, in its unit.", c.Deciding(), c.entrants[0].Name)}
	case !c.choosable():
		return []string{fmt.Sprintf("%s has nothing to measure in some replications: no rule of choice can be applied.", c.Deciding())}
	case fewest < pilot:
		return []string{fmt.Sprintf("Only %d replications: the intervals are rough, and the rule of choice with them. %d or more are better.", fewest, pilot)}
	}
	return nil
}

// aboutLength says when options were cut to the length of the shortest, or
// begin on different days.
func (c *contest) aboutLength() []string {
	var all []string
	for _, e := range c.entrants[1:] {
		first := c.entrants[0]
		if a, b := first.Runner.Weeks(), e.Runner.Weeks(); a != b {
			all = append(all, fmt.Sprintf("%s is %d weeks long and %s %d: %d weeks of each are compared.", first.Name, a, e.Name, b, c.Weeks))
		}
		if a, b := first.Runner.Works().Start, e.Runner.Works().Start; a != b {
			all = append(all, fmt.Sprintf("%s starts on %s and %s on %s: holidays and clock changes fall into other weeks.", first.Name, a, e.Name, b))
		}
	}
	return all
}

// aboutPairs passes on the warnings of the differences in the measure that
// decides, of which stats speaks without knowing the options.
func (c *contest) aboutPairs(r *Comparison) []string {
	var all []string
	for i, d := range r.Measures[0].Differences {
		for _, text := range d.Warnings {
			if !strings.HasPrefix(text, "There ") { // few values: said already
				all = append(all, fmt.Sprintf("%s less %s: %s", c.entrants[i].Name, c.entrants[0].Name, text))
			}
		}
	}
	return all
}
