package teeth

import (
	"bufio"
	"bytes"
	"fmt"
	"go/parser"
	"go/token"
	"io"
	"strings"
)

// A Fault is one mistake to be made in a source file.
type Fault struct {
	Name  string   // short and unique, such as hours.close-inclusive
	Means string   // what would go wrong in the works
	File  string   // the file to change, from the root of the module
	Tests []string // packages whose tests must notice: the next is asked when one does not
	Old   string   // text that occurs once in the file
	New   string   // text in its place
}

// ReadFaults reads a list of faults. Each begins with a line "fault NAME" and has
// the lines "means TEXT", "file PATH", "tests PATH..."; lines that begin with - and
// + give the old and the new text as in a diff, the text beginning after the sign.
// Without + lines the old text is deleted. Blank lines and lines that begin with #
// are passed over. It reports the first line that is none of these, a fault that
// lacks something, and a name that occurs twice.
func ReadFaults(r io.Reader) ([]Fault, error) {
	var all []Fault
	seen := map[string]bool{}
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		word, rest, _ := strings.Cut(line, " ")
		if word == "fault" {
			if seen[rest] {
				return nil, fmt.Errorf("line %d: %s is listed twice", n, rest)
			}
			seen[rest] = true
			all = append(all, Fault{Name: rest})
			continue
		}
		if line == "" || line[0] == '#' {
			continue
		}
		if len(all) == 0 || !all[len(all)-1].set(line, word, rest) {
			return nil, fmt.Errorf("line %d: %q has no meaning here", n, line)
		}
	}
	for _, f := range all {
		if f.Means == "" || f.File == "" || len(f.Tests) == 0 || f.Old == "" || f.Old == f.New {
			return nil, fmt.Errorf("%s lacks what it means, its file, its tests or its change", f.Name)
		}
	}
	return all, lines.Err()
}

// set takes one line of a fault.
func (f *Fault) set(line, word, rest string) bool {
	switch {
	case line[0] == '-':
		f.Old = below(f.Old, line[1:])
	case line[0] == '+':
		f.New = below(f.New, line[1:])
	case word == "means":
		f.Means = rest
	case word == "file":
		f.File = rest
	case word == "tests":
		f.Tests = strings.Fields(rest)
	default:
		return false
	}
	return true
}

// below adds a line to a text of several.
func below(text, line string) string {
	if text == "" {
		return line
	}
	return text + "\n" + line
}

// Change gives the mistake as a change of the source of its file. It reports an old
// text that does not occur exactly once, and a result that is no Go.
func (f *Fault) Change(src []byte) (Change, error) {
	if n := bytes.Count(src, []byte(f.Old)); n != 1 {
		return Change{}, fmt.Errorf("%s: its old text occurs %d times in %s, not once", f.Name, n, f.File)
	}
	at := bytes.Index(src, []byte(f.Old))
	c := Change{File: f.File, From: at, To: at + len(f.Old), Text: f.New}
	if _, err := parser.ParseFile(token.NewFileSet(), f.File, c.Apply(src), 0); err != nil {
		return Change{}, fmt.Errorf("%s: %w", f.Name, err)
	}
	return c, nil
}
