package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"potbank/internal/experiment"
)

// mostDraws is the limit of --doubt.
const mostDraws = 100_000

// doubtFlag is how many works are drawn from the evidence of a scenario.
type doubtFlag struct {
	draws int
	given bool
}

// add defines the flag on a command.
func (f *doubtFlag) add(c *cobra.Command) {
	c.Flags().IntVar(&f.draws, "doubt", experiment.DefaultDraws,
		"works drawn from what counts and records in the scenario leave open, two runs each; 0: take its values as known")
}

// check refuses numbers that make no sense, and a doubt that cannot be had.
func (f *doubtFlag) check(c *cobra.Command, fixed bool) error {
	f.given = c.Flags().Changed("doubt")
	switch {
	case !f.given || f.draws == 0:
	case f.draws < experiment.LeastDraws:
		return exitf(misused, "--doubt is %d; hint: give %d, or 0 for none", f.draws, experiment.DefaultDraws)
	case f.draws > mostDraws:
		return exitf(overLimit, "--doubt is %d; the limit is %d", f.draws, mostDraws)
	case fixed:
		return exitf(misused, "--doubt needs randomness, and --fixed takes it away; hint: leave one of them out")
	}
	return nil
}

// of returns how many works to draw for a scenario. One that says nowhere what
// a value rests on has none to draw.
func (f *doubtFlag) of(l *loaded, fixed bool) (int, error) {
	switch {
	case f.draws == 0 || fixed:
		return 0, nil
	case len(l.file.Evidence()) > 0:
		return f.draws, nil
	case f.given:
		return 0, exitf(misused, "--doubt: no value of %s says what it rests on; hint: write such as white: 92 %% from 460 of 500", l.file.Path)
	}
	return 0, nil
}

// inputs are the works that the file's evidence would allow as well.
func (l *loaded) inputs(seed uint64) experiment.Inputs {
	var in experiment.Inputs
	for _, e := range l.file.Evidence() {
		in.Evidence = append(in.Evidence, experiment.Evidence{Path: e.Path, Rests: e.String(), Of: e.Of})
	}
	in.Draw = func(k int) (experiment.Runner, []float64, error) {
		d, err := l.file.Redrawn(seed, k)
		return d.Plant, d.Values, err
	}
	return in
}

// doubt adds to an answer what is not known of its inputs.
func (p *program) doubt(ctx context.Context, a *experiment.Answer, w *loaded, s experiment.Settings) error {
	if s.Draws == 0 {
		return nil
	}
	show := p.progress()
	defer show.close()
	show.update(experiment.Progress{Most: s.Draws, Doing: experiment.Drawing})
	s.Progress = show.update
	return experiment.AddDoubt(ctx, a, w.inputs(s.Seed), s)
}

// doubtCut is the end of a study whose answer is whole, and whose doubt was cut
// short.
func (p *program) doubtCut(a *experiment.Answer, draws int, err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	kept := 0
	if a.Doubt != nil {
		kept = a.Doubt.Draws
	}
	fmt.Fprintf(p.err, "stopped: %d of %d works drawn from the evidence kept; run the same command again for all\n", kept, draws)
	return &exit{code: cancelled}
}
