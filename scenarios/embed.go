// Package scenarios carries the example scenarios within the program, so that
// its exact laws can be shown on them wherever it runs.
package scenarios

import "embed"

// Files are the scenarios and the calendar beside them.
//
//go:embed *.yaml *.ics
var Files embed.FS
