// Package scenario reads the file in which a works is described, and turns it
// into a plant.Works and on into a plant that can run.
//
// # The file
//
// A scenario is YAML in the words of the trade. Every measured value carries
// its unit, and whatever may be left out has a default that the program shows
// ([File.Origins]):
//
//	kilns:
//	  tunnel:
//	    kind: tunnel
//	    inside: 40
//	    push: 22.6 min
//	    load: {pan: 16, others: 20}
//
// The keys, their explanations and defaults are the tags of plant.Works; this
// package knows none of them by itself. The form of a value follows from the
// type of its field:
//
//   - A quantity is one number and one unit: "36 h", "18.1 kg", "6 %".
//   - A count is a whole number, with or without a word: "60", "60 moulds".
//   - A choice is yes or no, or one of the words that the key allows.
//   - What may vary is one value, a spread ("12 min +- 25 %": all values
//     within a quarter of 12 min are equally likely), or a named law:
//     uniform(a, b), triangular(a, b, c), pert(a, b, c), normal(mean, sd,
//     from, to), lognormal(mean, sd), exponential(mean), gamma(mean, sd),
//     erlang(k, mean), weibull(shape, scale), beta(alpha, beta, min, max),
//     empirical(12 min x 3, 15 min x 5), or csv(times.csv, column minutes,
//     min) for a table beside the file.
//   - A share that is counted, and a law, may say what it rests on: "92 % from
//     460 of 500", "from 460 of 500", "lognormal(mean 75 min, sd 8 min) from 40
//     records", "... from csv(times.csv, column minutes, min)". A table by
//     itself is its own evidence. The value stands as it is; [File.Redrawn]
//     draws works that the evidence would allow as well. Any figure or count
//     may own to resting on nothing: "22 h from guess".
//   - A value by ware is one value, or a set by ware in which "others" stands
//     for those not named.
//   - Things with names are a set of named entries, and values that name them
//     are checked.
//
// A file with the key base holds only what differs from the file it names;
// "left out" takes an entry away.
//
// # What is refused
//
// Of YAML only sets, lists and plain or quoted one-line texts are accepted: no
// anchors, tags, merge keys, block texts or second documents. A file is at most
// 1 MiB of UTF-8, 32 levels deep, with 10,000 entries to a set. YAML's own
// typing is never used: it would read 2.7 moulds as 2, 010 as 8 and no as
// false. Nodes are taken from the parser as text with a place, and read by
// package quantity.
//
// Every fault names file, line and column, says what is wrong and what to do
// about it; all are reported at once, except that a text which cannot be taken
// apart as YAML stops at its first.
package scenario
