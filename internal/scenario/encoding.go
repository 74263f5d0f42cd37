package scenario

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// checkEncoding looks at the bytes of a file before anything reads them as
// text: a scenario is UTF-8 without byte-order mark, tabs or control
// characters. The first fault of each kind is enough.
func checkEncoding(data []byte, file *source) []Fault {
	at := func(line, col int, hint, format string, args ...any) []Fault {
		return []Fault{{File: file.path, Line: line, Col: col, What: fmt.Sprintf(format, args...), Hint: hint, Code: Refused}}
	}
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return []Fault{{File: file.path, What: "the file is empty", Hint: "begin with a copy of one of the files in scenarios", Code: Refused}}
	case looksUTF16(data):
		return at(1, 1, "save the file again as UTF-8", "this is UTF-16 text, not UTF-8")
	case bytes.HasPrefix(data, []byte("\xEF\xBB\xBF")):
		return at(1, 1, "save the file as UTF-8 without byte-order mark", "a byte-order mark (U+FEFF) comes before the text")
	}
	for i, line := range strings.Split(string(data), "\n") {
		line = strings.TrimSuffix(line, "\r")
		col := 0
		for j, r := range line {
			col++
			switch {
			case r == utf8.RuneError && !strings.HasPrefix(line[j:], "\uFFFD"):
				return at(i+1, col, "save the file as UTF-8, not Latin-1 or Windows-1252", "byte 0x%02X is not valid UTF-8", line[j])
			case r == '\t' && strings.TrimSpace(line[:j]) == "":
				return at(i+1, col, "indent with two spaces", "a tab is used to indent")
			case r == '\t':
				return at(i+1, col, "write spaces instead", "a tab stands here")
			case unicode.IsControl(r) || hidden(r):
				return at(i+1, col, "remove it; a text holds letters, digits, spaces and punctuation", "control character U+%04X%s", r, inKey(line[:j]))
			}
		}
	}
	return nil
}

// looksUTF16 recognises UTF-16 by its mark, or by the zero bytes that half of
// it consists of in any file of ASCII keys: the first character of a scenario
// is a letter or a #.
func looksUTF16(data []byte) bool {
	if bytes.HasPrefix(data, []byte("\xFF\xFE")) || bytes.HasPrefix(data, []byte("\xFE\xFF")) {
		return true
	}
	return len(data) >= 2 && (data[0] == 0) != (data[1] == 0)
}

// inKey names the key that a line begins with, for messages.
func inKey(before string) string {
	key, _, found := strings.Cut(before, ":")
	if key = strings.TrimSpace(key); !found || key == "" || strings.ContainsAny(key, " \"'#{[") {
		return ""
	}
	return " in " + key
}
