// Package cell makes text safe to stand in a cell of a spreadsheet.
package cell

import "strings"

// Text returns s so that a spreadsheet takes it as text. A cell that begins
// with = + - or @ is a formula to most programs, also in a CSV file, and may
// call others or send data away; a tab or line break before such a sign hides
// it. An apostrophe in front keeps the cell text (OWASP, CSV injection). What
// is a number is not to be passed through here.
func Text(s string) string {
	if s != "" && strings.IndexByte("=+-@\t\r\n", s[0]) >= 0 {
		return "'" + s
	}
	return s
}
