package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/web"
)

// serveFlags are the flags of the command.
type serveFlags struct {
	port   int
	log    bool
	ledger string
	study  []string // flags that every study of the page gets
}

func (p *program) serveCommand() *cobra.Command {
	var f serveFlags
	c := &cobra.Command{
		Use:   "serve [FOLDER]",
		Short: "Open the local page: works, questions, runs, floor",
		Long: `Open the local page: works, questions, runs, floor.

The page shows the scenarios and questions of FOLDER (default: the present one), drafts
new ones, checks them as they are edited, carries out runs and shows their answers. It
listens on this machine's loopback addresses only, and answers only to whoever has the
address that is printed. Ctrl-C ends it.

With --ledger FILE every replication is kept in FILE: what was asked before is listed,
and asked again it is there at once.`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exitf(misused, "serve takes one folder, got %d; hint: potbank %s", len(args), c.Use)
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			f.study = studyFlagsOf(c)
			folder := "."
			if len(args) == 1 {
				folder = args[0]
			}
			return p.serve(folder, &f)
		},
	}
	c.Flags().IntVar(&f.port, "port", 0, "port on the loopback address (default: any that is free)")
	c.Flags().BoolVar(&f.log, "log", false, "say every refused request on standard error")
	c.Flags().StringVar(&f.ledger, "ledger", "", "file that keeps every replication, and what was asked")
	addShare(c)
	c.Flags().Int("workers", runtime.GOMAXPROCS(0), "with --share: replications simulated at once by this machine itself (0: none)")
	return c
}

// keptFlags are flags that the page is started with for the sake of its studies.
var keptFlags = []string{"ledger", "share", "token", "ca", "cert", "key", "workers"}

// studyFlagsOf are the flags of the page that its studies are to have: where they
// are kept, and who may join them.
func studyFlagsOf(c *cobra.Command) (flags []string) {
	for _, name := range keptFlags {
		if flag := c.Flags().Lookup(name); flag.Changed {
			flags = append(flags, "--"+name+"="+flag.Value.String())
		}
	}
	return flags
}

// studies tells whether a command takes the flags of a study.
func (p *program) studies(name string) bool {
	c, _, err := p.command().Find([]string{name})
	return err == nil && c.Name() == name && c.Flags().Lookup("share") != nil && name != "serve"
}

// serve shows the page until Ctrl-C.
func (p *program) serve(folder string, f *serveFlags) error {
	if f.port < 0 || f.port > 65535 {
		return exitf(misused, "--port is %d; hint: 1 to 65535, or none", f.port)
	}
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return exitf(misused, "%s is no folder; hint: potbank serve scenarios", folder)
	}
	if f.ledger == "" && slices.ContainsFunc(f.study, func(a string) bool { return strings.HasPrefix(a, "--share=") }) {
		return exitf(misused, "--share needs a ledger, which holds what has come; hint: add --ledger FILE")
	}
	logTo := io.Discard
	if f.log {
		logTo = p.err
	}
	c := web.Config{Folder: folder, Port: f.port, Command: p.carryOut(folder, f.study), Version: version, Now: p.now,
		Log: slog.New(slog.NewTextHandler(logTo, nil))}
	if f.ledger != "" {
		// A ledger that cannot be had is said now, not under the first answer.
		s, err := ledger.Open(f.ledger, patience, p.now)
		if err != nil {
			return unopened(err)
		}
		if err := s.Close(); err != nil {
			return unopened(err)
		}
		c.History = func() ([]web.Asked, error) { return history(folder, f.ledger) }
	}
	s, err := web.Listen(c)
	if err != nil {
		return exitf(failed, "the page cannot be opened: %s", err)
	}
	fmt.Fprintf(p.out, "%s\nOpen this address in a browser on this machine. Ctrl-C ends the page.\n", s.URL())
	ctx, done := p.interruptible()
	defer done()
	if err := s.Serve(ctx); err != nil {
		return exitf(failed, "the page ended: %s", err)
	}
	return nil
}

// carryOut runs a command line of the page as the terminal would, with the
// files of a folder. A study gets flags besides.
func (p *program) carryOut(folder string, flags []string) web.Command {
	return func(ctx context.Context, args []string, progress func(experiment.Progress)) web.Outcome {
		line := []string{args[0]}
		for _, a := range args[1:] {
			if !strings.HasPrefix(a, "--") {
				a = filepath.Join(folder, a)
			}
			line = append(line, a)
		}
		if p.studies(args[0]) {
			line = append(line, flags...)
		}
		interrupts := make(chan os.Signal, 1)
		stop := context.AfterFunc(ctx, func() { interrupts <- os.Interrupt })
		defer stop()
		var o web.Outcome
		var said bytes.Buffer
		o.Code = run(line, strings.NewReader(""), io.Discard, &said, environment{
			interrupts: interrupts, quit: func(int) {}, now: time.Now, watch: progress, faces: func(a web.Answer) { o.Answer = &a },
		})
		o.Said = strings.ReplaceAll(said.String(), folder+string(filepath.Separator), "")
		return o
	}
}

// history lists what a ledger was asked before, the latest first, in the words
// of the page: files by their names in its folder.
func history(folder, path string) ([]web.Asked, error) {
	s, err := ledger.OpenReading(path)
	if errors.Is(err, ledger.ErrMissing) {
		return nil, nil // nothing has been asked yet
	}
	if err != nil {
		return nil, err
	}
	defer s.Close() // nothing was written
	studies, err := s.Studies()
	if err != nil {
		return nil, err
	}
	home, err := filepath.Abs(folder)
	if err != nil {
		return nil, err
	}
	var all []web.Asked
	for _, st := range slices.Backward(studies) {
		all = append(all, askedOf(st, home))
	}
	return all, nil
}

// askedOf is a study as the page would ask it.
func askedOf(st ledger.Study, home string) web.Asked {
	a := web.Asked{At: st.Asked, Ended: st.Ended, Code: st.Code}
	for i, arg := range st.Args {
		switch {
		case i == 0:
			a.Command = arg
		case slices.ContainsFunc(keptFlags, func(name string) bool { return strings.HasPrefix(arg, "--"+name+"=") }):
		case strings.HasPrefix(arg, "-"):
			a.Flags = append(a.Flags, arg)
		default:
			if !filepath.IsAbs(arg) {
				arg = filepath.Join(st.Folder, arg)
			}
			if inside, err := filepath.Rel(home, arg); err == nil {
				arg = filepath.ToSlash(inside)
			}
			a.Files = append(a.Files, arg)
		}
	}
	return a
}
