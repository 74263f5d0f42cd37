// Package teeth shows that the tests of the engine bite: it changes the engine
// and demands that a test fails.
//
// Two kinds of change are made. A [Fault] is a mistake that somebody could make,
// written down in testdata/faults.txt with what it means and the packages whose
// tests must notice. A [Mutant] is a mechanical change of one operator, constant
// or statement, drawn by a seed from all there are.
//
// The tree is never touched: the go command is given an overlay that replaces one
// file. A change that does not compile counts as an error here, not as caught, and
// a test that hangs counts as caught only when its own time limit has ended it.
//
// The long runs belong to the nightly tier; see DEVELOPERS.md, Checks.
package teeth
