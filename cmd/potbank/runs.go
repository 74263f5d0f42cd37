package main

import (
	"bufio"
	"encoding/hex"
	"fmt"
	"os"
	"strconv"

	"github.com/spf13/cobra"

	"potbank/internal/ledger"
	"potbank/internal/report"
)

// runsCommand lists what a ledger holds, and looks after it.
func (p *program) runsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "runs LEDGER",
		Short: "List the studies and results that a ledger holds",
		Long: `List the studies and results that a ledger holds.

A study run with --ledger FILE keeps every replication in that file. Run again, it takes
from there what is there already: that is how a study that was stopped or killed goes on.`,
		Args: ledgerAnd(0, "runs LEDGER"),
		RunE: func(_ *cobra.Command, args []string) error { return p.listRuns(args[0]) },
	}
	sub := func(use, short string, more int, do func(args []string) error) {
		c.AddCommand(&cobra.Command{Use: use, Short: short, Args: ledgerAnd(more, "runs "+use), RunE: func(_ *cobra.Command, args []string) error { return do(args) }})
	}
	sub("resume LEDGER STUDY", "Go on with a study, by its number in the list", 1, p.resume)
	sub("verify LEDGER", "Read every result and compare it with its checksum", 0, p.verify)
	sub("forget LEDGER WORKS", "Drop the results of a works, by the beginning of its hash", 1, p.forget)
	sub("export LEDGER FILE", "Write every result as one line of text, in a fixed order", 1, p.export)
	return c
}

// ledgerAnd wants a ledger and so many arguments more.
func ledgerAnd(more int, use string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) != 1+more {
			return exitf(misused, "%d arguments; hint: potbank %s", len(args), use)
		}
		return nil
	}
}

// reading carries out something on a ledger that is only read.
func reading(path string, do func(s *ledger.Store) error) error {
	s, err := ledger.OpenReading(path)
	if err != nil {
		return unopened(err)
	}
	defer s.Close() // nothing was written
	if err := do(s); err != nil {
		return unopened(err)
	}
	return nil
}

func (p *program) listRuns(path string) error {
	return reading(path, func(s *ledger.Store) error {
		studies, err := s.Studies()
		if err != nil {
			return err
		}
		groups, err := s.List()
		if err != nil {
			return err
		}
		failures, err := s.Failures()
		if err != nil {
			return err
		}
		return report.Terminal(p.out, report.LedgerDocument(path, studies, groups, failures))
	})
}

func (p *program) verify(args []string) error {
	return reading(args[0], func(s *ledger.Store) error {
		n, err := s.Verify()
		if err == nil {
			fmt.Fprintf(p.out, "%s: %d results, all sound\n", args[0], n)
		}
		return err
	})
}

// resume carries out a study of the list again, in its folder.
func (p *program) resume(args []string) error {
	var found *ledger.Study
	err := reading(args[0], func(s *ledger.Store) error {
		studies, err := s.Studies()
		for i, st := range studies {
			if strconv.FormatInt(st.ID, 10) == args[1] {
				found = &studies[i]
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	if found == nil {
		return exitf(misused, "%s has no study %s; hint: potbank runs %s", args[0], args[1], args[0])
	}
	if err := os.Chdir(found.Folder); err != nil {
		return exitf(misused, "the folder of study %d: %s", found.ID, err)
	}
	if code := run(found.Args, p.in, p.out, p.err, p.environment); code != 0 {
		return &exit{code: code}
	}
	return nil
}

func (p *program) forget(args []string) error {
	if len(args[1]) < 6 {
		return exitf(misused, "%q is too short to name one works; hint: give six characters of its hash or more", args[1])
	}
	s, err := ledger.Open(args[0], patience, p.now)
	if err != nil {
		return unopened(err)
	}
	n, err := s.Forget(args[1])
	if closing := s.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return unopened(err)
	}
	fmt.Fprintf(p.out, "%s: %d results forgotten\n", args[0], n)
	return nil
}

// export writes the results so that two ledgers can be compared by a plain
// comparison of files.
func (p *program) export(args []string) error {
	if _, err := os.Lstat(args[1]); err == nil {
		return exitf(misused, "%s is there already; hint: choose another name", args[1])
	}
	return reading(args[0], func(s *ledger.Store) error {
		file, err := os.Create(args[1])
		if err != nil {
			return err
		}
		w := bufio.NewWriter(file)
		err = s.Export(func(g ledger.Group, replication uint32, k ledger.Key, encoded []byte) error {
			_, err := fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%s\t%s\n", g.Works, g.Seed, g.Weeks, replication, hex.EncodeToString(k[:]), hex.EncodeToString(encoded))
			return err
		})
		if err == nil {
			err = w.Flush()
		}
		if e := file.Close(); err == nil {
			err = e
		}
		if err != nil {
			os.Remove(args[1])
		}
		return err
	})
}
