package main

import (
	"context"
	"errors"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/experiment"
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

FILE is a scenario or a question. Every value that says what it rests on, such as
"92 % from 460 of 500", is moved to the two ends of what that leaves open, and so is
every value that an inputs section of the question or --input gives a range. With more
than 15 inputs all are moved at once first, by a screening design, and the eight that
do most then one by one.`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.tornado(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.by, "by", "", "measure that is moved (default: the question's, or packed.total)")
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
	w, inputs, by, err := p.inputsOf(c, path, f)
	if err != nil {
		return err
	}
	file, ready := w.file, w.plant
	measure, err := measureOf(ready, by)
	if err != nil {
		return err
	}
	s, err := f.settings(c, file.Works.Run)
	if err != nil {
		return err
	}
	s.Replications, s.Most, s.Precision, s.Weeks = f.replications, f.replications, 0, ready.Weeks()
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	defer show.close()
	if s.WarmUp == experiment.Auto {
		pilot, err := experiment.Replicate(ctx, ready, s)
		if err != nil {
			return p.unanswered(err)
		}
		s.WarmUp = pilot.WarmUp.Weeks
	}
	t, err := decision.MoveInputs(ctx, file, inputs, decision.Measured(measure, s), f.replications, func(done, of int) {
		show.update(experiment.Progress{Replications: done, Most: of})
	})
	if err != nil {
		return p.unmoved(err)
	}
	name := experiment.Scenario{Name: file.Works.Name, Hash: file.Hash, Path: path}
	return p.answer(report.TornadoDocument(name, t), f.json, func(w io.Writer) error { return report.TornadoJSON(w, name, s.Seed, t, version) })
}

// inputsOf reads a scenario or a question, and lists the inputs to move and the
// measure to move them for.
func (p *program) inputsOf(c *cobra.Command, path string, f *tornadoFlags) (w *loaded, inputs []scenario.Input, by string, err error) {
	by = "packed.total"
	if scenario.IsQuestion(path) {
		asked, err := p.ask(path, f.json)
		if err != nil {
			return nil, nil, "", err
		}
		if len(asked.Judge.By) > 0 {
			by = asked.Judge.By[0]
		}
		inputs = asked.Inputs
		w, err = p.built(asked.Works(0, 0), f.json, f.lengthen(c))
		if err != nil {
			return nil, nil, "", err
		}
	} else {
		if w, err = f.load(p, c, path); err != nil {
			return nil, nil, "", err
		}
		inputs = w.file.Inputs()
	}
	if f.by != "" {
		by = f.by
	}
	given, err := inputsGiven(f.inputs, w.file)
	if err != nil {
		return nil, nil, "", err
	}
	inputs = append(given, inputs...)
	if c.Flags().Changed("guesses") {
		spread, err := quantity.ParseShare("guesses", f.guesses)
		if err != nil || spread == 0 {
			return nil, nil, "", exitf(misused, "--guesses is %q; hint: write a share of each value such as --guesses=\"20 %%\"", f.guesses)
		}
		inputs = append(inputs, w.file.GuessedInputs(float64(spread))...)
	}
	switch n := len(inputs); {
	case n == 0:
		return nil, nil, "", exitf(misused, "%s has no input with a range; hint: write such as white: 92 %% from 460 of 500, or give --input \"kilns.tunnel.push = 21 min .. 24 min\"", path)
	case n > mostInputs:
		return nil, nil, "", exitf(overLimit, "%d inputs; the limit is %d", n, mostInputs)
	}
	return w, inputs, by, nil
}

// inputsGiven reads the ranges of the command line, and tries a works at either
// end of each.
func inputsGiven(texts []string, file *scenario.File) ([]scenario.Input, error) {
	var inputs []scenario.Input
	for _, text := range texts {
		key, span, ok := strings.Cut(text, "=")
		low, high, both := strings.Cut(span, "..")
		in := scenario.Input{Path: strings.TrimSpace(key), Low: strings.TrimSpace(low), High: strings.TrimSpace(high), Rests: "as given"}
		if !ok || !both || in.Path == "" {
			return nil, exitf(misused, "--input %q; hint: write a key, =, a low value, .. and a high value, e.g. \"kilns.tunnel.push = 21 min .. 24 min\"", text)
		}
		for _, side := range []scenario.Side{scenario.AtLow, scenario.AtHigh} {
			if moved, faults := file.Leaning([]scenario.Input{in}, []scenario.Side{side}); moved == nil {
				return nil, exitf(refused, "--input %q: %s; hint: %s", text, faults[0].What, faults[0].Hint)
			}
		}
		inputs = append(inputs, in)
	}
	return inputs, nil
}

// unmoved is the end of a tornado that was cut short: half of one would be read
// as a whole.
func (p *program) unmoved(err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before all inputs were moved: there is nothing to show")
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	return exitf(inPart, "%s", strings.TrimPrefix(err.Error(), "decision: "))
}
