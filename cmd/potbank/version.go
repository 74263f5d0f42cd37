package main

import (
	"fmt"
	"runtime"

	"github.com/spf13/cobra"
)

// version is that of the program and of the figures it gives: it changes when
// the same scenario and seed would give other figures.
const version = "0.1.0"

func (p *program) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  noFile,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintf(p.out, "potbank %s, scenario format 1, %s %s/%s\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
}
