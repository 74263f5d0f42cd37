// Package experiment asks a plant a question and gives an answer that carries
// its own doubt.
//
// The way of a question through the package:
//
//  1. Replicate runs a plant many times on independent luck, in parallel, and
//     takes the replications in the order of their numbers (dispatch.go). One
//     worker and eight give the same bytes.
//  2. A study (study.go) keeps of each replication what the answer needs. The
//     first few also settle how many weeks belong to the start-up (warmup.go).
//  3. The stopping rule of package stats ends the study when every headline
//     measure is known to the precision asked for, or the limit is reached.
//  4. The Answer (answer.go) holds every measure with its interval, the static
//     estimate by hand beside it with the larger differences explained
//     (hand.go), the department that limits the works (binding.go), the dates
//     of orders (orders.go), the laws that were checked (audit.go) and warnings
//     in plain words (warnings.go).
//  5. AddDoubt (doubt.go) runs works that the evidence behind the inputs would
//     allow as well, and tells how much of the answer's width is luck and how
//     much is not known, and what to measure next (doubtnext.go).
//
// Nothing here reads a file, a clock or the environment, and nothing in an
// Answer depends on them.
package experiment
