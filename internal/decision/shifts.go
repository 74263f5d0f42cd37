package decision

import (
	"context"
	"fmt"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// A CompareQuestion asks which of several works is best: shift patterns as a
// rule, or whatever else may be changed. Every option is tried in every future.
type CompareQuestion struct {
	Title    string
	Currency string
	Options  []CompareOption // the works as it is first
	Futures  []experiment.Prospect
	Plant    func(option, future int) *plant.Plant

	By      string               // measure that decides
	Way     experiment.Direction // Neither: as is known of it
	Matters experiment.Margin    // difference in it that is worth knowing
	Also    []string             // further measures to compare
	Limits  []Limit              // what must hold, of measures and of hours.paid and hours.night
	Service float64              // probability with which it must
	Terms   CompareTerms

	Inputs []scenario.Input // values that may be otherwise, tried at either end
	// Moved is the works of an option, in the main future, with an input at one of
	// its ends; nil where none can be had.
	Moved func(option int, in scenario.Input, side scenario.Side) *plant.Plant
}

// A CompareOption is one thing that might be done.
type CompareOption struct {
	Name    string
	Outlay  Outlay
	Changes []experiment.Change // from the works as it is, for the reader
}

// CompareTerms are the terms on which options are judged.
type CompareTerms struct {
	Rate     float64 // interest a year, 0.08 for 8 %
	Weeks    float64 // weeks worked a year
	Night    string  // pattern of the hours that count as night
	Contract float64 // hours a week of one person
	Absence  float64 // share of them in which a person is away
	Rules    WorkingTime
	Rotas    []Rota
	Trials   int // pairs of runs at each end of an input
}

// Compared is the answer: what to do, and what everything is worth.
type Compared struct {
	CompareQuestion
	Main    int     // the future of greatest weight, in which crews, kilns and windows are shown
	Margin  float64 // in the unit of the measure that decides
	Unit    string
	Units   []string // of the limits
	Options []ComparedOption

	Best      int  // what to do; where nothing keeps the limits, what comes nearest
	Met       bool // it keeps them
	Rival     int  // the next best that does, or -1
	Decided   bool // the rule of choice came to its end before the limit of replications
	Certified *CertifiedChoice
	Contrasts []experiment.Contrast // expected over the futures; the one that decides first
	Standings []stats.Standing
	Regret    [][]float64 // [option][future], in the measure that decides
	Pareto    []int       // options that no other beats in cost, service and nights at once
	Serves    string      // what stands for service in it
	PaperBest int         // the best by the estimate by hand, of those that it can tell; -1: none
	PaperSays string      // how the estimate by hand and the simulation differ about the best, in words
	Audit     []experiment.Law
	Flips     []Flip
	Trials    []Trial

	Seed     uint64
	Weeks    int
	WarmUp   int
	Fixed    bool
	Partial  string
	Warnings []string
}

// ComparedOption is what one option comes to.
type ComparedOption struct {
	CompareOption
	Replications int
	Limits       []stats.Estimate // probability that each limit holds, over a run
	Eligible     bool             // all do, with the probability asked for, and it breaks no rule on working time
	Growth       string           // where ware piles up to the end of the runs

	Good     stats.Estimate // good pieces a week, mean over the futures
	OneWeek  [3]float64     // good pieces of a single week, in the main future: 5, 50 and 95 of 100 weeks are below
	WeeksOf  int            // single weeks behind them
	Cost     stats.Estimate // of a good piece, capital and upkeep included
	LeadP95  stats.Estimate // h
	Late     stats.Estimate // % of the pieces punched, after their window
	TooDry   stats.Estimate // pieces a week
	Starved  []Starved
	Orders   []experiment.Order
	OnTime   stats.Estimate // probability that all orders with a date are in time; no value without one
	Paid     float64        // hours a week
	Night    float64        // of them at night
	People   float64        // on the books for the paid hours
	Premiums float64        // of the wages, currency a week
	Crews    []CrewUse
	Breaches []Breach
	Shared   []string // hours that no rule was held against
	Stands   []experiment.Stand
	Windows  []WindowNeed
	Pours    []experiment.PourRisk
	Paper    Paper
	Why      string // what makes its good pieces differ from today's
}

// Starved is the share of pushes without ware, or of the time a kiln waits.
type Starved struct {
	Kiln string
	stats.Estimate
}

// CertifiedChoice is the recommendation on fresh luck.
type CertifiedChoice struct {
	Than       int // today; where today is best, the runner-up
	Difference stats.Estimate
	Chosen     stats.Estimate
	Base       stats.Estimate
	Verdict    experiment.Verdict
	Limits     []stats.Estimate // of the chosen option
	Runs       int              // pairs behind the difference
	Trials     int              // replications behind Limits: those, and more of the chosen option
}

// Compare tries every option in every future and recommends the best by the
// measure that decides among those that keep the limits.
//
// Options that keep them in the first stage (settings.Replications) are compared
// until one is shown to be the best by Kim and Nelson's rule or Most is reached.
// The recommendation and the works as it is are then put to as many fresh
// replications as the first stage had; where limits are set, the recommendation
// alone to more, as [Size] does.
//
// When ctx is cancelled the answer is partial, or nil if an option has no
// replication at all; the error is as of experiment.RunGrid.
func Compare(ctx context.Context, q CompareQuestion, s experiment.Settings) (*Compared, error) {
	z, err := newWeighing(q)
	if err != nil {
		return nil, err
	}
	g, cut := experiment.RunGrid(ctx, z.plan(z.race), s)
	if g == nil {
		return nil, cut
	}
	z.grid = g
	r := z.conclude()
	if cut == nil && !g.Fixed && s.Replications > 1 {
		cut = z.certify(ctx, r, s)
	}
	if cut == nil {
		cut = z.watchPours(ctx, r, s)
	}
	r.Flips = z.flips(r)
	if cut == nil && !g.Fixed {
		cut = z.try(ctx, r, s)
	}
	if cut != nil && r.Partial == "" {
		r.Partial = "The study was stopped before it had looked at everything: what is missing here was not run."
	}
	r.Warnings = z.warnings(r)
	return r, cut
}

// check refuses what cannot be asked.
func (q *CompareQuestion) check() error {
	switch {
	case len(q.Options) < 2:
		return fmt.Errorf("decision: %d options; at least 2 are needed, the works as it is first", len(q.Options))
	case len(q.Futures) == 0:
		return fmt.Errorf("decision: no future")
	case q.Terms.Weeks <= 0 || q.Terms.Contract <= 0 || q.Terms.Absence >= 1 || q.Service <= 0 || q.Service > 1:
		return fmt.Errorf("decision: terms %+v", q.Terms)
	case q.Way == experiment.Neither:
		return fmt.Errorf("decision: %s is neither good nor bad in itself; say whether less or more of it is better", q.By)
	}
	for o := range q.Options {
		for f := range q.Futures {
			if !hasMeasure(q.Plant(o, f), q.By) {
				return fmt.Errorf("decision: %s has no measure %s", q.Options[o].Name, q.By)
			}
		}
	}
	return nil
}

// hasMeasure tells whether a works has a measure of a name.
func hasMeasure(p *plant.Plant, name string) bool { return measureNamed(p, name) != nil }

// measureNamed finds a measure; nil if there is none.
func measureNamed(p *plant.Plant, name string) *plant.Measure {
	for _, m := range p.Measures() {
		if m.Name == name {
			return m
		}
	}
	return nil
}
