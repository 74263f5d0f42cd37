package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// mostInputs bounds one tornado: each input costs two works, or one to screen.
const mostInputs = 200

// tornadoFlags are the flags of the command besides those of every study.
type tornadoFlags struct {
	studyFlags
	by      string
	inputs  []string
	guesses string
}

func (p *program) tornadoCommand() *cobra.Command {
	var f tornadoFlags
	c := &cobra.Command{
		Use:   "tornado FILE",
		Short: "Say which inputs the answer hangs on most",
		Long: `Say which inputs the answer hangs on most.

FILE is a scenario, of which a measure is moved, or a question. Of a question a short
study finds the best option and the next, and it is the lead of the one over the
other that is moved; of a date, the days to the end of the order; of a bad master,
what the best change of the watch gains a year. The first sentence says what would
turn the answer. Every value that says what it rests on, such as
"92 % from 460 of 500", is moved to the two ends of what that leaves open, and so is
every value that an inputs section of the question or --input gives a range; of a bad
master these may be the question's own, such as master.gates.white-gauge.finds. With more
than 15 inputs all are moved at once first, by a screening design, and the eight that
do most then one by one.`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.tornado(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.by, "by", "", "measure that is moved (default: what the answer of a question hangs on, or packed.total)")
	c.Flags().StringArrayVar(&f.inputs, "input", nil, `a value and its range, e.g. --input "kilns.tunnel.push = 21 min .. 24 min"`)
	c.Flags().StringVar(&f.guesses, "guesses", "", `move what nobody measured too, by a share of each value, e.g. "20 %"`)
	c.Flags().Lookup("guesses").NoOptDefVal = "20 %"
	c.Flags().IntVar(&f.replications, "replications", 6, "replications of every works")
	f.addStudy(c)
	return c
}

// tornado moves the inputs of a file and prints what that does.
func (p *program) tornado(c *cobra.Command, path string, f *tornadoFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	h, err := p.hanging(c, path, f)
	if err != nil {
		return err
	}
	if err := p.allowTornado(c, h, f); err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	defer show.close()
	s, y, err := p.yardstick(ctx, c, h, f)
	if err != nil {
		return p.unmoved(err)
	}
	t, err := decision.MoveInputs(ctx, h.inputs, y, f.replications, func(done, of int) {
		show.update(experiment.Progress{Replications: done, Most: of})
	})
	if err != nil {
		return p.unmoved(err)
	}
	name := experiment.Scenario{Name: h.w.file.Works.Name, Hash: h.w.file.Hash, Path: path, Unmeasured: unmeasured(h.w.file)}
	if h.asked != nil {
		name = nameOf(h.asked, name.Name)
	}
	t.Seed = s.Seed
	return p.answer(report.TornadoDocument(name, t), f.json, func(w io.Writer) error { return report.TornadoJSON(w, name, s.Seed, t, version) })
}

// allowTornado asks the machine for the runs of a tornado. The lead of an option takes
// two works at every end.
func (p *program) allowTornado(c *cobra.Command, h *hanging, f *tornadoFlags) error {
	s, err := f.settings(c, h.w.file.Works.Run)
	if err != nil {
		return err
	}
	works := 1
	if h.asked != nil && f.by == "" && h.asked.Promise == nil {
		works = 2
	}
	n := decision.TornadoRuns(len(h.inputs), f.replications, works)
	return p.allow(study{
		shape: fmt.Sprintf("%d inputs at two ends, %s", len(h.inputs), effort.Runs(n, n, h.w.plant.Weeks())), runs: experiment.Runs{Least: n, Most: n}, plant: h.w.plant,
		options: plant.Options{Fixed: s.Fixed}, seed: s.Seed, workers: s.Workers,
	})
}

// yardstick is the figure that the answer hangs on, and the settings at which it
// is measured: that of the question, unless a measure is named.
func (p *program) yardstick(ctx context.Context, c *cobra.Command, h *hanging, f *tornadoFlags) (s experiment.Settings, y decision.Yardstick, err error) {
	file := h.w.file
	if s, err = f.settings(c, file.Works.Run); err != nil {
		return s, y, err
	}
	s.Replications, s.Most, s.Precision, s.Weeks = f.replications, f.replications, 0, h.w.plant.Weeks()
	if h.asked != nil && f.by == "" {
		switch h.asked.Ask {
		case "promise":
			y, err = p.promiseYardstick(c, h.asked, f)
			return s, y, err
		case "master":
			y, err = p.masterYardstick(ctx, c, h, f)
			return s, y, err
		case "size":
			q, err := p.sizeAsked(c, h.asked, &f.studyFlags)
			if err == nil {
				y, err = decision.SavingOf(ctx, q, s, h.asked.Works)
			}
			return s, y, err
		}
		if len(h.asked.Options) > 1 {
			q, err := p.comparisonAsked(c, h.asked, &f.studyFlags)
			if err == nil {
				y, err = decision.LeadOf(ctx, q, s, h.asked.Works)
			}
			return s, y, err
		}
	}
	measure, err := measureOf(h.w.plant, h.by)
	if err != nil {
		return s, y, err
	}
	if s.WarmUp == experiment.Auto {
		pilot, err := experiment.Replicate(ctx, h.w.plant, s)
		if err != nil {
			return s, y, err
		}
		s.WarmUp = pilot.WarmUp.Weeks
	}
	return s, decision.Measured(file, measure, s), nil
}

// promiseYardstick is the date of the order that a question asks for.
func (p *program) promiseYardstick(c *cobra.Command, asked *scenario.Asked, f *tornadoFlags) (y decision.Yardstick, err error) {
	if asked.Promise == nil {
		return y, p.without(asked, "promise", f.json)
	}
	file, book := decision.OrderWorks(asked)
	booked, err := book(file)
	if err != nil {
		return y, exitf(refused, "%s: %s", asked.Path, err)
	}
	w, err := p.built(booked, f.json, nil)
	if err != nil {
		return y, err
	}
	seed := uint64(file.Works.Run.Seed)
	if c.Flags().Changed("seed") {
		seed = f.seed
	}
	y = decision.DaysOfOrder(file, w.plant, asked.Promise.Order, seed, max(1, f.workers))
	y.Settle = book
	return y, nil
}

// masterYardstick is what the best change of the watch gains.
func (p *program) masterYardstick(ctx context.Context, c *cobra.Command, h *hanging, f *tornadoFlags) (y decision.Yardstick, err error) {
	if h.asked.Master == nil {
		return y, p.without(h.asked, "master", f.json)
	}
	w, err := p.built(h.w.file, f.json, lasting(h.asked.Master.Weeks))
	if err != nil {
		return y, err
	}
	plan := func(a *scenario.MasterSection) (decision.MasterPlan, error) {
		q, err := decision.NewMasterPlan(a, w.file.Works, w.plant.Clock())
		q.Workers = max(1, f.workers)
		if c.Flags().Changed("seed") {
			q.Seed = f.seed
		}
		return q, err
	}
	q, err := plan(h.asked.Master)
	if err != nil {
		return y, exitf(refused, "%s: %s", h.asked.Path, err)
	}
	return decision.GainOfWatch(ctx, w.plant, w.file, q, f.replications, func(inputs []scenario.Input, sides []scenario.Side) (decision.MasterPlan, error) {
		a, faults := h.asked.LeaningMaster(inputs, sides)
		if a == nil {
			return decision.MasterPlan{}, errors.New(faults[0].What)
		}
		return plan(a)
	})
}

// hanging is what a tornado moves.
type hanging struct {
	w      *loaded         // the works, of a question as it is
	asked  *scenario.Asked // nil: a scenario
	inputs []scenario.Input
	by     string // measure, where the question has no figure of its own
}

// hanging reads a scenario or a question, and lists the inputs to move.
func (p *program) hanging(c *cobra.Command, path string, f *tornadoFlags) (*hanging, error) {
	h := &hanging{by: "packed.total"}
	var err error
	if scenario.IsQuestion(path) {
		if h.asked, err = p.ask(path, f.json); err != nil {
			return nil, err
		}
		if len(h.asked.Judge.By) > 0 {
			h.by = h.asked.Judge.By[0]
		}
		h.inputs = h.asked.Inputs
		h.w, err = p.built(h.asked.Works(0, 0), f.json, f.lengthen(c))
	} else if h.w, err = f.load(p, c, path); err == nil {
		h.inputs = h.w.file.Inputs()
	}
	if err != nil {
		return nil, err
	}
	if f.by != "" {
		h.by = f.by
		if _, err := measureOf(h.w.plant, h.by); err != nil {
			return nil, err
		}
	}
	return h, p.addInputs(c, path, h, f)
}

// addInputs adds the inputs that flags ask for, and refuses too few or too many.
func (p *program) addInputs(c *cobra.Command, path string, h *hanging, f *tornadoFlags) error {
	given, err := inputsGiven(f.inputs, h)
	if err != nil {
		return err
	}
	h.inputs = append(given, h.inputs...)
	if f.by != "" { // which a value of the question does not move
		h.inputs = slices.DeleteFunc(h.inputs, scenario.Input.OfQuestion)
	}
	if c.Flags().Changed("guesses") {
		spread, err := quantity.ParseShare("guesses", f.guesses)
		if err != nil || spread == 0 {
			return exitf(misused, "--guesses is %q; hint: write a share of each value such as --guesses=\"20 %%\"", f.guesses)
		}
		h.inputs = append(h.inputs, h.w.file.GuessedInputs(float64(spread))...)
	}
	switch n := len(h.inputs); {
	case n == 0:
		return exitf(misused, "%s has no input with a range; hint: write such as white: 92 %% from 460 of 500, or give --input \"kilns.tunnel.push = 21 min .. 24 min\"", path)
	case n > mostInputs:
		return exitf(overLimit, "%d inputs; the limit is %d", n, mostInputs)
	}
	return nil
}

// inputsGiven reads the ranges of the command line, and tries a works at either
// end of each.
func inputsGiven(texts []string, h *hanging) ([]scenario.Input, error) {
	var inputs []scenario.Input
	for _, text := range texts {
		key, span, ok := strings.Cut(text, "=")
		low, high, both := strings.Cut(span, "..")
		in := scenario.Input{Path: strings.TrimSpace(key), Low: strings.TrimSpace(low), High: strings.TrimSpace(high), Rests: "as given"}
		if !ok || !both || in.Path == "" {
			return nil, exitf(misused, "--input %q; hint: write a key, =, a low value, .. and a high value, e.g. \"kilns.tunnel.push = 21 min .. 24 min\"", text)
		}
		for _, side := range []scenario.Side{scenario.AtLow, scenario.AtHigh} {
			if faults := h.tried(in, side); faults != nil {
				return nil, exitf(refused, "--input %q: %s; hint: %s", text, faults[0].What, faults[0].Hint)
			}
		}
		inputs = append(inputs, in)
	}
	return inputs, nil
}

// tried gives the faults of a works, or a question, with an input at one side.
func (h *hanging) tried(in scenario.Input, side scenario.Side) []scenario.Fault {
	if h.asked != nil && in.OfQuestion() {
		_, faults := h.asked.LeaningMaster([]scenario.Input{in}, []scenario.Side{side})
		return faults
	}
	moved, faults := h.w.file.Leaning([]scenario.Input{in}, []scenario.Side{side})
	if moved != nil {
		return nil
	}
	return faults
}

// unmoved is the end of a tornado that was cut short: half of one would be read
// as a whole.
func (p *program) unmoved(err error) error {
	var failure *experiment.ReplicationError
	var said *exit
	switch {
	case errors.As(err, &said):
		return err
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before all inputs were moved: there is nothing to show")
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	return exitf(inPart, "%s", strings.TrimPrefix(err.Error(), "decision: "))
}
