package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"potbank/internal/report"
)

func (p *program) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "Find every fault of the file, and reckon the works by hand",
		Args:  oneFile,
		RunE:  func(_ *cobra.Command, args []string) error { return p.check(args[0]) },
	}
}

// check reads a file and prints what can be said of its works without a run.
// That takes no time, so it is the first thing to do with a new file: most plans
// that cannot be met show here already, with the department that stops them.
// Faults are said by load; the file without fault is said to be so on standard
// error, as it is no result.
func (p *program) check(path string) error {
	w, err := p.load(path, false, nil)
	if err != nil {
		return err
	}
	d := report.CheckDocument(w.scenario(), w.plant.Hand(), w.unmeasured())
	if err := report.Terminal(p.out, d); err != nil {
		return exitf(failed, "writing the check: %s", err)
	}
	fmt.Fprintf(p.err, "%s: no fault found\n", path)
	return nil
}
