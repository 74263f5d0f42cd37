package page_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// The golden holds the elements of a page with a chart of each kind, without
// what stands in them: the outline that screen readers and style rely on, and
// the shapes of every drawing.
func TestStructure(t *testing.T) {
	got := outline(t, written(t, every()))
	path := filepath.Join("testdata", "structure.txt")
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(want, got) {
		os.Remove(path + ".got")
		return
	}
	if err := os.WriteFile(path+".got", got, 0o644); err != nil {
		t.Error(err)
	}
	t.Errorf("the structure differs from %s; see %s.got, or run with -update", path, path)
}

// outline lists elements with their names, classes and, of drawings, how many of
// each shape they have.
func outline(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	decoder := xml.NewDecoder(strings.NewReader(text))
	depth, inside := 0, 0 // inside: depth of the drawing we are in
	var order []string
	shapes := map[string]int{}
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return b.Bytes()
		} else if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			depth++
			if inside > 0 {
				name := label(e)
				if shapes[name] == 0 {
					order = append(order, name)
				}
				shapes[name]++
				continue
			}
			fmt.Fprintf(&b, "%s%s\n", strings.Repeat(" ", depth-1), label(e))
			if e.Name.Local == "svg" {
				inside = depth
			}
		case xml.EndElement:
			if depth == inside {
				for _, name := range order {
					fmt.Fprintf(&b, "%s%d %s\n", strings.Repeat(" ", depth), shapes[name], name)
				}
				inside, order, shapes = 0, nil, map[string]int{}
			}
			depth--
		}
	}
}

// label is an element with its class.
func label(e xml.StartElement) string {
	name := e.Name.Local
	for _, a := range e.Attr {
		if a.Name.Local == "class" {
			name += "." + strings.ReplaceAll(a.Value, " ", ".")
		}
	}
	return name
}

// Headings, captions, names of regions: what a reader who cannot see relies on.
func TestEveryDrawingAndTableHasAName(t *testing.T) {
	text := written(t, every())
	for _, piece := range strings.Split(text, `<div class="scroll"`)[1:] {
		head, _, _ := strings.Cut(piece, ">")
		if !strings.Contains(head, `aria-label="`) || strings.Contains(head, `aria-label=""`) {
			t.Errorf("what scrolls has no name: %s", head)
		}
	}
	for _, size := range []string{"wide", "narrow"} {
		for _, piece := range strings.Split(text, `<svg class="`+size+`"`)[1:] {
			_, inside, _ := strings.Cut(piece, ">")
			if !strings.HasPrefix(inside, "<title>") || strings.HasPrefix(inside, "<title></title>") || !strings.Contains(inside, "</title><desc>") {
				t.Errorf("a drawing has no title or description: %.100s", inside)
			}
		}
	}
	if n, m := strings.Count(text, "<figure>"), strings.Count(text, "<figcaption>"); n != m || n != 10 {
		t.Errorf("%d figures with %d captions, want one for each kind of chart and panels", n, m)
	}
	if !strings.Contains(text, `<html lang="en">`) || strings.Count(text, "<h1>") != 1 {
		t.Error("no language, or not one first heading")
	}
}
