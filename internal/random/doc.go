// Package random gives the simulator its chance: draws keyed by identity, the
// laws they follow, and a way to switch chance off.
//
// A draw is not the next number of a stream. It is a pure function of
//
//	(seed, replication, purpose, object, ordinal)
//
// for example (7, replication 3, "dryer.time", piece 4711, first drying). Its
// value depends on that key alone and never on which draws came before. Adding
// a spray booth or a shift therefore leaves every other draw as it was, and two
// variants of a plant meet the same luck piece by piece: common random numbers
// without any book-keeping. Read source.go for the key and philox.go for the
// generator.
//
// A [Law] is a checked, immutable distribution. Every law is drawn by inversion,
// one uniform a draw, so a larger uniform never gives a smaller value and
// variants with different parameters stay paired. One family a file, each in
// the same order: constructor, quantile, moments, spelling.
//
// A [Gate] is what a model holds. It draws from a [Source], or, with randomness
// off, deals expected values and fixed repeating patterns, so that a plant can
// be worked out by hand and compared.
//
// What counts and records leave open of a share or a law, posterior.go draws.
//
// # Reproducibility
//
// The uniforms are integer arithmetic and the same on every machine, and so is
// every bit of the constant, uniform, triangular, exponential, Weibull, lognormal,
// normal and empirical laws: elementary.go says how. Gamma, Erlang, beta and PERT
// laws are tabulated, and refits drawn, by way of gonum and package math, whose
// last bits differ between processor types: a draw by less than 1e-15 of itself.
// Because each draw has its own key, the difference stays in that one draw, and all
// but about one in 10^9 vanish when [Time] rounds to the millisecond.
//
// Nothing here holds a lock or global state. Sources and laws may be shared by
// goroutines; a Dealer and its gates belong to one replication.
package random
