package scenario

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Exit codes that a fault asks of the program.
const (
	Refused   = 4 // the scenario is wrong
	NotFound  = 5 // the path is wrong
	OverLimit = 6 // larger than the program is willing to handle
)

// mostShown is how many faults Faults prints before it only counts.
const mostShown = 20

// A Fault is one thing wrong, or doubtful, in a scenario file.
type Fault struct {
	File    string
	Line    int // from 1; 0 if the fault is of the file as a whole
	Col     int // in characters, from 1
	What    string
	Hint    string // what to do about it; may be empty
	Warning bool   // doubtful only: the scenario runs
	Code    int    // Refused, NotFound or OverLimit
}

// String prints the fault on one line, in the place form that editors know:
//
//	works.yaml:29:10: error: cycle has no unit; hint: write 36 h or 36 min
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(visible(f.File))
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Col)
	}
	kind := "error"
	if f.Warning {
		kind = "warning"
	}
	fmt.Fprintf(&b, ": %s: %s", kind, visible(f.What))
	if f.Hint != "" {
		b.WriteString("; hint: " + visible(f.Hint))
	}
	return b.String()
}

// Faults prints a list of faults, one a line: the first 20, and how many more
// there are.
func Faults(list []Fault) string {
	var b strings.Builder
	for i, f := range list {
		if i == mostShown {
			fmt.Fprintf(&b, "and %d more\n", len(list)-mostShown)
			break
		}
		b.WriteString(f.String() + "\n")
	}
	return b.String()
}

// ExitCode returns the code that a list of faults asks of the program: the
// highest of its faults, and 0 if there are only warnings.
func ExitCode(list []Fault) int {
	code := 0
	for _, f := range list {
		if !f.Warning {
			code = max(code, f.Code)
		}
	}
	return code
}

// refuses reports whether a list holds more than warnings.
func refuses(list []Fault) bool { return ExitCode(list) != 0 }

// sortFaults orders faults by file and place. Those of one place stay in the
// order in which they were found.
func sortFaults(list []Fault) {
	slices.SortStableFunc(list, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
}

// visible keeps a text on one line and its control characters from acting on
// the terminal.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || hidden(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}

// hidden reports whether r changes how the text around it is shown without
// being seen: marks of writing direction and byte-order marks.
func hidden(r rune) bool {
	switch {
	case r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069',
		r == '\u2028', r == '\u2029', r == '\uFEFF', r == '\u200E', r == '\u200F':
		return true
	}
	return false
}
