package experiment

import (
	"fmt"
	"strings"

	"potbank/internal/stats"
)

// LongRun says how one long run was cut into stretches that stand in for
// replications (batch means). It spares the start-up that every replication
// goes through, and pays with stretches that are not quite independent: what
// stands in the works at the end of one is there at the beginning of the next.
type LongRun struct {
	Stretches int // of equal length
	Weeks     int // of one stretch
}

// wantedStretches is the usual number of batches: with fewer the interval is
// rough, with more they are shorter and hang together (Law, Simulation Modeling
// and Analysis, section 9.5.3, has 20 to 30).
const wantedStretches = 20

// span is some weeks of a run, without the last.
type span struct{ from, to int }

// stretches cuts the weeks from the warm-up on: into one for each replication,
// and one long run into stretches of whole weeks. Weeks that do not fill the
// stretches are left out at the beginning, where start-up would linger.
func (st *study) stretches(from, to int) []span {
	if !st.OneLongRun {
		return []span{{from, to}}
	}
	n := min(wantedStretches, to-from)
	size := (to - from) / n
	var all []span
	for at := to - n*size; at < to; at += size {
		all = append(all, span{at, at + size})
	}
	return all
}

// longRun tells how the run was cut; nil for replications.
func (st *study) longRun() *LongRun {
	if !st.OneLongRun || st.kept == 0 {
		return nil
	}
	cut := st.stretches(st.warmUp.Weeks, st.Weeks)
	return &LongRun{Stretches: len(cut), Weeks: cut[0].to - cut[0].from}
}

// estimate is ratio, by batch means where the sums are those of stretches: each
// stretch is what it adds to the ratio of all (see shares), so that the value
// is that of the whole run.
func (st *study) estimate(num, den []float64) stats.Estimate {
	e := ratio(num, den)
	if !st.OneLongRun || !e.HasInterval() {
		return e
	}
	return stats.BatchMeans(shares(num, den), len(num), Level)
}

// aboutLongRun says what a long run cannot carry: too few stretches, a doubtful
// shape, stretches that resemble their neighbours.
func (a *Answer) aboutLongRun() []string {
	var all []string
	if n := a.LongRun.Stretches; n < pilot {
		all = append(all, fmt.Sprintf("Only %s of %s each: the intervals are rough, and whether stretches hang together cannot be judged. Make the run longer: %d stretches or more are better.",
			stretchesOf(n), weeksOf(a.LongRun.Weeks), pilot))
	}
	for _, f := range a.Measures {
		if f.Headline && f.HasInterval() {
			for _, text := range f.Warnings {
				if strings.HasPrefix(text, "There ") { // few values: said already
					continue
				}
				all = append(all, f.Name+": "+text)
			}
		}
	}
	return all
}

// stretchesOf counts stretches in words.
func stretchesOf(n int) string {
	if n == 1 {
		return "1 stretch"
	}
	return fmt.Sprintf("%d stretches", n)
}
