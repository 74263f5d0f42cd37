package decision

import (
	"context"
	"fmt"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// A SizeQuestion asks which of several works to build for a demand: a longer
// kiln, a faster push, a second kiln, more cars. Every option is tried in every
// future.
type SizeQuestion struct {
	Title    string
	Currency string
	Options  []SizeOption // the works as it is first
	Futures  []SizeFuture
	Plant    func(option, future int) *plant.Plant
	Terms    SizeTerms
}

// A SizeOption is one thing that might be built.
type SizeOption struct {
	Name    string
	Outlay  Outlay
	Changes []experiment.Change // from the works as it is, for the reader
}

// A SizeFuture is one state of the world with what is asked of the works in it.
type SizeFuture struct {
	Name   string
	Weight float64  // those of all futures add up to 1
	Demand []Demand // at least one
}

// Demand is the good pieces of a ware wanted a week; of all wares together
// where none is named.
type Demand struct {
	Ware   string
	Pieces float64
}

// SizeTerms are the terms on which options are judged. Money is in whole units
// of the currency.
type SizeTerms struct {
	Rate    float64 // interest a year, 0.08 for 8 %
	Weeks   float64 // weeks worked a year
	Service float64 // probability with which demand must be met
	Period  int     // weeks over which it must be met: what lacks in one may be made up in another
	Worth   float64 // what a good piece that is wanted brings; 0: not known
	Matters float64 // difference in yearly cost that is worth knowing; 0: a share of today's
	Limits  []Limit // that must be kept with the same probability, such as empty pushes of 1 %
}

// A Limit is what a measure must not be below or above, in its unit.
type Limit struct {
	Measure     string
	Least, Most float64 // -Inf and +Inf where there is none
}

// usualMatters is the share of today's yearly cost below which a difference
// decides nothing, unless the terms say otherwise.
const usualMatters = 0.002

// Sized is the answer: the option to build, and what everything is worth.
type Sized struct {
	Title, Currency string
	Terms           SizeTerms
	Futures         []SizeFuture
	Main            int // the future of greatest weight, in which kilns and bottlenecks are shown
	Options         []SizedOption

	Best      int         // the option to build; of those that do not meet demand the nearest, where none does
	Met       bool        // it meets demand with the probability asked for
	Rival     int         // the next cheapest that meets it too, or -1
	Decided   bool        // the rule of choice came to its end before the limit
	Advantage Advantage   // of Best against Rival, or against today
	Minimax   int         // the option with the smallest greatest regret
	Regret    [][]float64 // [option][future], a year; see regrets
	Curve     []SizePoint // options by outlay
	Knee      int         // index into Curve beyond which more money gives clearly less; -1: none
	Audit     []experiment.Law
	Flips     []Flip // what would have to be true for another option to win

	Seed     uint64
	Weeks    int
	WarmUp   int // weeks
	Fixed    bool
	Partial  string
	Warnings []string
}

// SizedOption is what one option comes to. Figures are expected over the
// futures, by their weights, unless they say otherwise.
type SizedOption struct {
	SizeOption
	Replications int
	Meets        stats.Estimate   // probability that a period's demand is packed in it
	MeetsIn      []stats.Estimate // by future
	Keeps        stats.Estimate   // probability that a run keeps all limits; 1 where there are none
	Eligible     bool             // Meets and Keeps are at least what the terms ask for
	UpTo         stats.Estimate   // pieces a week that it would meet with that probability, in the main future as planned
	Good         stats.Estimate   // good pieces a week
	Short        stats.Estimate   // pieces wanted and not packed, a week

	Yearly     stats.Estimate // cost a year of the pieces wanted
	YearlyIn   []stats.Estimate
	Fixed      float64        // of it capital, residual and upkeep
	PerGood    stats.Estimate // full cost of a good piece
	Difference stats.Estimate // Yearly less that of today, from pairs; without interval for today
	Worth      stats.Estimate // net present value against today, over the option's life
	Payback    float64        // years, without interest; +Inf: never; NaN: nothing to pay back

	Energy     Split // MJ for a good piece
	CO2        Split // kg for a good piece
	Kilns      []SizedKiln
	Bottleneck experiment.Binding
	Growth     string   // where ware piles up to the end of the runs, in the main future; empty where it does not
	Leaves     []string // how it leaves the range in which losses were measured
}

// Split is what is burnt whatever the load and what goes with the ware.
type Split struct{ Base, Variable float64 }

// Total is the two together.
func (s Split) Total() float64 { return s.Base + s.Variable }

// Advantage is how much cheaper the recommended option is.
type Advantage struct {
	Than    int            // the option that it is held against
	Yearly  stats.Estimate // of Than less that of the recommended one, from the runs that chose it
	Fresh   stats.Estimate // the same from runs that were not used to choose; no value where there are none
	Meets   stats.Estimate // probability that the recommended one meets demand, from those runs
	NewRuns int            // pairs of replications behind Fresh
	Trials  int            // replications behind Meets: those, and more of the recommended one
}

// Size tries every option in every future and recommends the one with the
// lowest expected yearly cost among those that meet the demand.
//
// Options that meet it in the first stage (settings.Replications) are compared
// until one is shown to be the cheapest by Kim and Nelson's rule or Most is
// reached. The recommendation is then put to as many replications as the first
// stage had, which nobody has seen yet, and by itself to so many more that its
// probability could bear the service that was asked for, eight first stages at
// most; the figures of the recommendation are those.
//
// When ctx is cancelled the answer is partial, or nil if an option has no
// replication at all; the error is as of experiment.RunGrid.
func Size(ctx context.Context, q SizeQuestion, s experiment.Settings) (*Sized, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	z := newSizing(q)
	choosing, cut := experiment.RunGrid(ctx, z.plan(z.race), s)
	if choosing == nil {
		return nil, cut
	}
	z.read(choosing)
	r := z.conclude(choosing)
	if cut == nil && !choosing.Fixed && s.Replications > 1 {
		if cut = z.certify(ctx, r, choosing, s); cut != nil {
			r.Partial = "The study was stopped before the choice was checked on fresh luck, or while it was."
		}
	}
	r.Flips = z.flips(r)
	r.Warnings = z.warnings(r)
	return r, cut
}

// check refuses what cannot be asked.
func (q *SizeQuestion) check() error {
	switch t := q.Terms; {
	case len(q.Options) < 2:
		return fmt.Errorf("decision: %d options; at least 2 are needed, the works as it is first", len(q.Options))
	case len(q.Futures) == 0:
		return fmt.Errorf("decision: no future")
	case t.Rate < 0 || t.Weeks <= 0 || t.Period < 1 || t.Service <= 0 || t.Service > 1:
		return fmt.Errorf("decision: terms %+v", t)
	}
	for _, f := range q.Futures {
		if len(f.Demand) == 0 {
			return fmt.Errorf("decision: nothing is wanted in the future %s", f.Name)
		}
	}
	for _, o := range q.Options {
		if o.Outlay.Life <= 0 {
			return fmt.Errorf("decision: %s has a life of %g years", o.Name, o.Outlay.Life)
		}
	}
	return nil
}

// total is the pieces wanted a week in a future.
func (f SizeFuture) total() float64 {
	sum := 0.0
	for _, d := range f.Demand {
		sum += d.Pieces
	}
	return sum
}
