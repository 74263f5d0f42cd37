package main

import (
	"runtime"

	"github.com/spf13/cobra"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// Limits of what one command will simulate. They keep a slip of the finger
// from filling the machine.
const (
	mostReplications = 1_000_000
	mostWeeks        = 50 * 52
	mostWorkers      = 1024
)

// studyFlags are the flags of commands that simulate.
type studyFlags struct {
	replications, workers, weeks int
	seed                         uint64
	precision                    string
	fixed, json                  bool
	oneLong                      bool // of run alone
}

// add defines the flags on a command.
func (f *studyFlags) add(c *cobra.Command) {
	c.Flags().IntVar(&f.replications, "replications", 0, "exactly so many replications, or at least so many with --precision")
	c.Flags().StringVar(&f.precision, "precision", "", `replicate until every headline measure is known within this share, e.g. "1 %"`)
	f.addStudy(c)
}

// addStudy defines the flags that do not bear on how many replications are made.
func (f *studyFlags) addStudy(c *cobra.Command) {
	f.addAnswer(c)
	f.addLength(c)
}

// addAnswer defines the flags of every command that simulates and answers.
func (f *studyFlags) addAnswer(c *cobra.Command) {
	c.Flags().IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), "replications simulated at once; the answer does not depend on it")
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON document")
	addLimits(c)
	addPage(c)
	c.Flags().String("ledger", "", "file that keeps every replication: run again, a study takes from there what is there already")
	addShare(c)
	f.addSeed(c)
}

// addRun defines the flags that say how one replication is run.
func (f *studyFlags) addRun(c *cobra.Command) {
	f.addSeed(c)
	f.addLength(c)
}

func (f *studyFlags) addSeed(c *cobra.Command) {
	c.Flags().Uint64Var(&f.seed, "seed", 0, "seed of every draw (default: the scenario's)")
}

func (f *studyFlags) addLength(c *cobra.Command) {
	c.Flags().IntVar(&f.weeks, "weeks", 0, "simulated weeks of one replication (default: the scenario's)")
	c.Flags().BoolVar(&f.fixed, "fixed", false, "randomness off: every time and yield at its mean")
}

// settings are those of the scenario, changed by the flags that were given. To
// ask for a number of replications is to ask for just that number: the precision
// of the scenario no longer ends the study, unless it is asked for too.
func (f *studyFlags) settings(c *cobra.Command, works plant.Run) (experiment.Settings, error) {
	s, err := experiment.SettingsOf(works)
	if err != nil {
		return s, exitf(refused, "run.warm-up: %s", err)
	}
	given := c.Flags().Changed
	s.Workers, s.Fixed, s.OneLongRun = max(1, f.workers), f.fixed, f.oneLong
	if given("seed") {
		s.Seed = f.seed
	}
	if given("replications") {
		s.Replications = f.replications
		s.Most = max(s.Most, s.Replications)
		if !given("precision") {
			s.Precision = 0
		}
	}
	if given("precision") {
		share, err := quantity.ParseShare("precision", f.precision)
		if err != nil {
			return s, exitf(misused, "--precision: %s", err)
		}
		if share == 0 {
			return s, exitf(misused, "--precision is 0 %%, which is never reached; hint: give a share such as \"1 %%\"")
		}
		s.Precision = float64(share)
	}
	return s, nil
}

// load checks the flags, reads the file and changes its works as the flags
// say. The length of a run is changed before the plant is built, since the
// plant lays out its calendars for just that length.
func (f *studyFlags) load(p *program, c *cobra.Command, path string) (*loaded, error) {
	if err := f.check(c); err != nil {
		return nil, err
	}
	return p.load(path, f.json, f.lengthen(c))
}

// lengthen gives a run the length that the flags say; one long run is as long
// as the replications it stands for together.
func (f *studyFlags) lengthen(c *cobra.Command) func(*plant.Works) {
	return func(works *plant.Works) {
		switch {
		case c.Flags().Changed("weeks"):
			works.Run.Length = des.Time(f.weeks) * des.Week
		case f.oneLong:
			works.Run.Length = min(works.Run.Length*des.Time(works.Run.Replications), mostWeeks*des.Week)
		}
	}
}

// check refuses flags that make no sense or are over a limit.
func (f *studyFlags) check(c *cobra.Command) error {
	for _, n := range []struct {
		name        string
		value, most int
	}{
		{"replications", f.replications, mostReplications},
		{"weeks", f.weeks, mostWeeks},
		{"workers", f.workers, mostWorkers},
	} {
		flag := c.Flags().Lookup(n.name)
		switch {
		case flag == nil || !flag.Changed:
		case n.value < 1:
			return exitf(misused, "--%s is %d; hint: give 1 or more", n.name, n.value)
		case n.value > n.most:
			return exitf(overLimit, "--%s is %d; the limit is %d", n.name, n.value, n.most)
		}
	}
	return nil
}
