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

// masterFlags are the flags of the command. Of a question file they change how
// it is answered; of a scenario they also say what is asked.
type masterFlags struct {
	studyFlags
	ware, node, kind, date string
	trace                  string
	gates                  []string
	perYear, each          float64
	field, margin          float64
}

func (p *program) masterCommand() *cobra.Command {
	var f masterFlags
	c := &cobra.Command{
		Use:   "master FILE",
		Short: "Say what a bad master costs by where it is caught, and which watch is worth its price",
		Long: `Say what a fault in the tooling of a ware costs by where it is caught, and which watch
is worth its price.

FILE is a question file with a section master, or a scenario: then --ware says whose
tooling is at fault, and each --gate a place at which it may be seen, such as
--gate "white 10 %" or --gate "test 2 % today"; places are first-off, leather-hard,
white, fired and test. Without --gate: white 10 %, fired 10 %, test 2 % today.`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.master(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.ware, "ware", "", "ware whose tooling is at fault")
	c.Flags().StringVar(&f.node, "node", "case", "where the fault is born: model, block, case, mould or punch")
	c.Flags().StringVar(&f.kind, "kind", "size", "what is wrong: size, hole, waterway, weak wall, surface or warp")
	c.Flags().StringVar(&f.date, "date", "", "date on which it is born (default: four weeks after the start)")
	c.Flags().StringVar(&f.trace, "trace", "case", "what is marked on a piece: none, day, bench, mould, case or piece")
	c.Flags().StringArrayVar(&f.gates, "gate", nil, `a place and the share inspected there, "today" if it is in use`)
	c.Flags().Float64Var(&f.perYear, "yearly", 1, "such faults a year")
	c.Flags().Float64Var(&f.each, "each", 0.30, "cost of inspecting one piece, for a scenario (default is a guess)")
	c.Flags().Float64Var(&f.field, "return", 190, "cost of one piece that comes back, for a scenario (default is a guess)")
	c.Flags().Float64Var(&f.margin, "margin", 0, "price less variable cost of a good piece, for a scenario (default: from the ware's price)")
	c.Flags().IntVar(&f.replications, "replications", 0, "exactly so many replications to choose by, each without the fault and with it for every gate")
	c.Flags().IntVar(&f.weeks, "weeks", 0, "weeks simulated, those before the fault included")
	f.addAnswer(c)
	return c
}

// master answers the question and prints the answer.
func (p *program) master(c *cobra.Command, path string, f *masterFlags) error {
	if err := f.check(c); err != nil {
		return err
	}
	asked, w, title, err := p.askedMaster(c, path, f)
	if err != nil {
		return err
	}
	q, err := decision.NewMasterPlan(asked, w.file.Works, w.plant.Clock())
	if err != nil {
		return exitf(refused, "%s: %s", path, err)
	}
	if !scenario.IsQuestion(path) {
		f.price(&q)
	}
	q.Title, q.Workers = title, max(1, f.workers)
	if c.Flags().Changed("seed") {
		q.Seed = f.seed
	}
	if err := p.allow(mastered(&q, w.plant)); err != nil {
		return err
	}
	ctx, done := p.interruptible()
	defer done()
	show := p.progress()
	defer show.close()
	q.Progress = show.update
	a, err := decision.AskMaster(ctx, w.plant, q)
	if a == nil {
		return p.unmastered(err)
	}
	if fault := p.tellMaster(w, a, path, f.json); fault != nil {
		return fault
	}
	if err != nil {
		fmt.Fprintf(p.err, "stopped: %d replications kept; run the same command again for all\n", a.Replications)
		return &exit{code: cancelled}
	}
	return nil
}

// mastered is what the question asks of the machine.
func mastered(q *decision.MasterPlan, ready *plant.Plant) study {
	return study{
		shape: fmt.Sprintf("%d watches x %s", len(q.Gates)+2, effort.Runs(q.Replications, max(q.Replications, q.Most), q.Weeks)), runs: q.AllRuns(), plant: ready,
		options: plant.Options{Weeks: q.Weeks}, seed: q.Seed, workers: q.Workers,
	}
}

// tellMaster prints an answer.
func (p *program) tellMaster(w *loaded, a *decision.MasterAnswer, path string, asJSON bool) error {
	name := w.scenario()
	name.Path = path
	return p.answer(report.MasterDocument(name, a), asJSON, func(w io.Writer) error { return report.MasterJSON(w, name, a, version) })
}

// check refuses numbers that make no sense.
func (f *masterFlags) check(c *cobra.Command) error {
	switch {
	case c.Flags().Changed("replications") && f.replications < 2:
		return exitf(misused, "--replications is %d; hint: give 2 or more", f.replications)
	case f.perYear < 0:
		return exitf(misused, "--yearly is %g; hint: give 0 or more", f.perYear)
	}
	return f.studyFlags.check(c)
}

// askedMaster reads a question file, or a scenario with what the flags ask, and
// builds the works for as many weeks as the question wants.
func (p *program) askedMaster(c *cobra.Command, path string, f *masterFlags) (*scenario.MasterSection, *loaded, string, error) {
	if !scenario.IsQuestion(path) {
		return p.flaggedMaster(c, path, f)
	}
	asked, faults := scenario.ReadQuestion(path)
	p.say(faults, f.json)
	if asked == nil {
		return nil, nil, "", &exit{code: scenario.ExitCode(faults)}
	}
	if asked.Master == nil {
		return nil, nil, "", p.without(asked, "master", f.json)
	}
	f.change(c, asked.Master)
	w, err := p.built(asked.Works(0, 0), f.json, lasting(asked.Master.Weeks))
	return asked.Master, w, asked.Title, err
}

// flaggedMaster asks about a scenario by flags alone.
func (p *program) flaggedMaster(c *cobra.Command, path string, f *masterFlags) (*scenario.MasterSection, *loaded, string, error) {
	if f.ware == "" {
		return nil, nil, "", exitf(misused, "%s is a scenario: say whose tooling is at fault; hint: --ware pan, or give a question file", path)
	}
	// The currency of the file is not known before it is read; the defaults hold no
	// money but zero.
	asked := scenario.DefaultMaster(f.ware, "EUR")
	asked.Kind, asked.Node, asked.Trace, asked.Date, asked.Yearly = f.kind, f.node, f.trace, f.date, f.perYear
	gates := f.gates
	if gates == nil {
		gates = []string{"white 10 %", "fired 10 %", "test 2 % today"}
	}
	for _, text := range gates {
		g, err := gateGiven(text)
		if err != nil {
			return nil, nil, "", err
		}
		if f.node == "mould" || f.node == "punch" {
			g.Alarm.By = map[string]string{"mould": "mould", "punch": "ware"}[f.node]
		}
		asked.Gates = append(asked.Gates, g)
	}
	f.change(c, asked)
	w, err := p.load(path, f.json, lasting(asked.Weeks))
	return asked, w, "", err
}

// change lets flags that bear on the answering change what a file says.
func (f *masterFlags) change(c *cobra.Command, a *scenario.MasterSection) {
	if f.weeks > 0 {
		a.Weeks = f.weeks
	}
	if f.replications > 0 {
		a.Replications, a.Most, a.Precision = f.replications, f.replications, 0
	}
	if c.Flags().Changed("yearly") {
		a.Yearly = f.perYear
	}
}

// price sets the prices that flags give, in the currency of the works.
func (f *masterFlags) price(q *decision.MasterPlan) {
	for k := range q.Gates {
		q.Gates[k].Each = f.each
	}
	q.Money.Return = f.field
	if f.margin > 0 {
		q.Money.Margin[q.Fault.Ware] = f.margin
	}
}

// lasting makes a works last for so many weeks and one more, which is not
// simulated: a kiln that is to be drawn on the Monday after the last week has
// hours to wait for.
func lasting(weeks int) func(*plant.Works) {
	return func(w *plant.Works) { w.Run.Length = des.Time(weeks+1) * des.Week }
}

// gateGiven reads one --gate.
func gateGiven(text string) (scenario.GateSection, error) {
	at, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	g := scenario.DefaultGate(at, "EUR")
	known := false
	for _, place := range plant.GatePlaces {
		known = known || place == at && place != "customer"
	}
	if !known {
		return g, exitf(misused, "--gate %q: no place %q; hint: places are %s", text, at, strings.Join(plant.GatePlaces[:len(plant.GatePlaces)-1], ", "))
	}
	rest = strings.TrimSpace(rest)
	if less, today := strings.CutSuffix(rest, "today"); today {
		g.InUse, rest = true, strings.TrimSpace(less)
	}
	if rest != "" {
		s, err := quantity.ParseShare("gate", rest)
		if err != nil {
			return g, exitf(misused, "--gate %q: %s", text, err)
		}
		g.Inspects = s
	}
	return g, nil
}

// unmastered is the end of a question without an answer.
func (p *program) unmastered(err error) error {
	var failure *experiment.ReplicationError
	switch {
	case errors.As(err, &failure):
		return p.failure(failure)
	case errors.Is(err, context.Canceled):
		return p.unanswered(err)
	}
	return exitf(refused, "%s", err)
}
