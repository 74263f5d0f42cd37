package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/report"
	"potbank/internal/scenario"
)

// How often the works is run where nobody says otherwise, as in a question.
const (
	usualRuns  = 300
	usualPairs = 40
)

// promiseFlags are the flags of the command.
type promiseFlags struct {
	studyFlags
	order, ware, start, due string
	quantity, priority      int
	packed, pairs           int
	service, runIn          string
}

// promiseOrder are the flags that describe an order, which a question does for
// itself.
var promiseOrder = []string{"order", "ware", "quantity", "start", "due", "priority", "packed", "service", "run-in"}

func (p *program) promiseCommand() *cobra.Command {
	var f promiseFlags
	c := &cobra.Command{
		Use:   "promise FILE",
		Short: "Say when an order will be done, and what would bring it forward",
		Long: `Say when an order will be done, and what would bring it forward.

FILE is a question, or a scenario with the order in flags:

    potbank promise works.yaml --ware pan --quantity 10000 --due 2027-03-01

The order runs among those of the file. Without an opening state in the file the works
is run in for some weeks before the order starts, so that it is as full as it usually is.
Values that say what they rest on, such as "92 % from 460 of 500", are drawn anew for each
run, so that the date allows for what nobody knows.`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.promise(c, args[0], &f) },
	}
	f.addPromise(c)
	return c
}

// addPromise defines the flags.
func (f *promiseFlags) addPromise(c *cobra.Command) {
	c.Flags().StringVar(&f.order, "order", "order", "name of the order: one of the file's, or a name for the one in the flags")
	c.Flags().StringVar(&f.ware, "ware", "", "ware ordered")
	c.Flags().IntVar(&f.quantity, "quantity", 0, "good pieces ordered")
	c.Flags().StringVar(&f.start, "start", "", "date from which ware is cast for it (default: the file's start)")
	c.Flags().StringVar(&f.due, "due", "", "date asked for")
	c.Flags().IntVar(&f.priority, "priority", 2, "1 goes before 2 in every queue, 3 is last")
	c.Flags().IntVar(&f.packed, "packed", 0, "good pieces packed for it already")
	c.Flags().StringVar(&f.service, "service", "95 %", "probability with which a date is promised")
	c.Flags().StringVar(&f.runIn, "run-in", "4 wk", "weeks simulated before the start, where the file has no opening state")
	c.Flags().IntVar(&f.replications, "replications", 0, "runs behind the date (default 300)")
	c.Flags().IntVar(&f.pairs, "pairs", 0, "pairs of runs behind each lever, cause and other order (default 40, or an eighth of --replications)")
	f.addAnswer(c)
}

