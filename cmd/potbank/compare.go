package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/des"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// mostOptions is how many works one command compares; the rules of choice are
// not meant for more.
const mostOptions = 50

// compareFlags are the flags of the command besides those of every study.
type compareFlags struct {
	studyFlags
	by              []string
	least, greatest bool
	matters, method string
	most, budget    int
}

func (p *program) compareCommand() *cobra.Command {
	var f compareFlags
	c := &cobra.Command{
		Use:   "compare FILE [OPTION...]",
		Short: "Say which of several works is best, and how sure that is",
		Long: `Say which of several works is best, and how sure that is.

FILE is a scenario. An OPTION is another, or a change file of a few lines whose
base is FILE. All are simulated on the same luck, so that a difference shows what
the options do and not what chance did. The best is certified on fresh luck.

Or FILE is a question, such as scenarios/questions/shifts.yaml: options, futures, what
decides and what must hold. The answer then tells of hours and nights, crews, the
punching window and rules on working time too.`,
		Args: func(c *cobra.Command, args []string) error {
			switch {
			case len(args) == 1 && scenario.IsQuestion(args[0]):
				return nil
			case len(args) < 2:
				return exitf(misused, "compare wants a scenario file and at least one option, got %d; hint: potbank %s", len(args), c.Use)
			case len(args) > mostOptions:
				return exitf(overLimit, "compare got %d files; the limit is %d", len(args), mostOptions)
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return p.compare(c, args, &f) },
	}
	f.addCompare(c)
	return c
}

// addCompare defines the flags.
func (f *compareFlags) addCompare(c *cobra.Command) {
	c.Flags().StringSliceVar(&f.by, "by", nil, "measure that decides (default packed.total); further ones are compared too")
	c.Flags().BoolVar(&f.least, "least", false, "the least of the deciding measure is best (default: as is known of it)")
	c.Flags().BoolVar(&f.greatest, "greatest", false, "the greatest of the deciding measure is best")
	c.Flags().StringVar(&f.matters, "matters", "", `smallest difference that matters: "25 pieces/wk", "0.20 EUR" or a share of FILE's value (default "1 %")`)
	c.Flags().StringVar(&f.method, "method", string(experiment.KimNelson), "how to choose: kn (sequential), rinott (two stages) or ocba (a budget)")
	c.Flags().IntVar(&f.budget, "budget", 0, "with ocba: replications of all options together")
	c.Flags().IntVar(&f.replications, "replications", 0, "exactly so many replications of each, or at least so many with --most")
	c.Flags().IntVar(&f.most, "most", 0, "replications of one option at which to stop without a choice (default: FILE's)")
	f.addStudy(c)
}

// compare simulates FILE and the options side by side and prints which is best.
// As with run, a comparison cut short prints what it has, labelled.
func (p *program) compare(c *cobra.Command, paths []string, f *compareFlags) error {
	if scenario.IsQuestion(paths[0]) {
		return p.compareQuestion(c, paths, f)
	}
	works, err := f.loadAll(p, c, paths)
	if err != nil {
		return err
	}
	settings, err := f.settings(c, works[0].plant.Works().Run)
	if err != nil {
		return err
	}
	criterion, err := f.criterion(works)
	if err != nil {
		return err
	}
	var options []experiment.Option
	for i, name := range namesOf(paths) {
		options = append(options, experiment.Option{Name: name, Runner: works[i].plant})
	}
	if err := p.allow(comparison(works, criterion, settings)); err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	settings.Progress = show.update
	r, cut := experiment.Compare(ctx, options, criterion, settings)
	show.close()
	if r == nil {
		return p.uncompared(cut)
	}
	identify(r, works)
	p.tables.sheets = func() []report.Sheet { return report.ComparisonSheets(r, works[0].values()) }
	err = p.answer(report.ComparisonDocument(r), f.json, func(w io.Writer) error { return report.ComparisonJSON(w, r, version) })
	if err != nil {
		return err
	}
	return p.cutShort(r, cut)
}

// comparison is what a comparison asks of the machine.
func comparison(works []*loaded, c experiment.Criterion, s experiment.Settings) study {
	each, first := s.Runs(), works[0].plant
	return study{
		shape: fmt.Sprintf("%d options x %s", len(works), effort.Runs(each.Least, each.Most, first.Weeks())),
		runs:  experiment.CompareRuns(len(works), c, s), plant: first, options: plant.Options{Fixed: s.Fixed}, seed: s.Seed, workers: s.Workers,
	}
}

// loadAll reads every file, and says all their faults before it gives up.
func (f *compareFlags) loadAll(p *program, c *cobra.Command, paths []string) ([]*loaded, error) {
	var all []*loaded
	var refusal error
	for i, path := range paths {
		for _, before := range paths[:i] {
			if filepath.Clean(before) == filepath.Clean(path) {
				return nil, exitf(misused, "%s is given twice; hint: name each option once", path)
			}
		}
	}
	defer p.sayOnce()()
	for _, path := range paths {
		w, err := f.load(p, c, path)
		if err != nil && refusal == nil {
			refusal = err
		}
		all = append(all, w)
	}
	return all, refusal
}

// once passes lines on that it has not passed on before: change files share
// their base, and the warnings of it with each other.
type once struct {
	w    io.Writer
	said map[string]bool
}

// sayOnce passes nothing on twice of what is said, until it is done.
func (p *program) sayOnce() (done func()) {
	say := p.err
	p.err = &once{w: say, said: map[string]bool{}}
	return func() { p.err = say }
}

func (o *once) Write(text []byte) (int, error) {
	for line := range strings.Lines(string(text)) {
		if o.said[line] {
			continue
		}
		o.said[line] = true
		if _, err := io.WriteString(o.w, line); err != nil {
			return 0, err
		}
	}
	return len(text), nil
}

// settings are those of FILE, changed by the flags. To ask for a number of
// replications is to ask for just that number, unless a limit is given as well.
func (f *compareFlags) settings(c *cobra.Command, works plant.Run) (experiment.Settings, error) {
	s, err := f.studyFlags.settings(c, works)
	if err != nil || !c.Flags().Changed("most") {
		return s, err
	}
	switch {
	case f.most > mostReplications:
		return s, exitf(overLimit, "--most is %d; the limit is %d", f.most, mostReplications)
	case f.most < s.Replications:
		return s, exitf(misused, "--most is %d, and %d replications are made at least; hint: give more, or fewer --replications", f.most, s.Replications)
	}
	s.Most = f.most
	s.Precision = 1 // go on until the choice is made
	return s, nil
}

// criterion is what the flags say about how to choose.
func (f *compareFlags) criterion(works []*loaded) (experiment.Criterion, error) {
	c := experiment.Criterion{By: f.by, Method: experiment.Method(f.method), Budget: f.budget}
	switch {
	case f.least && f.greatest:
		return c, exitf(misused, "--least and --greatest exclude each other; hint: give one")
	case f.least:
		c.Way = experiment.Less
	case f.greatest:
		c.Way = experiment.More
	}
	switch c.Method {
	case experiment.KimNelson, experiment.Rinott, experiment.OCBA:
	default:
		return c, exitf(misused, "no method %q; hint: kn, rinott or ocba", f.method)
	}
	switch {
	case c.Method == experiment.OCBA && f.budget == 0:
		return c, exitf(misused, "--method ocba wants --budget; hint: give the replications of all options together, e.g. --budget 100")
	case f.budget > mostReplications:
		return c, exitf(overLimit, "--budget is %d; the limit is %d", f.budget, mostReplications)
	}
	deciding, unit := c.Deciding(), ""
	for _, name := range append([]string{deciding}, f.by...) {
		m, err := measureOf(works[0].plant, name)
		if err != nil {
			return c, err
		}
		if name == deciding {
			unit = m.Unit
		}
	}
	if c.Way == experiment.Neither && experiment.DirectionOf(deciding) == experiment.Neither {
		return c, exitf(misused, "%s is neither good nor bad in itself; hint: add --least or --greatest", deciding)
	}
	var err error
	c.Matters, err = marginOf(f.matters, deciding, unit)
	return c, err
}

// measureOf finds a measure, and helps out with the nearest names.
func measureOf(p *plant.Plant, name string) (*plant.Measure, error) {
	m, what, hint := measureNamed(p, name)
	if m == nil {
		return nil, exitf(misused, "%s; hint: %s", what, hint)
	}
	return m, nil
}

// measureNamed finds a measure, or says that there is none and what to do.
func measureNamed(p *plant.Plant, name string) (m *plant.Measure, what, hint string) {
	var near []string
	for _, m := range p.Measures() {
		if m.Name == name {
			return m, "", ""
		}
		if group, _, _ := strings.Cut(name, "."); strings.HasPrefix(m.Name, group+".") {
			near = append(near, m.Name)
		}
	}
	what, hint = fmt.Sprintf("no measure %q", name), "see potbank measures FILE"
	if len(near) > 0 && len(near) <= 8 {
		hint = "there are " + strings.Join(near, ", ")
	}
	return nil, what, hint
}

// namesOf gives the options short names: those of the files, or their paths
// where two files have the same name.
func namesOf(paths []string) []string {
	count := map[string]int{}
	short := func(path string) string {
		base := filepath.Base(path)
		if path == "-" {
			return "standard input"
		}
		return strings.TrimSuffix(base, filepath.Ext(base))
	}
	for _, path := range paths {
		count[short(path)]++
	}
	var names []string
	for _, path := range paths {
		name := short(path)
		if count[name] > 1 {
			name = path
		}
		names = append(names, name)
	}
	return names
}

// identify says which files were compared, how they differ, and which of them
// does not change FILE but another.
func identify(r *experiment.Comparison, works []*loaded) {
	first := works[0].file
	for i, w := range works {
		o := &r.Options[i]
		o.Answer.Identify(w.scenario(), w.unmeasured())
		if i == 0 {
			continue
		}
		for _, d := range scenario.Differences(first, w.file) {
			o.Changes = append(o.Changes, experiment.Change(d))
		}
		if base := w.file.Base; base != "" && filepath.Clean(base) != filepath.Clean(first.Path) && base != first.Base {
			r.Warnings = append(r.Warnings, fmt.Sprintf("%s changes %s, not %s: see what else differs.", o.Name, base, first.Path))
		}
	}
}

// uncompared is the end of a comparison that has nothing to show.
func (p *program) uncompared(err error) error {
	var failure *experiment.OptionError
	switch {
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before the first replication of every option ended: there is nothing to show")
	case errors.As(err, &failure):
		return p.optionFailure(failure)
	}
	return exitf(misused, "%s", strings.TrimPrefix(err.Error(), "experiment: "))
}

// cutShort is the end of a comparison that was cut short with something to show.
func (p *program) cutShort(r *experiment.Comparison, err error) error {
	var failure *experiment.OptionError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &failure):
		return p.optionFailure(failure)
	}
	var kept []string
	for _, o := range r.Options {
		kept = append(kept, fmt.Sprintf("%s 1-%d", o.Name, o.Answer.Replications))
	}
	fmt.Fprintf(p.err, "stopped: replications kept: %s; run the same command again for all\n", strings.Join(kept, ", "))
	return &exit{code: cancelled}
}

// optionFailure is failure, with the option's name.
func (p *program) optionFailure(e *experiment.OptionError) error {
	var panicked *des.PanicError
	if errors.As(e, &panicked) {
		return p.failure(e.ReplicationError)
	}
	return exitf(inPart, "%s", e)
}
