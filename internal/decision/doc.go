// Package decision answers the questions for which a works is simulated: which
// kiln to buy, which shifts to work, which date to promise, how late a bad
// master may be found. Each answer is in money, pieces and days, with intervals,
// one recommendation and what would have to be true for it to flip.
//
// The files come in pairs for each question: closed forms that can be checked
// with a pencil (closedkiln.go, money.go), and the study that simulates the
// options and draws the conclusion (size.go). Everything that a screen shows is
// computed here; package report lays it out.
//
// Two rules hold for all studies. Options are compared on shared luck, so that
// a difference shows what they do and not what chance did. And the figures that
// stand in the recommendation come from replications that were not used to
// choose it: the best of several looks better than it is on the luck that made
// it the best.
package decision
