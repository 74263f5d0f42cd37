package calendar

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"potbank/internal/quantity"
)

// characters returns the length of s in characters, the measure of a fault's
// offset: editors count columns so, and a scenario may hold more than ASCII.
func characters(s string) int { return utf8.RuneCountInString(s) }

// leadingSpace returns how many characters of space s starts with.
func leadingSpace(s string) int {
	return characters(s) - characters(strings.TrimLeftFunc(s, unicode.IsSpace))
}

// A word is a part of a text between spaces.
type word struct {
	text string
	at   int // offset in characters
}

// words splits s at spaces. The text begins offset characters into the text
// that faults refer to.
func words(s string, offset int) []word {
	var found []word
	start, at := -1, 0
	flush := func(end int) {
		if start >= 0 {
			found = append(found, word{s[start:end], offset + at - characters(s[start:end])})
			start = -1
		}
	}
	for i, r := range s {
		if unicode.IsSpace(r) {
			flush(i)
		} else if start < 0 {
			start = i
		}
		at++
	}
	flush(len(s))
	return found
}

// faultAt builds the fault of a text at an offset.
func faultAt(offset int, hint, format string, args ...any) *quantity.Fault {
	return &quantity.Fault{Offset: offset, What: fmt.Sprintf(format, args...), Hint: hint}
}
