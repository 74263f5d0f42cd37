package main

import (
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// run is the program: it carries out the command line and returns the exit
// code.
func run(args []string, in io.Reader, out, err io.Writer, env environment) (code int) {
	p := &program{args: args, in: in, out: out, err: err, environment: env}
	defer func() {
		if value := recover(); value != nil {
			code = p.mishap(value, debug.Stack(), "")
		}
	}()
	root := p.command()
	root.SetArgs(args)
	return finish(err, root.Execute())
}

// command is the tree of commands.
func (p *program) command() *cobra.Command {
	root := &cobra.Command{
		Use:           "potbank",
		Short:         "Simulate a sanitaryware works",
		Long:          "Potbank simulates a sanitaryware works, from the filling of a mould to the packed\npiece, and answers with figures that carry their own doubt.\n\nStart with: potbank check FILE",
		SilenceErrors: true, // finish prints them, on one line
		SilenceUsage:  true,
		Args:          unknownCommand,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetIn(p.in)
	root.SetOut(p.out)
	root.SetErr(p.err)
	root.CompletionOptions.DisableDefaultCmd = true // its errors exit with 0
	root.SetFlagErrorFunc(flagFault)
	root.SetHelpCommand(helpCommand())
	for _, c := range []*cobra.Command{p.runCommand(), p.checkCommand(), p.traceCommand(), p.logCommand(), p.measuresCommand(), p.compareCommand(), p.diffCommand(), p.tornadoCommand(), p.sizeCommand(), p.masterCommand(), p.promiseCommand(), p.benchCommand()} {
		c.ValidArgsFunction = scenarioFiles
		root.AddCommand(c)
	}
	root.AddCommand(p.newCommand(), p.runsCommand(), p.workCommand(), p.proofCommand(), p.keysCommand(), p.schemaCommand(), p.versionCommand(), p.completionCommand())
	for _, c := range root.Commands() {
		if c.Flags().Lookup("html") != nil {
			p.paging(c)
		}
		if c.Flags().Lookup("ledger") != nil {
			p.keeping(c)
		}
		if c.Flags().Lookup("longest") != nil {
			p.limiting(c)
		}
	}
	root.AddCommand(p.serveCommand()) // its runs open the ledger, one after the other; it does not
	guideTo(root)
	completing(root)
	return root
}

// unknownCommand refuses a word that is no command, with the nearest one.
func unknownCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	root.SuggestionsMinimumDistance = 2
	hint := "see potbank help"
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		hint = fmt.Sprintf("did you mean potbank %s?", near[0])
	}
	return exitf(misused, "no command %q; hint: %s", args[0], hint)
}

// oneFile wants exactly one scenario file.
func oneFile(c *cobra.Command, args []string) error {
	if len(args) == 1 {
		return nil
	}
	return exitf(misused, "%s wants one scenario file, got %d; hint: %s", c.Name(), len(args), "potbank "+c.Use)
}

// noFile wants no argument at all.
func noFile(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return exitf(misused, "%s takes no argument, got %q; hint: potbank %s", c.Name(), args[0], c.Use)
}

// helpCommand explains a command, and refuses to explain what is none.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Explain a command",
		ValidArgsFunction: func(c *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, topic := range c.Root().Commands() {
				names = append(names, topic.Name())
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			topic, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(c.Root(), args)
			}
			return topic.Help()
		},
	}
}

// flagFault says what is wrong with a flag in the words of the command line
// rather than of the library.
func flagFault(c *cobra.Command, err error) error {
	hint := "see potbank help" + strings.TrimPrefix(c.CommandPath(), c.Root().Name())
	var unknown *pflag.NotExistError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		return exitf(misused, "%s has no flag --%s; hint: %s", c.Name(), unknown.GetSpecifiedName(), hint)
	case errors.As(err, &invalid):
		return exitf(misused, "--%s wants %s, got %q; hint: %s", invalid.GetFlag().Name, wanted(invalid.GetFlag()), invalid.GetValue(), hint)
	}
	return exitf(misused, "%s; hint: %s", err, hint)
}

// wanted says what a flag takes.
func wanted(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int", "uint32", "uint64":
		return "a whole number"
	case "bool":
		return "true or false"
	}
	return "a " + f.Value.Type()
}
