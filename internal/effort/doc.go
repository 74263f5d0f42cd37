// Package effort says what a study takes of the machine: time, memory, and room
// in a ledger. It answers before the study runs, from how often the works is to
// be run (study.go) and from a short run of it that is timed (pilot.go); it
// refuses what is over a limit (limits.go); and it ends a replication that goes
// on for too long (watch.go).
//
// Nothing here bears on an answer: what is told goes beside it, and a
// replication that is ended is one that failed, never one with other figures.
// The package does not read the clock of the machine; whoever asks brings it.
package effort
