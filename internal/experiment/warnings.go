package experiment

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/quantity"
	"potbank/internal/stats"
)

// noteCount counts in how many replications a note was left.
type noteCount struct {
	texts []string
	times []int
}

// add takes the notes of one replication.
func (c *noteCount) add(notes []string) {
	seen := map[string]bool{}
	for _, text := range notes {
		if seen[text] {
			continue
		}
		seen[text] = true
		i := slices.Index(c.texts, text)
		if i < 0 {
			c.texts, c.times = append(c.texts, text), append(c.times, 0)
			i = len(c.texts) - 1
		}
		c.times[i]++
	}
}

// warnings gathers what a reader must know before using the answer, the
// weightiest first. Doubt belongs to the result: a line in a log is not read by
// whoever is handed the table.
func (st *study) warnings(a *Answer) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if a.Partial != "" {
		say("%s", a.Partial)
	}
	for _, l := range a.Audit {
		if !l.Held() {
			say("A law of the works was broken %d times, so no figure can be trusted: %s (%s).", l.Broken, l.Law, l.First)
		}
	}
	all = append(all, st.aboutReplications(a)...)
	all = append(all, a.WarmUp.Warnings...)
	all = append(all, a.aboutGrowth()...)
	for _, o := range a.Orders {
		if o.Finished < o.Of {
			say("Order %s was not finished within the run of %s in %d of %d replications.", o.Name, weeksOf(a.Weeks), o.Of-o.Finished, o.Of)
		}
	}
	all = append(all, a.aboutUnfinished()...)
	for i, text := range st.notes.texts {
		if a.Replications > 1 {
			text += fmt.Sprintf(" (in %d of %d replications)", st.notes.times[i], a.Replications)
		}
		all = append(all, text)
	}
	return all
}

// aboutReplications says what the number of replications cannot carry. Without
// an interval, or with a rough one, nothing finer is worth saying.
func (st *study) aboutReplications(a *Answer) []string {
	switch {
	case a.Fixed:
		return []string{"Randomness is off: every time and yield is at its mean. The figures carry no interval and show no effect of chance."}
	case a.LongRun != nil:
		return a.aboutLongRun()
	case a.Replications == 1:
		return []string{"No interval: one replication. It says nothing about the spread; make at least 10."}
	case a.Replications < pilot:
		return []string{fmt.Sprintf("Only %d replications: the intervals are rough. %d or more are better.", a.Replications, pilot)}
	}
	var all []string
	if a.Precision.Wanted > 0 && !a.Precision.Reached && a.Partial == "" {
		all = append(all, fmt.Sprintf("The limit of %d replications was reached before the precision: %s is known to %.1f %%, not to %g %%.",
			a.Asked, a.Precision.Driver, 100*a.Precision.At, 100*a.Precision.Wanted))
	}
	for _, f := range a.Measures {
		if f.Headline && !f.ample(a.Precision.Wanted) {
			for _, text := range f.Warnings {
				all = append(all, f.Name+": "+text)
			}
		}
	}
	return all
}

// ample tells whether an interval is so narrow that its shape is no matter: a
// quarter of the half-width wanted.
func (f Figure) ample(wanted float64) bool {
	return f.HasInterval() && f.HalfWidth() < wanted/4*math.Abs(f.Value)
}

// pilesFrom is the growth over the weeks measured, in shares of all ware in the
// works, below which ware that piles up changes no figure.
const pilesFrom = 0.01

// Pile is where ware piles up to the end of the run.
type Pile struct {
	Section string  // empty: nowhere
	PerWeek float64 // pieces
}

// findPile finds the section in which ware piles up fastest, if in any.
func findPile(a *Answer) (worst Pile) {
	stock, weeks := a.meanOr0("wip.total"), float64(a.Weeks-a.WarmUp.Weeks)
	for _, s := range a.WarmUp.Series {
		section, isStock := strings.CutPrefix(s.Name, "wip.")
		if !isStock || section == "total" {
			continue
		}
		if grows, perWeek, _ := stats.Growing(s.Weeks[a.WarmUp.Weeks:]); grows && perWeek > worst.PerWeek && perWeek*weeks > pilesFrom*stock {
			worst = Pile{section, perWeek}
		}
	}
	return worst
}

// aboutGrowth says where ware piles up: averages then describe the length of the
// run, not the works.
func (a *Answer) aboutGrowth() []string {
	if a.Pile.Section == "" {
		return nil
	}
	return []string{fmt.Sprintf("Ware piles up in %s by about %.3g pieces a week to the end of the run: what follows it does not keep up. Averages of stock and lead time describe the length of the run, not the works.", a.Pile.Section, a.Pile.PerWeek)}
}

// unfinishedFrom is the share of the ware cast after the warm-up above which
// what is still in the works at the end is worth a warning.
const unfinishedFrom = 0.25

// aboutUnfinished says when much of the ware cast in the weeks measured has not
// come out: its losses and times are then not in the figures.
func (a *Answer) aboutUnfinished() []string {
	stock, ok := a.mean("wip.total")
	cast, okCast := a.mean("cast.total")
	measured := a.Weeks - a.WarmUp.Weeks
	weeks := float64(measured)
	if !ok || !okCast || cast <= 0 || stock < unfinishedFrom*cast*weeks {
		return nil
	}
	return []string{fmt.Sprintf("On average %s pieces are in the works, %.0f %% of all that is cast in the %s measured: make the run longer.", quantity.Grouped(stock, 0), 100*stock/(cast*weeks), weeksOf(measured))}
}

// weeksOf counts weeks in words.
func weeksOf(n int) string {
	if n == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", n)
}
