package main

import (
	"github.com/spf13/cobra"

	"potbank/internal/plant"
	"potbank/internal/report"
)

func (p *program) measuresCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "measures [FILE]",
		Short: "Define every measure, with its formula",
		Long:  "Define every measure, with its formula: those of the works in FILE, or of any works, with\n<ware> or <resource> in the place of a name.",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return oneFile(c, args)
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return p.measures(args) },
	}
}

// measures prints the definitions for one file, or for any. Those of a file have
// its own names and currency in them.
func (p *program) measures(args []string) error {
	measures := plant.MeasureCatalogue()
	if len(args) == 1 {
		w, err := p.load(args[0], false, nil)
		if err != nil {
			return err
		}
		measures = w.plant.Measures()
	}
	if err := report.Terminal(p.out, report.MeasuresDocument(measures)); err != nil {
		return exitf(failed, "writing the measures: %s", err)
	}
	return nil
}
