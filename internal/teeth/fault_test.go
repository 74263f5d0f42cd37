package teeth_test

import (
	"strings"
	"testing"

	"potbank/internal/teeth"
)

// TestBadList: a list that says something else is refused, by its line.
func TestBadList(t *testing.T) {
	whole := "fault a\nmeans b\nfile c.go\ntests d\n-x\n+y\n"
	for _, c := range []struct{ text, want string }{
		{whole, ""},
		{"# a list\n\n" + whole, ""},
		{"means b\n" + whole, "line 1: "},
		{whole + whole, "line 7: a is listed twice"},
		{whole + "why not\n", `line 7: "why not" has no meaning here`},
		{strings.Replace(whole, "-x\n", "", 1), "a lacks"},
		{strings.Replace(whole, "tests d\n", "", 1), "a lacks"},
	} {
		faults, err := teeth.ReadFaults(strings.NewReader(c.text))
		switch {
		case c.want == "" && (err != nil || len(faults) != 1):
			t.Errorf("%q: %d faults, %v", c.text, len(faults), err)
		case c.want != "" && (err == nil || !strings.HasPrefix(err.Error(), c.want)):
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	f := teeth.Fault{Name: "a", File: "c.go", Old: "x", New: "}"}
	for _, src := range []string{"package p", "package p\nvar x, y = x, 1", "package p\nvar x int"} {
		if _, err := f.Change([]byte(src)); err == nil {
			t.Errorf("applied to %q", src)
		}
	}
}
