package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"potbank/internal/page"
	"potbank/internal/report"
)

// addPage defines the flags of commands whose answer can be had as a page, or as
// sheets, besides.
func addPage(c *cobra.Command) {
	c.Flags().String("html", "", "write the answer with charts as one HTML file besides; it opens offline and prints")
	addTables(c)
}

// paging gives a command that has the flag --html its page. A path that cannot be
// written is refused before hours of simulation are spent on what would go there.
func (p *program) paging(c *cobra.Command) {
	inner := c.RunE
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := p.tabling(c); err != nil {
			return err
		}
		path, err := c.Flags().GetString("html")
		if err != nil || path == "" {
			return inner(c, args)
		}
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			return exitf(misused, "--html %s is a folder; hint: name a file in it", path)
		}
		if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
			return exitf(misused, "--html %s: there is no folder %s; hint: make it first", path, filepath.Dir(path))
		}
		p.page = path
		return inner(c, args)
	}
}

// answer prints an answer, as tables or as JSON, and writes the page and the
// sheets of it that were asked for.
func (p *program) answer(d report.Document, asJSON bool, json func(w io.Writer) error) error {
	err := error(nil)
	if asJSON {
		err = json(p.out)
	} else {
		err = report.Terminal(p.out, d)
	}
	if err != nil {
		return exitf(failed, "writing the answer: %s", err)
	}
	if err := p.writeTables(d); err != nil {
		return err
	}
	if p.faces != nil {
		faces, err := p.facesOf(d, json)
		if err != nil {
			return exitf(failed, "%s", err)
		}
		p.faces(faces)
	}
	if p.page == "" {
		return nil
	}
	var b bytes.Buffer
	if err := page.Write(&b, d, version); err != nil {
		return exitf(failed, "%s", err)
	}
	if err := writeWhole(p.page, b.Bytes()); err != nil {
		return exitf(failed, "--html %s cannot be written: %s", p.page, reasonOf(err))
	}
	return nil
}
