package main

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/effort"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/scenario"
	"potbank/internal/share"
)

// patience is how long a ledger in use is waited for.
const patience = 3 * time.Second

// keeping gives a command that has the flag --ledger its ledger. It is opened when
// the first replication is asked for, so that a command that is refused leaves no
// file behind, and closed whatever becomes of the command.
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
		k := &keeper{program: p, path: path}
		if k.share, err = shareConfig(c); err != nil {
			return err
		}
		p.keeper, p.opened = k, sync.OnceValue(k.open)
		return k.close(inner(c, args))
	}
}

// A keeper has the ledger of one command.
type keeper struct {
	*program
	path    string
	share   *share.Config // nil: not shared
	study   int64         // number in the ledger
	over    func()        // ends the sharing; nil: it was not begun
	refusal error         // why the ledger cannot be had
}

// open opens the ledger, notes the study in it and, if it is shared, hands out
// what is asked for.
func (k *keeper) open() error {
	k.refusal = k.begin()
	return k.refusal
}

func (k *keeper) begin() error {
	folder, err := os.Getwd()
	if err != nil {
		return exitf(failed, "the present folder is not known: %s", err)
	}
	if k.store, err = ledger.Open(k.path, patience, k.now); err != nil {
		return unopened(err)
	}
	if k.study, err = k.store.Begin(k.args, folder); err != nil {
		return unopened(err)
	}
	if k.share != nil {
		k.over, err = k.sharing(*k.share)
	}
	return err
}

// close ends the study in the ledger, says what was found there, and closes it. A
// ledger that could not be had or written goes before how the command ended.
func (k *keeper) close(err error) error {
	if k.refusal != nil {
		err = k.refusal
	}
	if k.store == nil {
		return err // it was never asked
	}
	if k.study > 0 {
		err = k.ended(err)
	}
	if k.over != nil {
		k.over()
	}
	closing := k.store.Close()
	if errors.Is(closing, ledger.ErrDiffers) {
		return exitf(failed, "%s; hint: one of the two is wrong: look for a machine with a fault, and put its results aside with potbank runs forget", closing)
	}
	if closing != nil {
		fmt.Fprintf(k.err, "potbank: error: the ledger could not be written: %s\n", oneLine(closing.Error()))
		return &exit{code: cannotKeep}
	}
	return err
}

// ended notes how a study ended, but for one that was cancelled and may go on,
// and says what the ledger knew of it.
func (k *keeper) ended(err error) error {
	var e *exit
	code := 0
	if errors.As(err, &e) {
		code = e.code
	} else if err != nil {
		code = failed
	}
	if code != cancelled {
		if ending := k.store.End(k.study, code); ending != nil {
			return unopened(ending)
		}
	}
	if found, ran := k.store.Counts(); found+ran > 0 {
		fmt.Fprintf(k.err, "ledger: %d replications were there, %d were run\n", found, ran)
	}
	return err
}

// recall is what the plants of a file ask: the ledger, if the command has one, and
// then the watch on how long a replication takes.
func (p *program) recall(file *scenario.File) {
	if p.opened == nil && p.longest == 0 {
		return
	}
	file.Recall = func(hash string, works *plant.Works) plant.Recaller {
		p.seen.add(hash)
		var known plant.Recaller
		if p.opened != nil {
			known = &recalled{p.opened, sync.OnceValue(func() plant.Recaller {
				if p.desk != nil {
					return p.store.Recaller(hash, file.Works.Name, p.desk.Away(hash, works))
				}
				return p.store.Recaller(hash, file.Works.Name, nil)
			})}
		}
		if p.longest == 0 {
			return known
		}
		return effort.Watched(known, p.longest, p.now)
	}
}

// hashes are those of works. Its methods are safe for several goroutines.
type hashes struct {
	mutex sync.Mutex
	known map[string]bool
}

func (h *hashes) add(hash string) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.known == nil {
		h.known = map[string]bool{}
	}
	h.known[hash] = true
}

func (h *hashes) all() []string {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	return slices.Sorted(maps.Keys(h.known))
}

// recalled asks a ledger that is opened with the first replication.
type recalled struct {
	opened func() error
	ledger func() plant.Recaller
}

// Recall implements plant.Recaller.
func (r *recalled) Recall(o plant.Options, simulate func(plant.Options) (*plant.Result, error)) (*plant.Result, error) {
	if err := r.opened(); err != nil {
		return nil, err
	}
	return r.ledger().Recall(o, simulate)
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
