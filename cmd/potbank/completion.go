package main

import (
	"strings"

	"github.com/spf13/cobra"
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
