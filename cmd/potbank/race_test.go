//go:build race

package main

// quick shortens runs of which only the success matters: the race detector
// slows a run down tenfold.
const quick = true
