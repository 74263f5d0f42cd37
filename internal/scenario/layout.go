package scenario

import (
	"fmt"
	"strings"
)

// A layout scan goes over the text before the YAML parser does. It has two
// ends: to bound the work that the parser can be given, and to point at an
// open quote or bracket where it stands, since the parser only notices
// wherever the next one happens to be. It knows just enough of YAML for that:
// quotes, brackets, comments, and where a value can begin. What it relies on
// is refused here as well, since a scenario has no use for it: a text that
// goes over several lines, in quotes or not, and block texts ("|", ">").
type layout struct {
	file    *source
	faults  []Fault
	open    []bracket
	entries int  // between brackets, in the whole file
	content bool // whether there was more than comments
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
	if !l.content {
		l.faults = append(l.faults, onlyComments(file))
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

// line scans one line up to its comment or its first fault. Outside brackets
// it must begin with a key or be an item: what YAML would take for the rest of
// the text above is far likelier a key whose colon was forgotten.
func (l *layout) line(number int, line []rune) {
	if l.boundary(number, string(line)) {
		return
	}
	s := &lineScan{layout: l, number: number, line: line, begins: true, keyed: len(l.open) > 0}
	for i := 0; i < len(line) && len(l.faults) == 0; i++ {
		if line[i] == '#' && (i == 0 || line[i-1] == ' ') {
			break
		}
		if line[i] != ' ' {
			i = s.step(i)
		}
	}
	if s.first > 0 && !s.keyed && len(l.faults) == 0 {
		l.fault(number, s.first, "write a key, a colon, a space and a value on one line", "this line has no colon after its key")
	}
}

// A lineScan is the state of the scan within one line.
type lineScan struct {
	*layout
	number int
	line   []rune
	first  int  // column of the first character; 0 before it
	begins bool // whether a value may begin here
	keyed  bool // whether the line has a key, or needs none
	start  int  // column at which the plain text here begins
	parens int  // open parentheses in it
}

// step looks at the character at i, which is no space, and returns the last
// one that it dealt with.
func (s *lineScan) step(i int) int {
	r, col := s.line[i], i+1
	last := col == len(s.line) || s.line[col] == ' '
	inside := len(s.open) > 0
	if s.content = true; s.first == 0 {
		s.first = col
		s.keyed = s.keyed || strings.ContainsRune("[{]}-?", r)
	}
	switch {
	case s.begins && (r == '"' || r == '\''):
		s.begins = false
		if end := closingQuote(s.line, i); end >= 0 {
			return end
		}
		s.fault(s.number, col, fmt.Sprintf("add %c at the end of line %d", r, s.number), "this quote is never closed")
	case s.begins && s.refused(s.number, col, r, last):
	case (s.begins || inside) && (r == '[' || r == '{'):
		s.push(s.number, col, r, string(s.line[:i]))
		s.begins = true
	case inside && (r == ']' || r == '}'):
		s.pop(s.number, col, r)
		s.begins = false
	case inside && r == ',' && s.parens > 0:
		s.fault(s.number, s.start, "put the value in quotes", "inside brackets a comma ends a value, even between ( and )")
	case inside && r == ',':
		s.comma(s.number, col)
		s.begins = true
	case last && (r == ':' || s.begins && (r == '-' || r == '?')),
		inside && r == ':' && i > 0 && (s.line[i-1] == '"' || s.line[i-1] == '\''): // as in JSON
		s.begins = true
		s.keyed = s.keyed || r == ':'
	default:
		if s.begins {
			s.start, s.parens = col, 0
		}
		s.parens += parenthesis(r)
		s.begins = false
	}
	return i
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
