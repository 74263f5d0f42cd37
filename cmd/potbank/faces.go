package main

import (
	"archive/zip"
	"bytes"
	"io"

	"potbank/internal/page"
	"potbank/internal/report"
	"potbank/internal/web"
	"potbank/internal/workbook"
)

// facesOf is an answer in every form that it can be had in, made in memory: what
// --json, --html, --csv and --xlsx would write.
func (p *program) facesOf(d report.Document, json func(w io.Writer) error) (web.Answer, error) {
	a := web.Answer{Title: d.Title, Lead: d.Lead}
	sheets := p.tables.of(d)
	for _, face := range []struct {
		to    *[]byte
		write func(w io.Writer) error
	}{
		{&a.JSON, json},
		{&a.Report, func(w io.Writer) error { return page.Write(w, d, version) }},
		{&a.Tables, func(w io.Writer) error { return packed(w, sheets) }},
		{&a.Workbook, func(w io.Writer) error { return workbook.Excel(w, sheets) }},
	} {
		var b bytes.Buffer
		if err := face.write(&b); err != nil {
			return a, err
		}
		*face.to = b.Bytes()
	}
	return a, nil
}

// packed writes sheets as CSV files in one archive. Its entries have no time, so
// that the same answer gives the same bytes.
func packed(w io.Writer, sheets []report.Sheet) error {
	archive := zip.NewWriter(w)
	for _, s := range sheets {
		f, err := archive.Create(s.Name + ".csv")
		if err != nil {
			return err
		}
		if err := workbook.CSV(f, s); err != nil {
			return err
		}
	}
	return archive.Close()
}
