package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"
)

// contentList is the part that lists what kind the others are.
const contentList = "[Content_Types].xml"

// inOrder writes the parts of a workbook in the order of their names, and the
// list of their kinds in order too: the library goes through both in the order of
// a map, so that the same workbook would have other bytes each time.
func inOrder(w io.Writer, raw []byte) error {
	in, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	slices.SortFunc(in.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	out := zip.NewWriter(w)
	for _, part := range in.File {
		if part.Name == contentList {
			err = copyList(out, part)
		} else {
			err = out.Copy(part)
		}
		if err != nil {
			return fmt.Errorf("writing the workbook: %w", err)
		}
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	return nil
}

// kinds is the list of the kinds of parts: by extension, and by part (ECMA-376,
// part 2, content types).
type kinds struct {
	XMLName   xml.Name `xml:"http://schemas.openxmlformats.org/package/2006/content-types Types"`
	Defaults  []kind   `xml:"Default"`
	Overrides []kind   `xml:"Override"`
}

// kind is one line of it.
type kind struct {
	Extension   string `xml:",attr,omitempty"`
	PartName    string `xml:",attr,omitempty"`
	ContentType string `xml:",attr"`
}

// byName puts lines in order.
func byName(a, b kind) int { return strings.Compare(a.Extension+a.PartName, b.Extension+b.PartName) }

// copyList copies the list of kinds in order.
func copyList(out *zip.Writer, part *zip.File) error {
	r, err := part.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	var list kinds
	if err := xml.NewDecoder(r).Decode(&list); err != nil {
		return err
	}
	slices.SortFunc(list.Defaults, byName)
	slices.SortFunc(list.Overrides, byName)
	text, err := xml.Marshal(list)
	if err != nil {
		return err
	}
	to, err := out.Create(part.Name)
	if err != nil {
		return err
	}
	_, err = to.Write(append([]byte(xml.Header), text...))
	return err
}
