package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// sizeFlags are the flags of the command besides those of every study. Those
// that say what is wanted, and on what terms, stand in a question otherwise.
type sizeFlags struct {
	studyFlags
	most                                              int
	demand, period, interest, service, worth, matters string
	year                                              int
	capital, upkeep, residual, life                   []string
}

// sizeTerms are the flags that a question has keys for.
var sizeTerms = []string{"demand", "period", "interest", "service", "worth", "matters", "year", "capital", "upkeep", "residual", "life"}

func (p *program) sizeCommand() *cobra.Command {
	var f sizeFlags
	c := &cobra.Command{
		Use:   "size FILE [OPTION...]",
		Short: "Say which kiln to build for a demand, and what would turn the answer",
		Long: `Say which kiln to build for a demand, and what would turn the answer.

FILE is a question with a size section, such as scenarios/questions/kiln.yaml: options,
futures, demand, capital. Or it is a scenario, each OPTION another one or a change file,
and the flags say what is wanted and what the options take:

  potbank size plant-a.yaml plant-a-46-cars.yaml --demand 6100 \
      --capital "plant-a-46-cars = 900000 EUR"`,
		Args: func(c *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return exitf(misused, "size wants a question, or a scenario and its options; hint: potbank %s", c.Use)
			case len(args) > mostOptions:
				return exitf(overLimit, "size got %d files; the limit is %d", len(args), mostOptions)
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return p.size(c, args, &f) },
	}
	f.addSize(c)
	return c
}

// addSize defines the flags.
func (f *sizeFlags) addSize(c *cobra.Command) {
	c.Flags().StringVar(&f.demand, "demand", "", `good pieces wanted a week: "7200", or by ware "pan=2880,basin=1700"`)
	c.Flags().StringVar(&f.period, "period", "4 wk", "time over which demand must be met")
	c.Flags().StringVar(&f.service, "service", "95 %", "probability with which it must be met")
	c.Flags().StringVar(&f.interest, "interest", "8 %", "interest on capital, a year")
	c.Flags().IntVar(&f.year, "year", 50, "weeks worked in a year")
	c.Flags().StringVar(&f.worth, "worth", "", `what a good piece that is wanted brings, e.g. "42 EUR"; pieces short are charged with it`)
	c.Flags().StringVar(&f.matters, "matters", "", `smallest difference in yearly cost that matters, e.g. "20000 EUR" (default 0.2 % of FILE's)`)
	c.Flags().StringArrayVar(&f.capital, "capital", nil, `what an option costs to build: "plant-a-46-cars = 900000 EUR"`)
	c.Flags().StringArrayVar(&f.upkeep, "upkeep", nil, `its fixed cost a year that is in no other line: "plant-a-46-cars = 20000 EUR"`)
	c.Flags().StringArrayVar(&f.residual, "residual", nil, `what is left of it at the end of its life: "plant-a-46-cars = 50000 EUR"`)
	c.Flags().StringArrayVar(&f.life, "life", nil, `its life: "plant-a-46-cars = 20 yr" (default 15 yr)`)
	c.Flags().IntVar(&f.replications, "replications", 0, "replications of the first stage, and of the check on fresh luck")
	c.Flags().IntVar(&f.most, "most", 0, "replications of one option at which to stop without a choice (default: twice the first stage)")
	f.addStudy(c)
}

// size tries every option in every future and prints which to build. What was
// cut short prints what it has, labelled.
func (p *program) size(c *cobra.Command, paths []string, f *sizeFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	ask := p.sizeOfFiles
	if scenario.IsQuestion(paths[0]) {
		ask = p.sizeOfQuestion
	}
	q, name, err := ask(c, paths, f)
	if err != nil {
		return err
	}
	s, err := f.settings(c, q.Plant(0, 0).Works().Run)
	if err != nil {
		return err
	}
	if err := p.allow(choice(q.Runs(s), len(q.Options), len(q.Futures), q.Plant(0, 0), s)); err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	s.Progress = show.update
	r, cut := decision.Size(ctx, q, s)
	show.close()
	if r == nil {
		return p.uncompared(cut)
	}
	err = p.answer(report.SizeDocument(name, r), f.json, func(w io.Writer) error { return report.SizedJSON(w, name, r, version) })
	if err != nil {
		return err
	}
	return p.sizeCutShort(cut)
}

// settings are those of the file, changed by the flags. The first stage need not
// be as precise as a single run: it is the choice that ends the study, or twice
// the first stage.
func (f *sizeFlags) settings(c *cobra.Command, works plant.Run) (experiment.Settings, error) {
	s, err := f.studyFlags.settings(c, works)
	if err != nil {
		return s, err
	}
	s.Precision = 0
	s.Most = 2 * s.Replications
	if c.Flags().Changed("most") {
		switch {
		case f.most > mostReplications:
			return s, exitf(overLimit, "--most is %d; the limit is %d", f.most, mostReplications)
		case f.most < s.Replications:
			return s, exitf(misused, "--most is %d, and %d replications are made at least; hint: give more, or fewer --replications", f.most, s.Replications)
		}
		s.Most = f.most
	}
	return s, nil
}

// sizeOfQuestion reads a question and builds all its works.
func (p *program) sizeOfQuestion(c *cobra.Command, paths []string, f *sizeFlags) (q decision.SizeQuestion, name experiment.Scenario, err error) {
	asked, err := p.askAlone(c, paths, sizeTerms, f.json)
	if err != nil {
		return q, name, err
	}
	if q, err = p.sizeAsked(c, asked, &f.studyFlags); err != nil {
		return q, name, err
	}
	return q, nameOf(asked, q.Plant(0, 0).Works().Name), nil
}

// sizeAsked builds the works of a question that was read.
func (p *program) sizeAsked(c *cobra.Command, asked *scenario.Asked, f *studyFlags) (q decision.SizeQuestion, err error) {
	if asked.Size == nil {
		return q, p.without(asked, "size", f.json)
	}
	plants, err := p.builtAll(c, asked, f)
	if err != nil {
		return q, err
	}
	return decision.AskedSize(asked, plants), nil
}

// sizeCutShort is the end of a study that was cut short with something to show.
func (p *program) sizeCutShort(err error) error {
	var failure *experiment.OptionError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &failure):
		return p.optionFailure(failure)
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(p.err, "stopped: the answer rests on the replications made until then; run the same command again for all")
		return &exit{code: cancelled}
	}
	return exitf(inPart, "%s", err)
}
