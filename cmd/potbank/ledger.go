package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// patience is how long a ledger in use is waited for.
const patience = 3 * time.Second

// keeping gives a command that has the flag --ledger its ledger: it is opened
// before the command runs, asked by every plant that the command makes, and
// closed whatever becomes of it.
func (p *program) keeping(c *cobra.Command) {
	inner := c.RunE
	c.RunE = func(c *cobra.Command, args []string) error {
		path, err := c.Flags().GetString("ledger")
		if err != nil || path == "" {
			if c.Flags().Changed("share") {
				return exitf(misused, "--share needs a ledger, which holds what has come; hint: add --ledger FILE")
			}
			return inner(c, args)
		}
		s, err := ledger.Open(path, patience, p.now)
		if err != nil {
			return unopened(err)
		}
		p.store = s
		over, err := p.sharing(c, s)
		if err == nil {
			err = p.kept(s, func() error { return inner(c, args) })
		}
		over()
		closing := s.Close()
		if errors.Is(closing, ledger.ErrDiffers) {
			return exitf(failed, "%s; hint: one of the two is wrong: look for a machine with a fault, and put its results aside with potbank runs forget", closing)
		}
		if closing != nil {
			fmt.Fprintf(p.err, "potbank: error: the ledger could not be written: %s\n", oneLine(closing.Error()))
			return &exit{code: cannotKeep}
		}
		return err
	}
}

// kept carries out a command over an open ledger, and says what it found there.
func (p *program) kept(s *ledger.Store, command func() error) error {
	folder, err := os.Getwd()
	if err != nil {
		return exitf(failed, "the present folder is not known: %s", err)
	}
	id, err := s.Begin(p.args, folder)
	if err != nil {
		return unopened(err)
	}
	err = command()
	var e *exit
	code := 0
	if errors.As(err, &e) {
		code = e.code
	} else if err != nil {
		code = failed
	}
	if code != cancelled {
		if ending := s.End(id, code); ending != nil {
			return unopened(ending)
		}
	}
	if found, ran := s.Counts(); found+ran > 0 {
		fmt.Fprintf(p.err, "ledger: %d replications were there, %d were run\n", found, ran)
	}
	return err
}

// recall is what the plants of a file ask, if the command has a ledger.
func (p *program) recall(file *scenario.File) {
	switch {
	case p.desk != nil:
		file.Recall = func(hash string, works *plant.Works) plant.Recaller {
			return p.store.Recaller(hash, file.Works.Name, p.desk.Away(hash, works))
		}
	case p.store != nil:
		file.Recall = func(hash string, _ *plant.Works) plant.Recaller {
			return p.store.Recaller(hash, file.Works.Name, nil)
		}
	}
}

// Exit codes of ledgers.
const (
	noLedger   = 10
	inUse      = 11
	damaged    = 12
	cannotKeep = 13
)

// unopened is the end of a command whose ledger cannot be had.
func unopened(err error) error {
	var used *ledger.InUseError
	switch {
	case errors.As(err, &used):
		return exitf(inUse, "%s; hint: wait for it to end, or name another ledger", used)
	case errors.Is(err, ledger.ErrMissing):
		return exitf(noLedger, "%s; hint: run a study with --ledger first", err)
	case errors.Is(err, ledger.ErrDamaged):
		return exitf(damaged, "%s; hint: keep the file aside and run the study into a new ledger", err)
	case errors.Is(err, ledger.ErrRemote):
		return exitf(cannotKeep, "%s; hint: name a file on a local disk; workers that join need no file at all", err)
	case errors.Is(err, ledger.ErrForeign), errors.Is(err, ledger.ErrNewer):
		return exitf(damaged, "%s; hint: name another file, or use the potbank that wrote it", err)
	}
	return exitf(cannotKeep, "the ledger cannot be used: %s; hint: check the path, the rights and the room on the disk", err)
}