// promise answers the question and prints the answer. What was cut short prints
// what it has, labelled.
func (p *program) promise(c *cobra.Command, path string, f *promiseFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	ask := p.promiseOfFile
	if scenario.IsQuestion(path) {
		ask = p.promiseOfQuestion
	}
	q, name, err := ask(c, path, f)
	if err != nil {
		return err
	}
	f.settle(c, &q)
	if s, ok := promised(&q); ok {
		if err := p.allow(s); err != nil {
			return err
		}
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	q.Progress = show.update
	r, cut := decision.Promise(ctx, q)
	show.close()
	if r == nil {
		return p.unpromised(cut)
	}
	err = p.answer(report.PromiseDocument(name, r), f.json, func(w io.Writer) error { return report.PromiseJSON(w, name, r, version) })
	if err != nil {
		return err
	}
	if cut != nil {
		fmt.Fprintln(p.err, "stopped: the answer rests on the runs made until then; run the same command again for all")
		return &exit{code: cancelled}
	}
	return nil
}

// promised is what a date asks of the machine. Faults of the works, of which there is
// none then, have been said, or will be.
func promised(q *decision.PromisePlan) (s study, ok bool) {
	file := q.Works
	if q.Forth != nil {
		file = q.Forth.Works
	}
	ready, _ := file.Plant()
	if ready == nil {
		return s, false
	}
	n, weeks := q.AllRuns(), q.HandWeeks(ready)
	return study{
		shape: effort.Runs(n, n, weeks) + " or so", runs: experiment.Runs{Least: n, Most: n}, plant: ready,
		options: plant.Options{Weeks: weeks, Daily: true}, seed: q.Seed, workers: q.Workers,
	}, true
}

// check refuses flags that make no sense.
func (f *promiseFlags) check(c *cobra.Command) error {
	if c.Flags().Changed("pairs") && f.pairs < 2 {
		return exitf(misused, "--pairs is %d; hint: give 2 or more", f.pairs)
	}
	if c.Flags().Changed("replications") && f.replications < 2 {
		return exitf(misused, "--replications is %d, and a date has no spread from fewer than 2; hint: 300 give the 95 %% date to about a day", f.replications)
	}
	if f.pairs > mostReplications {
		return exitf(overLimit, "--pairs is %d; the limit is %d", f.pairs, mostReplications)
	}
	return f.studyFlags.check(c)
}

// settle changes a question as the flags say.
func (f *promiseFlags) settle(c *cobra.Command, q *decision.PromisePlan) {
	q.Workers = max(1, f.workers)
	if c.Flags().Changed("seed") {
		q.Seed = f.seed
	}
	if f.replications > 0 {
		q.Runs = f.replications
		q.Pairs = max(2, f.replications/8)
	}
	if f.pairs > 0 {
		q.Pairs = f.pairs
	}
}

// promiseOfQuestion reads a question, and says the faults of all its works.
func (p *program) promiseOfQuestion(c *cobra.Command, path string, f *promiseFlags) (q decision.PromisePlan, name experiment.Scenario, err error) {
	asked, err := p.askAlone(c, []string{path}, promiseOrder, f.json)
	if err != nil {
		return q, name, err
	}
	if asked.Promise == nil {
		return q, name, p.without(asked, "promise", f.json)
	}
	if q, err = decision.AskedPromise(asked); err != nil {
		return q, name, exitf(refused, "%s: %s", path, err)
	}
	works := []*scenario.File{q.Works}
	for _, l := range q.Levers {
		works = append(works, l.Works)
	}
	if q.Forth != nil {
		works = append(works, q.Forth.Works)
	}
	if err := p.sayAll(works, f.json); err != nil {
		return q, name, err
	}
	return q, nameOf(asked, q.Works.Works.Name), nil
}

// promiseOfFile makes the question of a scenario and flags.
func (p *program) promiseOfFile(c *cobra.Command, path string, f *promiseFlags) (q decision.PromisePlan, name experiment.Scenario, err error) {
	file, faults := scenario.Read(path)
	if file == nil {
		p.say(faults, f.json)
		return q, name, &exit{code: scenario.ExitCode(faults)}
	}
	order, err := f.orderOf(c, file.Works)
	if err != nil {
		return q, name, err
	}
	service, err := quantity.ParseShare("service", f.service)
	if err != nil || service <= 0 || service >= 1 {
		return q, name, exitf(misused, "--service %q; hint: write a share such as \"95 %%\"", f.service)
	}
	runIn, err := quantity.ParseTime("run-in", f.runIn)
	if err != nil || runIn < 0 || des.Time(runIn)%des.Week != 0 {
		return q, name, exitf(misused, "--run-in %q; hint: write whole weeks such as \"4 wk\"", f.runIn)
	}
	booked, err := decision.Book(file, order, des.Time(runIn))
	if err != nil {
		return q, name, exitf(misused, "--start: %s", err)
	}
	w, err := p.built(booked, f.json, nil, faults...)
	if err != nil {
		return q, name, err
	}
	q = decision.PromisePlan{
		Title: file.Works.Name, Order: order.Name, Works: booked, Service: float64(service),
		Runs: usualRuns, Pairs: usualPairs, Seed: uint64(file.Works.Run.Seed),
	}
	return q, w.scenario(), nil
}

// orderOf is the order of the flags, or that of the file which they name.
func (f *promiseFlags) orderOf(c *cobra.Command, w *plant.Works) (plant.Order, error) {
	given := c.Flags().Changed
	var known []string
	for _, o := range w.Orders {
		known = append(known, o.Name)
		if f.ware == "" && (o.Name == f.order || !given("order") && len(w.Orders) == 1) {
			if f.quantity > 0 {
				o.Quantity = f.quantity
			}
			if f.due != "" {
				o.Due = f.due
			}
			if f.start != "" {
				o.Start = f.start
			}
			if given("priority") {
				o.Priority = f.priority
			}
			if given("packed") {
				o.Packed = f.packed
			}
			return o, nil
		}
	}
	var wares []string
	for i := range w.Ware {
		wares = append(wares, w.Ware[i].Name)
		if w.Ware[i].Name == f.ware && f.quantity > 0 {
			return plant.Order{Name: f.order, Ware: f.ware, Quantity: f.quantity, Start: f.start, Due: f.due, Priority: f.priority, Packed: f.packed}, nil
		}
	}
	switch {
	case f.ware == "" && len(known) > 0:
		return plant.Order{}, exitf(misused, "which order? hint: give --order, one of %s, or --ware and --quantity", strings.Join(known, ", "))
	case f.ware == "":
		return plant.Order{}, exitf(misused, "no order is given; hint: --ware %s --quantity 10000", wares[0])
	case f.quantity < 1:
		return plant.Order{}, exitf(misused, "--quantity is %d; hint: give the good pieces ordered", f.quantity)
	}
	return plant.Order{}, exitf(misused, "the works makes no %q; hint: one of %s", f.ware, strings.Join(wares, ", "))
}

// unpromised is the end of a study that has nothing to show.
func (p *program) unpromised(err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.Is(err, context.Canceled):
		return exitf(cancelled, "stopped before %d runs had ended: there is nothing to show", decision.LeastPromiseRuns)
	case errors.As(err, &failure):
		return p.failure(failure)
	}
	return exitf(inPart, "%s", err)
}
