package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// addLimits defines the flags that say what a study may take of the machine.
func addLimits(c *cobra.Command) {
	c.Flags().Duration("longest", effort.UsualLongest, "refuse a study that may take longer; 0: none")
	addLongestRun(c)
	c.Flags().String("most-memory", "", `refuse a study that may take more memory, e.g. "8 GB" (default three quarters of the machine's)`)
}

func addLongestRun(c *cobra.Command) {
	c.Flags().Duration("longest-run", effort.UsualLongestRun, "end a replication that takes longer; 0: none")
}

// limiting gives a command that has the flags of addLimits its limits.
func (p *program) limiting(c *cobra.Command) {
	inner := c.RunE
	c.RunE = func(c *cobra.Command, args []string) (err error) {
		if p.limits, err = limitsOf(c); err != nil {
			return err
		}
		if workers, err := c.Flags().GetInt("workers"); err == nil {
			p.longest = shared(p.limits.LongestRun, workers)
		}
		if p.limits.Memory > 0 {
			debug.SetMemoryLimit(p.limits.Memory)
		}
		return inner(c, args)
	}
}

// shared is how long a replication may take where more are simulated at once than
// there are cores.
func shared(limit time.Duration, workers int) time.Duration {
	cores := runtime.GOMAXPROCS(0)
	return limit * time.Duration(max(1, (workers+cores-1)/cores))
}

// limitsOf reads the flags.
func limitsOf(c *cobra.Command) (l effort.Limits, err error) {
	l.Free = -1
	for _, flag := range []struct {
		name string
		to   *time.Duration
	}{{"longest", &l.Longest}, {"longest-run", &l.LongestRun}} {
		if *flag.to, err = c.Flags().GetDuration(flag.name); err != nil || *flag.to < 0 {
			return l, exitf(misused, "--%s is %s; hint: give a time such as 30m or 48h", flag.name, *flag.to)
		}
	}
	text, err := c.Flags().GetString("most-memory")
	switch {
	case err != nil:
		return l, exitf(ownFault, "%s", err)
	case text != "":
		l.Memory, err = bytesGiven(text)
	case os.Getenv("GOMEMLIMIT") != "":
		l.Memory = debug.SetMemoryLimit(-1)
	default:
		l.Memory = int64(effort.UsualMemory * float64(machineMemory()))
	}
	return l, err
}

// bytesGiven reads a size such as "8 GB".
func bytesGiven(text string) (int64, error) {
	number := strings.TrimRight(strings.TrimSpace(text), "kMGTiB")
	n, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	unit := map[string]float64{"MB": 1e6, "GB": 1e9, "TB": 1e12, "MiB": 1 << 20, "GiB": 1 << 30, "TiB": 1 << 40}[strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(text), number))]
	if bytes := n * unit; err == nil && bytes >= 1 && bytes < math.MaxInt64 {
		return int64(bytes), nil
	}
	return 0, exitf(misused, "--most-memory %q; hint: write a number and MB, GB or TB, such as \"8 GB\"", text)
}

// study is what a command is about to ask of the machine.
type study struct {
	shape   string // in words
	runs    experiment.Runs
	plant   *plant.Plant  // the works as it is, by which it is measured
	options plant.Options // of one replication, but for its luck
	seed    uint64
	workers int
}

// allow refuses a study that would go over a limit, and says what it takes if that
// is more than a minute. It measures a few weeks of the works for that, unless the
// study is small by any account. What it says goes to standard error and decides
// nothing else.
func (p *program) allow(s study) error {
	weeks := s.options.Weeks
	if weeks == 0 {
		weeks = s.plant.Weeks()
	}
	e := effort.Study{
		Shape: s.shape, Least: s.runs.Least, Most: s.runs.Most, Workers: s.workers,
		Cores: min(s.workers, runtime.GOMAXPROCS(0)), Kept: experiment.KeptBytes(s.plant, weeks),
	}
	l := p.limits
	if p.keeper != nil {
		e.Ledger, e.Shared = true, p.keeper.share != nil
		e.Known, l.Free = p.keeper.holds(p.seen.all(), s.seed, weeks)
		if e.Shared {
			e.Cores = s.workers
		}
	} else if e.Small(s.plant.Events() * float64(weeks) / float64(s.plant.Weeks())) {
		return nil
	}
	s.options.Source = random.New(s.seed, 1)
	rate, err := effort.Pilot(s.plant, s.options, p.now)
	if err != nil {
		return nil // the study will meet it too, and say more of it
	}
	takes := e.Estimate(rate)
	var over *effort.OverError
	if errors.As(l.Check(takes), &over) {
		return exitf(overLimit, "%s", over)
	}
	if takes.Most > time.Minute {
		fmt.Fprintf(p.err, "potbank: %s\n", takes)
	}
	return nil
}

// holds is how many results the ledger has of some works already, and how many bytes
// are free where it lies, below 0 if that is not known. It is not opened to be
// written, nor made: a study that is refused leaves nothing behind, and what is wrong
// with it the study will say.
func (k *keeper) holds(works []string, seed uint64, weeks int) (known int, free int64) {
	free, err := ledger.Free(k.path)
	if err != nil {
		free = -1
	}
	s, err := ledger.OpenReading(k.path)
	if err != nil {
		return 0, free
	}
	defer s.Close()
	for _, hash := range works {
		n, err := s.Holds(hash, seed, weeks)
		if err != nil {
			return 0, free
		}
		known += n
	}
	return known, free
}
