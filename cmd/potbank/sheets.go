package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/report"
	"potbank/internal/scenario"
	"potbank/internal/workbook"
)

// tables is where an answer is written as sheets besides.
type tables struct {
	folder string // of CSV files; empty: none
	book   string // path of a workbook; empty: none
	force  bool   // what is there is written over
	sheets func() []report.Sheet
	inputs []report.Input // of the works as it is, for answers without sheets of their own
}

// addTables defines the flags of commands whose answer can be had as sheets.
func addTables(c *cobra.Command) {
	c.Flags().String("csv", "", "write the answer as CSV files into this folder besides; it is made if need be")
	c.Flags().String("xlsx", "", "write the answer as one Excel workbook besides, with live totals and charts")
	c.Flags().Bool("force", false, "write over files that --csv and --xlsx find there")
}

// asked tells whether sheets are wanted at all.
func (t *tables) asked() bool { return t.folder != "" || t.book != "" }

// tabling reads the flags and refuses, before hours of simulation are spent, what
// could not be written. Files within a folder are known only with the answer.
func (p *program) tabling(c *cobra.Command) error {
	t := tables{}
	var err error
	if t.folder, err = c.Flags().GetString("csv"); err != nil {
		return nil // the command has no such flags
	}
	t.book, _ = c.Flags().GetString("xlsx")
	t.force, _ = c.Flags().GetBool("force")
	if t.force && t.folder == "" && t.book == "" {
		return exitf(misused, "--force without --csv or --xlsx; hint: name what to write")
	}
	if t.folder != "" {
		switch held, err := os.ReadDir(t.folder); {
		case err == nil && !t.force && holdsTables(held):
			return exitf(misused, "--csv %s holds CSV files already; hint: choose another folder, or add --force", t.folder)
		case err != nil && !os.IsNotExist(err):
			return exitf(misused, "--csv %s: %s; hint: name a folder", t.folder, reasonOf(err))
		}
	}
	if t.book != "" {
		if info, err := os.Stat(filepath.Dir(t.book)); err != nil || !info.IsDir() {
			return exitf(misused, "--xlsx %s: there is no folder %s; hint: make it first", t.book, filepath.Dir(t.book))
		}
		if !strings.EqualFold(filepath.Ext(t.book), ".xlsx") {
			return exitf(misused, "--xlsx %s: no program opens it by that name; hint: end it with .xlsx", t.book)
		}
		if err := free(t.book, t.force); err != nil {
			return err
		}
	}
	p.tables = t
	return nil
}

// holdsTables tells whether there are CSV files in a folder.
func holdsTables(held []os.DirEntry) bool {
	for _, e := range held {
		if strings.EqualFold(filepath.Ext(e.Name()), ".csv") {
			return true
		}
	}
	return false
}

// of are the sheets of a document: those that its command has set, else the
// tables as they are printed, with the inputs of the works as it is.
func (t *tables) of(d report.Document) []report.Sheet {
	if t.sheets != nil {
		return t.sheets()
	}
	sheets := report.DocumentSheets(d)
	if t.inputs != nil {
		sheets = append(sheets, report.InputSheet(t.inputs))
	}
	return sheets
}

// writeTables writes the sheets of an answer, where they were asked for.
func (p *program) writeTables(d report.Document) error {
	t := &p.tables
	if !t.asked() {
		return nil
	}
	sheets := t.of(d)
	if t.folder != "" {
		if err := os.MkdirAll(t.folder, 0o755); err != nil {
			return exitf(failed, "--csv %s cannot be made: %s", t.folder, reasonOf(err))
		}
	}
	for _, s := range sheets {
		if t.folder == "" {
			break
		}
		err := writeFile(filepath.Join(t.folder, s.Name+".csv"), t.force, func(to, _ *os.File) error { return workbook.CSV(to, s) })
		if err != nil {
			return err
		}
	}
	if t.book == "" {
		return nil
	}
	return writeFile(t.book, t.force, func(to, _ *os.File) error { return workbook.Excel(to, sheets) })
}

// values are those of a scenario with their origin.
func (l *loaded) values() []report.Input { return values(l.file) }

func values(file *scenario.File) []report.Input {
	var all []report.Input
	for _, o := range file.Origins() {
		in := report.Input{Path: o.Path, Value: o.Text, From: o.From, Guess: o.Guess}
		if o.Line > 0 {
			in.Place = o.File + ":" + strconv.Itoa(o.Line)
		}
		all = append(all, in)
	}
	return all
}
