package main

import (
	"fmt"
	"io"
	"runtime"

	"github.com/spf13/cobra"

	"potbank/internal/licence"
)

// version is that of the program and of the figures it gives: it changes when
// the same scenario and seed would give other figures.
const version = "0.1.0"

func (p *program) versionCommand() *cobra.Command {
	licences := false
	c := &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  noFile,
		RunE: func(*cobra.Command, []string) error {
			if licences {
				_, err := io.WriteString(p.out, licence.Texts())
				return err
			}
			_, err := fmt.Fprintf(p.out, "potbank %s, scenario format 1, %s %s/%s\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
	c.Flags().BoolVar(&licences, "licences", false, "print the licences of what the program has in it of others")
	return c
}
