package main

import (
	"bytes"
	"context"
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
	"potbank/internal/web"
)

// serveFlags are the flags of the command.
type serveFlags struct {
	port  int
	log   bool
	study []string // flags that every study of the page gets
}

func (p *program) serveCommand() *cobra.Command {
	var f serveFlags
	c := &cobra.Command{
		Use:   "serve [FOLDER]",
		Short: "Open the local page: works, questions, runs, floor",
		Long: `Open the local page: works, questions, runs, floor.

The page shows the scenarios and questions of FOLDER (default: the present one), checks
them as they are edited, carries out runs and shows their answers. It listens on this
machine's loopback addresses only, and answers only to whoever has the address that is
printed. Ctrl-C ends it.`,
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
	c.Flags().String("ledger", "", "file that keeps every replication of the page's studies")
	addShare(c)
	c.Flags().Int("workers", runtime.GOMAXPROCS(0), "with --share: replications simulated at once by this machine itself (0: none)")
	return c
}

// studyFlagsOf are the flags of the page that its studies are to have: where they
// are kept, and who may join them.
func studyFlagsOf(c *cobra.Command) (flags []string) {
	for _, name := range []string{"ledger", "share", "token", "ca", "cert", "key", "workers"} {
		if flag := c.Flags().Lookup(name); flag.Changed {
			flags = append(flags, "--"+name, flag.Value.String())
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
	if slices.Contains(f.study, "--share") && !slices.Contains(f.study, "--ledger") {
		return exitf(misused, "--share needs a ledger, which holds what has come; hint: add --ledger FILE")
	}
	logTo := io.Discard
	if f.log {
		logTo = p.err
	}
	s, err := web.Listen(web.Config{
		Folder: folder, Port: f.port, Command: p.carryOut(folder, f.study), Version: version, Now: p.now,
		Log: slog.New(slog.NewTextHandler(logTo, nil)),
	})
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
// files of a folder. It prints its JSON, and writes its page beside. A study gets
// flags besides.
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
		dir, err := os.MkdirTemp("", "potbank")
		if err != nil {
			return web.Outcome{Code: failed, Said: "no room for the report: " + err.Error()}
		}
		defer os.RemoveAll(dir)
		page := filepath.Join(dir, "report.html")
		interrupts := make(chan os.Signal, 1)
		stop := context.AfterFunc(ctx, func() { interrupts <- os.Interrupt })
		defer stop()
		var out, said bytes.Buffer
		code := run(append(line, "--json", "--html", page), strings.NewReader(""), &out, &said, environment{
			interrupts: interrupts, quit: func(int) {}, now: time.Now, watch: progress,
		})
		o := web.Outcome{Code: code, Said: strings.ReplaceAll(said.String(), folder+string(filepath.Separator), "")}
		if out.Len() > 0 {
			o.Answer = out.Bytes()
		}
		if text, err := os.ReadFile(page); err == nil {
			o.Report = text
		}
		return o
	}
}
