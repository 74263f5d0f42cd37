// Package stats turns the results of simulation runs into figures that carry
// their own doubt. It knows numbers only, nothing of the plant.
//
// The way through the package follows the way a study is done:
//
//  1. Tally gathers values one by one; Autocorrelation says how far
//     neighbouring values hang together.
//  2. WeekCut decides how many weeks of a run belong to its start-up (MSER,
//     Welch and Growing are its parts and its pictures).
//  3. MeanInterval, RatioInterval, PairedInterval, Wilson, VarianceInterval,
//     QuantileInterval and PredictionRange each answer one kind of question
//     from independent runs; BatchMeans does so from one long run.
//  4. Stopping says when enough runs were made.
//  5. KimNelson, Rinott, OCBA and Standings choose among several plants.
//
// The package is opinionated. Every answer is an Estimate: a value, an
// interval, the number of values behind it, and warnings in plain words. An
// interval that cannot be had is absent (NaN), never guessed; Estimate's
// HasInterval tells. Warnings are sentences to be shown to the reader as they
// stand.
//
// Wrong use by the caller (a level outside 0..1, paired samples of unequal
// length) is a programming error and panics. Doubtful data are no error: they
// give warnings.
//
// All results depend on the values and their order alone, so a study gives
// the same digits on one processor core or on many, as long as runs are handed
// over in the order of their numbers.
package stats
