package main

import (
	"bytes"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"potbank/internal/page"
	"potbank/internal/report"
)

// pageFlag is the flag of commands whose answer can be had as a page besides.
type pageFlag struct{ path string }

// add defines the flag on a command.
func (f *pageFlag) add(c *cobra.Command) {
	c.Flags().StringVar(&f.path, "html", "", "write the answer with charts as one HTML file besides; it opens offline and prints")
}

// wanted tells whether a page was asked for.
func (f *pageFlag) wanted() bool { return f.path != "" }

// check refuses a path that cannot be written before hours of simulation are
// spent on what would go there.
func (f *pageFlag) check() error {
	if !f.wanted() {
		return nil
	}
	if info, err := os.Stat(f.path); err == nil && info.IsDir() {
		return exitf(misused, "--html %s is a folder; hint: name a file in it", f.path)
	}
	if info, err := os.Stat(filepath.Dir(f.path)); err != nil || !info.IsDir() {
		return exitf(misused, "--html %s: there is no folder %s; hint: make it first", f.path, filepath.Dir(f.path))
	}
	return nil
}

// write writes the page. What was under its name before stays until the new one
// is complete.
func (f *pageFlag) write(d report.Document) error {
	if !f.wanted() {
		return nil
	}
	var b bytes.Buffer
	if err := page.Write(&b, d, version); err != nil {
		return exitf(failed, "%s", err)
	}
	if err := writeWhole(f.path, b.Bytes()); err != nil {
		return exitf(failed, "the page cannot be written: %s", err)
	}
	return nil
}
