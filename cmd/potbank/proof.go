package main

import (
	"fmt"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/proof"
	"potbank/internal/report"
)

func (p *program) proofCommand() *cobra.Command {
	var f proofFlags
	c := &cobra.Command{
		Use:   "proof",
		Short: "Hold the program to published values and to its exact laws",
		Long:  "Hold the program to published values and to its exact laws. Every value is shown with\nwhat the program finds, and every check says whether it would have noticed an error of\n5 %. It takes a minute or two. This verifies arithmetic; it certifies nothing.",
		Args:  noFile,
		RunE:  func(*cobra.Command, []string) error { return p.proof(&f) },
	}
	c.Flags().StringSliceVar(&f.only, "only", nil, "ids of checks, letters of topics, or laws, with commas between (default: everything)")
	c.Flags().BoolVar(&f.figures, "figures", false, "every figure with its source instead of the first of each check")
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON document")
	c.Flags().IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), "checks run at once; the result does not depend on it")
	return c
}

// proofFlags are the flags of proof.
type proofFlags struct {
	only          []string
	figures, json bool
	workers       int
}

// proof runs the checks and prints them. One that does not hold is a fault of
// the program: the table is printed all the same, since it says which, and the
// code tells.
func (p *program) proof(f *proofFlags) error {
	ids, err := proof.Choose(f.only)
	if err != nil {
		return exitf(misused, "--only: %s", err)
	}
	ctx, done := p.interruptible()
	defer done()
	r, err := proof.Run(ctx, proof.Settings{Only: ids, Workers: min(f.workers, mostWorkers), Progress: p.proving()})
	switch {
	case ctx.Err() != nil:
		return exitf(cancelled, "stopped before all checks were run")
	case err != nil:
		return exitf(failed, "%s", err)
	}
	if f.json {
		err = report.ProofJSON(p.out, r, version)
	} else {
		err = report.Terminal(p.out, report.ProofDocument(r, f.figures))
	}
	if err != nil {
		return exitf(failed, "writing the proof: %s", err)
	}
	if held, of := r.Held(); held < of {
		return exitf(inPart, "%d of %d checks did not hold; please report it", of-held, of)
	}
	return nil
}

// proving returns what tells, from time to time, how far the proof has come.
func (p *program) proving() func(done, of int) {
	last := p.now()
	return func(done, of int) {
		if now := p.now(); now.Sub(last) >= provingLine {
			last = now
			fmt.Fprintf(p.err, "potbank: %d of %d checks run\n", done, of)
		}
	}
}

// provingLine is how often the proof tells how far it has come.
const provingLine = 5 * time.Second
