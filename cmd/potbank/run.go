package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potbank/internal/des"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/report"
)

func (p *program) runCommand() *cobra.Command {
	var f studyFlags
	var doubt doubtFlag
	c := &cobra.Command{
		Use:   "run FILE",
		Short: "Simulate the works and print the answer",
		Args:  oneFile,
		RunE: func(c *cobra.Command, args []string) error {
			return p.run(c, args[0], &f, &doubt)
		},
	}
	f.add(c)
	c.Flags().BoolVar(&f.oneLong, "one-long-run", false, "one run as long as all replications together, cut into stretches that stand in for them")
	doubt.add(c)
	return c
}

// checkLong refuses what does not go with one long run.
func (f *studyFlags) checkLong(c *cobra.Command) error {
	if !f.oneLong {
		return nil
	}
	for _, flag := range []string{"replications", "precision", "fixed", "doubt"} {
		if c.Flags().Changed(flag) {
			return exitf(misused, "--one-long-run and --%s exclude each other; hint: say how long it is with --weeks", flag)
		}
	}
	return nil
}

// run replicates the works of a file and prints the answer. A study cut short
// prints what it has, since hours of simulation are not to be lost to an
// impatient moment, and says in the answer, on standard error and by its code
// that it is partial.
func (p *program) run(c *cobra.Command, path string, f *studyFlags, doubt *doubtFlag) error {
	if err := errors.Join(f.checkLong(c), doubt.check(c, f.fixed)); err != nil {
		return err
	}
	w, err := f.load(p, c, path)
	if err != nil {
		return err
	}
	s, err := f.settings(c, w.plant.Works().Run)
	if err != nil {
		return err
	}
	if s.Draws, err = doubt.of(w, f.fixed || f.oneLong); err != nil {
		return err
	}
	if err := p.allow(p.runStudy(w, s)); err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	s.Progress = show.update
	a, cut := experiment.Replicate(ctx, w.plant, s)
	show.close()
	if a == nil {
		return p.unanswered(cut)
	}
	var doubtCut error
	if cut == nil {
		doubtCut = p.doubt(ctx, a, w, s)
	}
	a.Identify(w.scenario(), w.unmeasured())
	if err := p.look(ctx, a, w, s, f.json, cut); err != nil {
		return err
	}
	p.tables.sheets = func() []report.Sheet { return report.AnswerSheets(a, w.values()) }
	err = p.answer(report.AnswerDocument(a), f.json, func(w io.Writer) error { return report.JSON(w, a, version) })
	if err != nil {
		return err
	}
	if doubtCut != nil {
		return p.doubtCut(a, s.Draws, doubtCut)
	}
	return p.partly(a, cut)
}

// look adds to an answer what is drawn of the hours of the day and of one week.
// Whoever reads the terminal only is not made to wait for runs seen again; and an
// answer without them is the answer all the same.
func (p *program) look(ctx context.Context, a *experiment.Answer, w *loaded, s experiment.Settings, json bool, cut error) error {
	a.AddStands(w.plant)
	drawn := p.page != "" || p.faces != nil
	if cut == nil && (drawn || json || p.tables.asked()) {
		if err := a.AddPours(ctx, w.plant, s); err != nil && ctx.Err() == nil {
			return exitf(failed, "watching every piece: %s", err)
		}
	}
	if drawn {
		if err := a.AddWeek(ctx, w.plant, s); err != nil && ctx.Err() == nil {
			return exitf(failed, "looking at one week: %s", err)
		}
	}
	return nil
}

// runStudy is what the command asks of the machine.
func (p *program) runStudy(w *loaded, s experiment.Settings) study {
	runs := s.Runs()
	shape := effort.Runs(runs.Least, runs.Most, w.plant.Weeks())
	if s.Draws > 0 {
		shape += fmt.Sprintf(", and %d of works drawn from the evidence", s.DrawnRuns().Most)
	}
	return study{shape: shape, runs: runs.Plus(s.DrawnRuns()), plant: w.plant, options: plant.Options{Fixed: s.Fixed}, seed: s.Seed, workers: s.Workers}
}

// unanswered is the end of a study that has nothing to show: the first
// replication did not end, or none was begun.
func (p *program) unanswered(err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before the first replication ended: there is nothing to show")
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	return exitf(misused, "%s", err) // the flags and the scenario do not go together
}

// partly is the end of a study that was cut short with something to show.
func (p *program) partly(a *experiment.Answer, err error) error {
	var failure *experiment.ReplicationError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	fmt.Fprintf(p.err, "stopped: %d of %d replications kept (1-%d); intervals are wider; run the same command again for all\n", a.Replications, a.Asked, a.Replications)
	return &exit{code: cancelled}
}

// failure tells a replication that could not be finished, which is the
// scenario's doing, from a fault of the program.
func (p *program) failure(e *experiment.ReplicationError) error {
	var panicked *des.PanicError
	if errors.As(e, &panicked) {
		return &exit{code: p.mishap(panicked.Value, panicked.Stack, fmt.Sprintf(" in replication %d", e.Number))}
	}
	return exitf(inPart, "%s", e)
}
