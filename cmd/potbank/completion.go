package main

import (
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/draft"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// shells are those for which a completion script can be printed.
var shells = []string{"bash", "fish", "powershell", "zsh"}

// completionCommand stands in for the one that comes with the library, which
// ends with 0 when asked for a shell that it does not know.
func (p *program) completionCommand() *cobra.Command {
	return &cobra.Command{
		Use:       "completion SHELL",
		Short:     "Print a completion script for " + strings.Join(shells, ", "),
		Long:      "Print a completion script for a shell: " + strings.Join(shells, ", ") + ".\n\nTo have it in this shell only: source <(potbank completion bash)",
		ValidArgs: shells,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return exitf(misused, "completion wants one shell; hint: one of %s", strings.Join(shells, ", "))
			}
			return p.completion(c.Root(), args[0])
		},
	}
}

// completion prints the script for a shell.
func (p *program) completion(root *cobra.Command, shell string) error {
	var err error
	switch shell {
	case "bash":
		err = root.GenBashCompletionV2(p.out, true)
	case "fish":
		err = root.GenFishCompletion(p.out, true)
	case "powershell":
		err = root.GenPowerShellCompletionWithDesc(p.out)
	case "zsh":
		err = root.GenZshCompletion(p.out)
	default:
		return exitf(misused, "no completion for %q; hint: one of %s", shell, strings.Join(shells, ", "))
	}
	if err != nil {
		return exitf(failed, "writing the completion script: %s", err)
	}
	return nil
}

// scenarioFiles completes the name of a scenario file.
func scenarioFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

// choices are the flags whose values are words of a list, by command.
var choices = map[string]map[string][]string{
	"compare": {"method": {string(experiment.KimNelson), string(experiment.Rinott), string(experiment.OCBA)}},
	"log":     {"format": {"ocel", "xes", "csv"}},
	"master": {
		"node":  {"model", "block", "case", "mould", "punch"},
		"kind":  {"size", "hole", "waterway", "weak wall", "surface", "warp"},
		"trace": {"none", "day", "bench", "mould", "case", "piece"},
	},
	"new": {"kind": draft.Kinds},
}

// completing offers in a shell what a flag or an argument can be: words of a list,
// measures, sections of a scenario, wares of the file that is named, ledgers.
func completing(root *cobra.Command) {
	for _, c := range root.Commands() {
		for flag, words := range choices[c.Name()] {
			offer(c, flag, words)
		}
		if c.Flags().Lookup("by") != nil {
			offer(c, "by", measureNames())
		}
		if c.Flags().Lookup("ware") != nil && c.Name() != "new" {
			must(c.RegisterFlagCompletionFunc("ware", waresOf))
		}
		if c.Name() == "runs" {
			endsIn(c, "ledger")
			for _, sub := range c.Commands() {
				endsIn(sub, "ledger")
			}
		}
		for flag, ending := range map[string]string{"ledger": "ledger", "html": "html", "xlsx": "xlsx"} {
			if c.Flags().Lookup(flag) != nil {
				must(c.MarkFlagFilename(flag, ending))
			}
		}
	}
	keys := commandOf(root, "keys")
	keys.ValidArgs = keySections()
	commandOf(root, "schema").ValidArgsFunction = cobra.NoFileCompletions
}

// offer completes a flag with the words of a list.
func offer(c *cobra.Command, flag string, words []string) {
	must(c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)))
}

// endsIn completes the arguments of a command with files of one ending.
func endsIn(c *cobra.Command, ending string) {
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{ending}, cobra.ShellCompDirectiveFilterFileExt
	}
}

// must is for what fails only if the program names a flag that it does not have.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

// measureNames are the measures that any works has.
func measureNames() []string {
	var names []string
	for _, m := range plant.MeasureCatalogue() {
		if !strings.Contains(m.Name, "<") {
			names = append(names, m.Name)
		}
	}
	return names
}

// keySections are the sections of a scenario file.
func keySections() []string {
	var names []string
	for _, k := range keysOf(reflect.TypeFor[plant.Works](), "") {
		section, _, _ := strings.Cut(k.Path, ".")
		if !slices.Contains(names, section) {
			names = append(names, section)
		}
	}
	return names
}

// waresOf completes a ware with those of the scenario on the command line; none if
// it cannot be read.
func waresOf(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	var names []string
	if len(args) > 0 {
		if file, _ := scenario.Read(args[0]); file != nil {
			if built, _ := file.Plant(); built != nil {
				for _, w := range built.Works().Ware {
					names = append(names, w.Name)
				}
			}
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}
