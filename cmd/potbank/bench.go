package main

import (
	"context"
	"errors"
	"slices"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/quantity"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// benchFlags are the flags of the command.
type benchFlags struct {
	studyFlags
	repeats int
	cores   []int
	price   string
}

// Limits of a bench: of repeats, and of cores that it projects to.
const (
	mostRepeats = 100
	mostCores   = 100_000
)

func (p *program) benchCommand() *cobra.Command {
	var f benchFlags
	c := &cobra.Command{
		Use:   "bench FILE",
		Short: "Measure what a works or a question takes of the machine, and project it",
		Long: `Measure what a works or a question takes of the machine, and project it.

FILE is a scenario or a question. Its works as it is is simulated with 1, 2, ... workers,
several times each: processor time of a simulated year, replications a second, peak
memory, size of a stored result. From that follows what the whole study takes, on this
machine and on more cores like it, each with the doubt of the measurements:

  potbank bench scenarios/questions/kiln.yaml --price "0.04 EUR/h" --cores 64,256`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.bench(c, args[0], &f) },
	}
	f.add(c)
	return c
}

// add defines the flags.
func (f *benchFlags) add(c *cobra.Command) {
	c.Flags().IntVar(&f.replications, "replications", 0, "exactly so many replications of the study that is projected (default: FILE's)")
	c.Flags().IntVar(&f.workers, "workers", 0, "most replications simulated at once (default: the machine's cores)")
	c.Flags().IntVar(&f.repeats, "repeats", 3, "measurements at each number of workers")
	c.Flags().IntSliceVar(&f.cores, "cores", []int{16, 64, 256}, "cores of other machines to project the study to")
	c.Flags().StringVar(&f.price, "price", "", `what an hour of one core costs, e.g. "0.04 EUR/h"`)
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON document")
	f.addRun(c)
}

// check refuses flags that make no sense.
func (f *benchFlags) check(c *cobra.Command) error {
	switch {
	case f.repeats < 2:
		return exitf(misused, "--repeats is %d, and one measurement has no spread; hint: give 3 or more", f.repeats)
	case f.repeats > mostRepeats:
		return exitf(overLimit, "--repeats is %d; the limit is %d", f.repeats, mostRepeats)
	}
	for _, n := range f.cores {
		switch {
		case n < 1:
			return exitf(misused, "--cores has %d; hint: give 1 or more", n)
		case n > mostCores:
			return exitf(overLimit, "--cores has %d; the limit is %d", n, mostCores)
		}
	}
	slices.Sort(f.cores)
	f.cores = slices.Compact(f.cores)
	return f.studyFlags.check(c)
}

// bench measures the works of a file and prints what its study would take.
func (p *program) bench(c *cobra.Command, path string, f *benchFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	b := &report.Bench{}
	if f.price != "" {
		price, currency, err := quantity.ParseWage("--price", f.price, "")
		if err != nil || price <= 0 {
			return exitf(misused, "--price %q; hint: write what an hour of one core costs, such as \"0.04 EUR/h\"", f.price)
		}
		b.Price, b.Currency = float64(price)/1e6, currency
	}
	m := p.machine()
	if f.workers == 0 {
		f.workers = m.Cores
	}
	s, name, err := p.studyOf(c, path, &f.studyFlags)
	if err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	b.Measured, err = effort.Measure(ctx, s.plant, s.options, s.seed, m, f.workers, f.repeats, func(done, of int) {
		show.update(experiment.Progress{Replications: done, Most: of})
	})
	show.close()
	if err != nil {
		return p.unmeasuredBench(err)
	}
	b.Scenario, b.Study, b.Runs, b.Seed = name, s.shape, s.runs, s.seed
	b.Projects = b.Measured.Project(s.runs, f.cores)
	if f.json {
		err = report.BenchJSON(p.out, b, version)
	} else {
		err = report.Terminal(p.out, report.BenchDocument(b))
	}
	if err != nil {
		return exitf(failed, "writing the answer: %s", err)
	}
	return nil
}

// unmeasuredBench is the end of a bench that has nothing to show.
func (p *program) unmeasuredBench(err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before all was measured: there is nothing to show")
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	return exitf(inPart, "%s", err)
}

// studyOf is what the study of a file would ask of the machine, were it asked by the
// command that answers it.
func (p *program) studyOf(c *cobra.Command, path string, f *studyFlags) (s study, name experiment.Scenario, err error) {
	if !scenario.IsQuestion(path) {
		w, err := f.load(p, c, path)
		if err != nil {
			return s, name, err
		}
		settings, err := f.settings(c, w.plant.Works().Run)
		if err != nil {
			return s, name, err
		}
		if settings.Draws, err = (&doubtFlag{draws: experiment.DefaultDraws}).of(w, f.fixed); err != nil {
			return s, name, err
		}
		return p.runStudy(w, settings), w.scenario(), nil
	}
	asked, err := p.ask(path, f.json)
	if err != nil {
		return s, name, err
	}
	name = nameOf(asked, asked.Works(0, 0).Works.Name)
	switch asked.Ask {
	case "compare":
		s, err = p.compareStudy(c, asked, f)
	case "size":
		s, err = p.sizeStudy(c, asked, f)
	case "promise":
		s, err = p.promiseStudy(c, asked, f)
	default:
		s, err = p.masterStudy(c, path, f)
	}
	return s, name, err
}

func (p *program) compareStudy(c *cobra.Command, asked *scenario.Asked, f *studyFlags) (study, error) {
	q, err := p.comparisonAsked(c, asked, f)
	if err != nil {
		return study{}, err
	}
	s, err := (&compareFlags{studyFlags: *f}).questionSettings(c, q)
	return choice(q.Runs(s), len(q.Options), len(q.Futures), q.Plant(0, 0), s), err
}

func (p *program) sizeStudy(c *cobra.Command, asked *scenario.Asked, f *studyFlags) (study, error) {
	q, err := p.sizeAsked(c, asked, f)
	if err != nil {
		return study{}, err
	}
	s, err := (&sizeFlags{studyFlags: *f}).settings(c, q.Plant(0, 0).Works().Run)
	return choice(q.Runs(s), len(q.Options), len(q.Futures), q.Plant(0, 0), s), err
}

func (p *program) promiseStudy(c *cobra.Command, asked *scenario.Asked, f *studyFlags) (study, error) {
	if asked.Promise == nil {
		return study{}, p.without(asked, "promise", f.json)
	}
	q, err := decision.AskedPromise(asked)
	if err != nil {
		return study{}, exitf(refused, "%s: %s", asked.Path, err)
	}
	(&promiseFlags{studyFlags: *f}).settle(c, &q)
	s, ok := promised(&q)
	if !ok {
		return s, exitf(refused, "%s: the works cannot be built; hint: see potbank promise", asked.Path)
	}
	return s, nil
}

func (p *program) masterStudy(c *cobra.Command, path string, f *studyFlags) (study, error) {
	flags := masterFlags{studyFlags: *f}
	asked, w, _, err := p.askedMaster(c, path, &flags)
	if err != nil {
		return study{}, err
	}
	q, err := decision.NewMasterPlan(asked, w.file.Works, w.plant.Clock())
	if err != nil {
		return study{}, exitf(refused, "%s: %s", path, err)
	}
	if c.Flags().Changed("seed") {
		q.Seed = f.seed
	}
	return mastered(&q, w.plant), nil
}
