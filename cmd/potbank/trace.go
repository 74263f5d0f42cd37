package main

import (
	"github.com/spf13/cobra"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/report"
)

func (p *program) traceCommand() *cobra.Command {
	var f studyFlags
	var piece uint64
	var replication uint32
	c := &cobra.Command{
		Use:   "trace FILE --piece N",
		Short: "Tell the story of one piece, minute by minute",
		Long:  "Tell the story of one piece, minute by minute: where it was, what it waited for, what\nreleased it, the mould it came from and the car it was fired on. Pieces are numbered\nfrom 1 in the order in which their moulds were filled.",
		Args:  oneFile,
		RunE: func(c *cobra.Command, args []string) error {
			return p.trace(c, args[0], &f, story{piece: piece, replication: replication})
		},
	}
	c.Flags().Uint64Var(&piece, "piece", 0, "number of the piece, from 1")
	c.Flags().Uint32Var(&replication, "replication", 1, "which replication of the seed to follow it in")
	f.addRun(c)
	return c
}

// story is one piece of one replication.
type story struct {
	piece       uint64
	replication uint32
	seen        []plant.Observation
}

// observe keeps what happened to the piece. Every event of every piece comes by,
// so what is not wanted must cost nothing.
func (s *story) observe(o plant.Observation) {
	if o.Piece == s.piece {
		s.seen = append(s.seen, o)
	}
}

// trace runs one replication and prints what happened to one piece. Observing
// changes nothing, so it is the very replication whose figures are in the
// answer.
func (p *program) trace(c *cobra.Command, path string, f *studyFlags, s story) error {
	if s.piece == 0 {
		return exitf(misused, "trace wants the number of a piece; hint: give --piece 1 for the first one filled")
	}
	if s.replication == 0 {
		return exitf(misused, "--replication is 0; hint: they are numbered from 1")
	}
	w, err := f.load(p, c, path)
	if err != nil {
		return err
	}
	settings, err := f.settings(c, w.plant.Works().Run)
	if err != nil {
		return err
	}
	if err := p.follow(w.plant, settings, &s); err != nil {
		return err
	}
	if len(s.seen) == 0 {
		return exitf(misused, "piece %d was not filled within the run; hint: give a smaller number, or more weeks", s.piece)
	}
	d := report.TraceDocument(w.scenario(), w.plant.Clock(), s.seen)
	if err := report.Terminal(p.out, d); err != nil {
		return exitf(failed, "writing the trace: %s", err)
	}
	return nil
}

// follow simulates the replication, until it ends or Ctrl-C.
func (p *program) follow(works *plant.Plant, settings experiment.Settings, s *story) error {
	ctx, done := p.interruptible()
	defer done()
	_, err := works.Simulate(plant.Options{
		Source: random.New(settings.Seed, s.replication),
		Fixed:  settings.Fixed, Weeks: settings.Weeks,
		Observer: s.observe,
		Stopped:  func() bool { return ctx.Err() != nil },
	})
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return exitf(cancelled, "stopped before the run ended")
	}
	return p.failure(&experiment.ReplicationError{Number: int(s.replication), Err: err})
}
