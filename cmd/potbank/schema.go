package main

import (
	"github.com/spf13/cobra"

	"potbank/internal/scenario"
)

// schemaCommand prints what editors check a scenario by. The same tags of
// plant.Works that the reader follows make it, so it cannot fall behind.
func (p *program) schemaCommand() *cobra.Command {
	change, question := false, false
	c := &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of a scenario file",
		Long:  "Print the JSON Schema of a scenario file, by which an editor completes keys and explains\nthem. With --change, the schema of a file that names a base and changes it; with\n--question, that of a question file.",
		Args:  noFile,
		RunE: func(*cobra.Command, []string) error {
			text := scenario.Schema()
			switch {
			case change && question:
				return exitf(misused, "--change and --question are two schemas; hint: ask for one at a time")
			case change:
				text = scenario.ChangeSchema()
			case question:
				text = scenario.QuestionSchema()
			}
			if _, err := p.out.Write(text); err != nil {
				return exitf(failed, "writing the schema: %s", err)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&change, "change", false, "the schema of a file that changes another")
	c.Flags().BoolVar(&question, "question", false, "the schema of a question file")
	return c
}
