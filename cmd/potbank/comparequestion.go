package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// compareTerms are the flags that a question has keys for.
var compareTerms = []string{"by", "least", "greatest", "matters", "method", "budget"}

// compareQuestion tries the options of a question in its futures and prints what
// to do. What was cut short prints what it has, labelled.
func (p *program) compareQuestion(c *cobra.Command, paths []string, f *compareFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	q, name, err := p.comparisonOf(c, paths, f)
	if err != nil {
		return err
	}
	s, err := f.questionSettings(c, q)
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
	r, cut := decision.Compare(ctx, q, s)
	show.close()
	if r == nil {
		return p.uncompared(cut)
	}
	err = p.answer(report.ComparedDocument(name, r), f.json, func(w io.Writer) error { return report.ComparedJSON(w, name, r, version) })
	if err != nil {
		return err
	}
	return p.sizeCutShort(cut)
}

// choice is what it asks of the machine to choose among options in futures.
func choice(runs experiment.Runs, options, futures int, first *plant.Plant, s experiment.Settings) study {
	shape := fmt.Sprintf("%d options x %d futures x %s", options, futures, effort.Runs(s.Replications, s.Most, first.Weeks()))
	if futures == 1 {
		shape = strings.Replace(shape, " x 1 futures", "", 1)
	}
	return study{shape: shape, runs: runs, plant: first, options: plant.Options{Fixed: s.Fixed}, seed: s.Seed, workers: s.Workers}
}

// comparisonOf reads a question and builds all its works.
func (p *program) comparisonOf(c *cobra.Command, paths []string, f *compareFlags) (q decision.CompareQuestion, name experiment.Scenario, err error) {
	asked, err := p.askAlone(c, paths, compareTerms, f.json)
	if err != nil {
		return q, name, err
	}
	if q, err = p.comparisonAsked(c, asked, &f.studyFlags); err != nil {
		return q, name, err
	}
	return q, nameOf(asked, q.Plant(0, 0).Works().Name), nil
}

// comparisonAsked builds the works of a question that was read.
func (p *program) comparisonAsked(c *cobra.Command, asked *scenario.Asked, f *studyFlags) (q decision.CompareQuestion, err error) {
	plants, err := p.builtAll(c, asked, f)
	if err != nil {
		return q, err
	}
	m, err := measureOf(plants[0][0], decision.DecidingMeasure(asked))
	if err != nil {
		return q, err
	}
	if asked.Judge.Best == "" && experiment.DirectionOf(m.Name) == experiment.Neither {
		return q, p.refuse(f.json, asked.Wrong("judge.by", "", "add best: least or best: greatest under judge:", "%s is neither good nor bad in itself", m.Name))
	}
	matters, err := marginOf(asked.Judge.Matters, m.Name, m.Unit)
	if err != nil {
		return q, err
	}
	return decision.AskedCompare(asked, plants, matters), nil
}

// questionSettings are those of the file, changed by the flags. It is the choice
// that ends the study, or twice the first stage.
func (f *compareFlags) questionSettings(c *cobra.Command, q decision.CompareQuestion) (experiment.Settings, error) {
	size := sizeFlags{studyFlags: f.studyFlags, most: f.most}
	return size.settings(c, q.Plant(0, 0).Works().Run)
}
