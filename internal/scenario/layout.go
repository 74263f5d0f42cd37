package scenario

import (
	"fmt"
	"strings"
)

// A layout scan goes over the text before the YAML parser does. It has two
// ends: to bound the work that the parser can be given, and to point at an
// open quote or bracket where it stands, since the parser only notices
// wherever the next one happens to be. It knows just enough of YAML for that:
// quotes, brackets, comments, and where a value can begin. Two things it
// relies on are refused here as well: texts in quotes stay on one line, and
// block texts ("|", ">") are not accepted.
type layout struct {
	file    *source
	faults  []Fault
	open    []bracket
	entries int // between brackets, in the whole file
	content bool
}

// A bracket is an open [ or {.
type bracket struct {
	r         rune
	line, col int
	entries   int
	key       string // under which it stands
}

// names returns what the bracket opens, and what closes it.
func (b bracket) names() (thing, closing string) {
	if b.r == '{' {
		return "set", "}"
	}
	return "list", "]"
}

// checkLayout returns what is wrong with the layout of a text.
func checkLayout(data string, file *source) []Fault {
	l := &layout{file: file}
	for i, line := range strings.Split(data, "\n") {
		if i == mostNodes {
			l.limit(i+1, 1, "split the study into several scenarios", "more than %d lines, stopped reading", mostNodes)
		}
		l.line(i+1, []rune(strings.TrimSuffix(line, "\r")))
		if len(l.faults) > 0 {
			return l.faults
		}
	}
	if len(l.open) > 0 {
		b := l.open[0]
		thing, closing := b.names()
		l.fault(b.line, b.col, fmt.Sprintf("add %s at the end of line %d", closing, b.line), "this %s is never closed", thing)
	}
	return l.faults
}

func (l *layout) fault(line, col int, hint, format string, args ...any) {
	l.faults = append(l.faults, Fault{File: l.file.path, Line: line, Col: col, What: fmt.Sprintf(format, args...), Hint: hint, Code: Refused})
}

func (l *layout) limit(line, col int, hint, format string, args ...any) {
	l.fault(line, col, hint, format, args...)
	l.faults[len(l.faults)-1].Code = OverLimit
}

// line scans one line up to its comment or its first fault.
func (l *layout) line(number int, line []rune) {
	if l.boundary(number, string(line)) {
		return
	}
	begins := true // whether a value may begin here
	start, parens := 0, 0
	for i := 0; i < len(line) && len(l.faults) == 0; i++ {
		r := line[i]
		if r == ' ' {
			continue
		}
		if r == '#' && (i == 0 || line[i-1] == ' ') {
			return
		}
		l.content = true
		last := i+1 == len(line) || line[i+1] == ' '
		switch {
		case begins && (r == '"' || r == '\''):
			end := closingQuote(line, i)
			if end < 0 {
				l.fault(number, i+1, fmt.Sprintf("add %c at the end of line %d", r, number), "this quote is never closed")
			}
			i, begins = end, false
		case begins && l.refused(number, i+1, r, last):
		case (begins || len(l.open) > 0) && (r == '[' || r == '{'):
			l.push(number, i+1, r, string(line[:i]))
			begins = true
		case len(l.open) > 0 && (r == ']' || r == '}'):
			l.pop(number, i+1, r)
			begins = false
		case len(l.open) > 0 && r == ',' && parens > 0:
			l.fault(number, start, "put the value in quotes", "inside brackets a comma ends a value, even between ( and )")
		case len(l.open) > 0 && r == ',':
			l.comma(number, i+1)
			begins = true
		case last && (r == ':' || begins && (r == '-' || r == '?')):
			begins = true
		default:
			if begins {
				start, parens = i+1, 0
			}
			parens += parenthesis(r)
			begins = false
		}
	}
}

// parenthesis tells by how much a character opens or closes them.
func parenthesis(r rune) int {
	switch r {
	case '(':
		return 1
	case ')':
		return -1
	}
	return 0
}

// boundary deals with lines that are not part of a document but between two.
func (l *layout) boundary(number int, line string) bool {
	marker, _, _ := strings.Cut(strings.TrimRight(line, " "), " ")
	switch {
	case marker == "---" && !l.content:
		return true
	case marker == "---" || marker == "..." && l.content:
		l.fault(number, 1, "keep one scenario to a file", "a second document starts here")
	case strings.HasPrefix(line, "%"):
		l.fault(number, 1, "take the line away", "YAML directives are not accepted")
	default:
		return false
	}
	return true
}

// refused refuses what a value may not begin with.
func (l *layout) refused(line, col int, r rune, last bool) bool {
	switch {
	case (r == '&' || r == '*') && !last:
		l.fault(line, col, "write the value out in full", "anchors and aliases are not accepted")
	case (r == '|' || r == '>') && len(l.open) == 0:
		l.fault(line, col, "write the text on the line of its key", "block texts are not accepted")
	case r == '@' || r == '`' || r == '%':
		l.fault(line, col, "put the text in quotes", "a text cannot begin with %c", r)
	default:
		return false
	}
	return true
}

// closingQuote returns where the quote that opens at i is closed, or -1.
func closingQuote(line []rune, i int) int {
	quote := line[i]
	for j := i + 1; j < len(line); j++ {
		switch {
		case line[j] == '\\' && quote == '"':
			j++
		case line[j] == quote && quote == '\'' && j+1 < len(line) && line[j+1] == quote:
			j++
		case line[j] == quote:
			return j
		}
	}
	return -1
}

// push opens a bracket.
func (l *layout) push(line, col int, r rune, before string) {
	key := strings.TrimSpace(before)
	key = strings.TrimSpace(strings.TrimSuffix(key, ":"))
	key = key[strings.LastIndexAny(key, " [{,")+1:]
	l.open = append(l.open, bracket{r: r, line: line, col: col, key: key})
	if len(l.open) > mostDepth {
		l.limit(line, col, "a scenario needs 7 levels", "nested more than %d deep, stopped reading", mostDepth)
	}
}

// pop closes a bracket with its like.
func (l *layout) pop(line, col int, r rune) {
	b := l.open[len(l.open)-1]
	if (b.r == '[') != (r == ']') {
		thing, closing := b.names()
		l.fault(b.line, b.col, fmt.Sprintf("add %s before the %c of line %d", closing, r, line), "this %s is never closed", thing)
		return
	}
	l.open = l.open[:len(l.open)-1]
}

// comma counts the entries between brackets.
func (l *layout) comma(line, col int) {
	b := &l.open[len(l.open)-1]
	b.entries++
	l.entries++
	if b.entries >= mostKeys || l.entries >= mostNodes {
		l.limit(line, col+1, "split the study into several scenarios", "more than %d entries under %s, stopped reading", mostKeys, orFile(b.key))
	}
}
