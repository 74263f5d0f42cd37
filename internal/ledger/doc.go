// Package ledger keeps the results of replications in one file, so that a big
// study survives a killed machine and is never run twice.
//
// A result is kept under the hash of all that it depends on (key.go): the works
// as it is read, the luck, the length, and the version of the engine's results.
// So a study is resumed by running it again, two studies share what they have
// in common, and nothing that has changed is ever taken for what it was.
//
// The file is SQLite in WAL mode with full synchronisation: a result that is
// said to be kept is on the disk (store.go). Every row carries its own checksum,
// since a file that is passed around may be damaged where SQLite does not look.
// One process writes at a time, and whoever comes second is told who holds the
// ledger (hold.go).
//
// What is stored is the plant's own Result, every counter of every week, and not
// a summary: warm-up, measures and questions may be changed afterwards without
// running anything again.
package ledger
