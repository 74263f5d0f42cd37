package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Each limit of the command line holds where it is stated: just below and at it a
// command goes on, to a file that is not there or a study that may take no time, one
// above it is refused with exit code 6 and the limit told.
func TestLimitsOfTheCommandLine(t *testing.T) {
	const works, less = "../../scenarios/small-works.yaml", "../../scenarios/plant-a.yaml"
	flag := func(name string, line ...string) func(n int) []string {
		return func(n int) []string { return append(slices.Clone(line), name, strconv.Itoa(n)) }
	}
	files := func(command string) func(n int) []string {
		return func(n int) []string {
			line := []string{command}
			for i := range n {
				line = append(line, fmt.Sprintf("none-%d.yaml", i))
			}
			return line
		}
	}
	tests := []struct {
		most int
		line func(n int) []string
	}{
		{mostReplications, flag("--replications", "run", "none.yaml")},
		{mostWeeks, flag("--weeks", "run", "none.yaml")},
		{mostWorkers, flag("--workers", "run", "none.yaml")},
		{mostDraws, flag("--doubt", "run", "none.yaml")},
		{mostReplications, flag("--replications", "compare", "none.yaml", "nor-this.yaml")},
		{mostReplications, flag("--most", "compare", works, less, "--longest", "1ns")},
		{mostReplications, flag("--budget", "compare", works, less, "--longest", "1ns", "--method", "ocba")},
		{mostReplications, flag("--pairs", "promise", "none.yaml")},
		{mostReplications, flag("--most", "size", "../../scenarios/questions/kiln.yaml", "--longest", "1ns")},
		{mostRepeats, flag("--repeats", "bench", "none.yaml")},
		{mostCores, flag("--cores", "bench", "none.yaml")},
		{mostOptions, files("compare")},
		{mostOptions, files("size")},
		{mostInputs, func(n int) []string {
			line := []string{"tornado", works, "--replications", "100000", "--longest", "1ns"}
			for range n {
				line = append(line, "--input", "run.replications = 10 .. 11")
			}
			return line
		}},
	}
	for _, test := range tests {
		for _, n := range []int{test.most - 1, test.most, test.most + 1} {
			c := newConsole()
			line := test.line(n)
			code := run(line, strings.NewReader(""), &c.out, &c.err, c.environment())
			told := strings.Contains(c.err.String(), fmt.Sprintf("; the limit is %d", test.most))
			if told != (n > test.most) || told && code != 6 || code == 0 || code == 70 || c.out.String() != "" {
				t.Errorf("%.80s ... with %d: code %d, said %.300s", strings.Join(line, " "), n, code, c.err.String())
			}
		}
	}
}
