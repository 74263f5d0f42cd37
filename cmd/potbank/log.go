package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"potbank/internal/eventlog"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// logFlags are the flags of the command besides those of a run.
type logFlags struct {
	studyFlags
	out, format string
	replication uint32
	from, to    int
	force       bool
}

func (p *program) logCommand() *cobra.Command {
	var f logFlags
	c := &cobra.Command{
		Use:   "log FILE --out LOG",
		Short: "Write what happened to every piece as an event log",
		Long: `Write what happened to every piece as an event log.

The extension of LOG tells the format: .json is OCEL 2.0 (pieces, moulds, cases, kiln
loads and orders as objects), .xes is XES (IEEE 1849; a piece is a case), .csv has one
event a line. The log is written while the replication runs, and is there as a whole
or not at all. It is the very replication that potbank run counts.`,
		Args: oneFile,
		RunE: func(c *cobra.Command, args []string) error { return p.log(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.out, "out", "", "file to write")
	c.Flags().StringVar(&f.format, "format", "", "ocel, xes or csv (default: as the extension of the file says)")
	c.Flags().Uint32Var(&f.replication, "replication", 1, "which replication of the seed")
	c.Flags().IntVar(&f.from, "from", 1, "first week that is written")
	c.Flags().IntVar(&f.to, "to", 0, "last week that is written (default: the last of the run)")
	c.Flags().BoolVar(&f.force, "force", false, "write over a file that is there")
	f.addRun(c)
	return c
}

// log simulates one replication and writes its events.
func (p *program) log(c *cobra.Command, path string, f *logFlags) error {
	format, err := f.wanted()
	if err != nil {
		return err
	}
	w, err := f.load(p, c, path)
	if err != nil {
		return err
	}
	settings, err := f.settings(c, w.plant.Works().Run)
	if err != nil {
		return err
	}
	about, err := f.about(w, settings)
	if err != nil {
		return err
	}
	var counts eventlog.Counts
	err = writeFile(f.out, f.force, func(to, spool *os.File) (err error) {
		counts, err = p.record(w.plant, settings, about, format, to, spool)
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s: %d events of %d pieces, weeks %d to %d of replication %d, seed %d.\n",
		f.out, counts.Events, counts.Pieces, about.From, about.To, about.Replication, about.Seed)
	return nil
}

// wanted checks the flags that can be judged before anything is read, and tells
// the format.
func (f *logFlags) wanted() (eventlog.Format, error) {
	if f.out == "" {
		return "", exitf(misused, "log wants the name of the file to write; hint: add --out works.ocel.json, .xes or .csv")
	}
	if f.replication == 0 {
		return "", exitf(misused, "--replication is 0; hint: they are numbered from 1")
	}
	format, ok := eventlog.FormatOf(f.out)
	switch {
	case f.format != "" && !slices.Contains(eventlog.Formats, eventlog.Format(f.format)):
		return "", exitf(misused, "no format %q; hint: ocel, xes or csv", f.format)
	case f.format != "":
		format = eventlog.Format(f.format)
	case !ok:
		return "", exitf(misused, "the extension of %s tells no format; hint: .json, .xes or .csv, or add --format", f.out)
	}
	return format, free(f.out, f.force)
}

// about says what the log is of, and checks its weeks.
func (f *logFlags) about(w *loaded, s experiment.Settings) (eventlog.About, error) {
	weeks := w.plant.Weeks()
	a := eventlog.About{
		Works: w.file.Works.Name, Hash: w.file.Hash, Seed: s.Seed, Replication: f.replication,
		From: f.from, To: f.to, Clock: w.plant.Clock(), Orders: w.plant.Works().Orders,
	}
	if a.To == 0 {
		a.To = weeks
	}
	if a.From < 1 || a.To > weeks || a.From > a.To {
		return a, exitf(misused, "weeks %d to %d of a run of %d weeks; hint: give --from and --to within 1 to %d", a.From, a.To, weeks, weeks)
	}
	return a, nil
}

// record simulates the weeks up to the last one wanted and writes the log.
func (p *program) record(works *plant.Plant, s experiment.Settings, a eventlog.About, format eventlog.Format, to io.Writer, spool io.ReadWriteSeeker) (eventlog.Counts, error) {
	l, err := eventlog.New(to, spool, format, a)
	if err != nil {
		return eventlog.Counts{}, err
	}
	ctx, done := p.interruptible()
	defer done()
	_, err = works.Simulate(plant.Options{
		Source: random.New(s.Seed, a.Replication), Fixed: s.Fixed, Weeks: a.To,
		Observer: l.Observe,
		Stopped:  func() bool { return ctx.Err() != nil || l.Failed() },
	})
	switch {
	case ctx.Err() != nil:
		return eventlog.Counts{}, exitf(cancelled, "stopped before the run ended; nothing was written")
	case err != nil && !l.Failed():
		return eventlog.Counts{}, p.failure(&experiment.ReplicationError{Number: int(a.Replication), Err: err})
	}
	return l.Close()
}

// free refuses a file that is there already, unless it may be written over.
func free(path string, force bool) error {
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return nil // what else is wrong shows when it is written
	case info.IsDir():
		return exitf(misused, "%s is a folder; hint: give the name of a file", path)
	case !force:
		return exitf(misused, "%s is there already; hint: choose another name, or add --force", path)
	}
	return nil
}

// writeFile has a file written beside its place and moves it there once it is
// whole: a reader never sees half of it, and when writing fails nothing is
// changed. spool is a second temporary file for whoever needs one.
func writeFile(path string, force bool, write func(to, spool *os.File) error) error {
	folder, name := filepath.Dir(path), filepath.Base(path)
	to, err := os.CreateTemp(folder, "."+name+".*")
	if err != nil {
		return exitf(failed, "writing %s: %s", path, reasonOf(err))
	}
	defer os.Remove(to.Name()) // after the rename there is nothing to remove
	defer to.Close()
	spool, err := os.CreateTemp(folder, "."+name+".*")
	if err != nil {
		return exitf(failed, "writing %s: %s", path, reasonOf(err))
	}
	defer os.Remove(spool.Name())
	defer spool.Close()
	if err := write(to, spool); err != nil {
		if said, ok := err.(*exit); ok {
			return said
		}
		return exitf(failed, "writing %s: %s", path, reasonOf(err))
	}
	for _, step := range []func() error{to.Sync, func() error { return to.Chmod(0o644) }, to.Close} {
		if err := step(); err != nil {
			return exitf(failed, "writing %s: %s", path, reasonOf(err))
		}
	}
	if err := free(path, force); err != nil {
		return err // it has come into being meanwhile
	}
	if err := os.Rename(to.Name(), path); err != nil {
		return exitf(failed, "writing %s: %s", path, reasonOf(err))
	}
	return nil
}
