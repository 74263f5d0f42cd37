package main

import (
	"context"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// told are the measures that results are compared by, besides the headline
// measures and the bill: output, losses, and what they cost in fire.
var told = []string{"packed.total", "cast.total", "yield.total", "refires.total", "firings.per_good", "window.too_dry"}

// diffFlags are the flags of the command besides those of every study.
type diffFlags struct {
	studyFlags
	run bool
}

func (p *program) diffCommand() *cobra.Command {
	var f diffFlags
	c := &cobra.Command{
		Use:   "diff A B",
		Short: "Say in words how two scenarios differ, and what comes of it",
		Long: `Say in words how two scenarios differ, and what comes of it.

Every value that is not the same is listed with its meaning and what the change comes
to. With --run both are simulated on the same luck, and the results are set side by
side with the interval of each difference.`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 2 {
				return nil
			}
			return exitf(misused, "diff wants two scenario files, got %d; hint: potbank %s", len(args), c.Use)
		},
		RunE: func(c *cobra.Command, args []string) error { return p.diff(c, args, &f) },
	}
	c.Flags().BoolVar(&f.run, "run", false, "simulate both and compare the results too")
	c.Flags().IntVar(&f.replications, "replications", 0, "with --run: so many replications of each (default: A's)")
	f.addStudy(c)
	return c
}

// diff prints how two scenarios differ. What was cut short prints what it has,
// labelled.
func (p *program) diff(c *cobra.Command, paths []string, f *diffFlags) error {
	if !f.run && c.Flags().Changed("replications") {
		return exitf(misused, "--replications without --run; hint: add --run to simulate both")
	}
	if filepath.Clean(paths[0]) == filepath.Clean(paths[1]) {
		return exitf(misused, "%s is given twice; hint: name two files", paths[0])
	}
	works, err := (&compareFlags{studyFlags: f.studyFlags}).loadAll(p, c, paths)
	if err != nil {
		return err
	}
	names := namesOf(paths)
	d := &report.Diff{A: names[0], B: names[1], From: works[0].scenario(), To: works[1].scenario()}
	for _, t := range scenario.Tell(works[0].file, works[1].file) {
		d.Told = append(d.Told, report.Told(t))
	}
	var cut error
	if f.run {
		if d.Results, cut, err = p.bothRun(c, f, names, works); err != nil {
			return err
		}
	}
	err = p.answer(report.DiffDocument(d), f.json, func(w io.Writer) error { return report.DiffJSON(w, d, version) })
	if err != nil || d.Results == nil {
		return err
	}
	return p.cutShort(d.Results, cut)
}

// bothRun simulates both works on the same luck. cut is why it ended early, with
// something to show.
func (p *program) bothRun(c *cobra.Command, f *diffFlags, names []string, works []*loaded) (r *experiment.Comparison, cut, err error) {
	s, err := f.settings(c, works[0].plant.Works().Run)
	if err != nil {
		return nil, nil, err
	}
	s.Precision = 0 // nothing is chosen: it ends with the replications asked for
	var options []experiment.Option
	for i, name := range names {
		options = append(options, experiment.Option{Name: name, Runner: works[i].plant})
	}
	by := experiment.Criterion{By: common(works)}
	if err := p.allow(comparison(works, by, s)); err != nil {
		return nil, nil, err
	}
	ctx, done := p.interruptible()
	defer done()
	r, cut = p.compareBoth(ctx, options, by, s)
	if r == nil {
		return nil, nil, p.uncompared(cut)
	}
	identify(r, works)
	return r, cut, nil
}

// compareBoth is the comparison, with its progress shown.
func (p *program) compareBoth(ctx context.Context, options []experiment.Option, by experiment.Criterion, s experiment.Settings) (*experiment.Comparison, error) {
	show := p.progress()
	defer show.close()
	s.Progress = show.update
	return experiment.Compare(ctx, options, by, s)
}

// common are the measures to compare by that both works have.
func common(works []*loaded) []string {
	var some []string
	for _, name := range told {
		if !slices.ContainsFunc(works, func(w *loaded) bool {
			return !slices.ContainsFunc(w.plant.Measures(), func(m *plant.Measure) bool { return m.Name == name })
		}) {
			some = append(some, name)
		}
	}
	return some
}
