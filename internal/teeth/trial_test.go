package teeth_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"potbank/internal/teeth"
)

// tiny is a module with one function and a test of it.
var tiny = map[string]string{
	"go.mod": "module tiny\n\ngo 1.26\n",
	"tiny.go": `package tiny

func half(n int) int { return n / 2 }
`,
	"tiny_test.go": `package tiny

import "testing"

func TestHalf(t *testing.T) {
	if got := half(6); got != 3 {
		t.Errorf("half of 6 is %d", got)
	}
}
`,
}

// TestTrial makes changes of every kind in a module of its own, whose files must
// stay as they are.
func TestTrial(t *testing.T) {
	dir := t.TempDir()
	for name, text := range tiny {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name, body string
		later      []string
		want       teeth.Outcome
		test       string
	}{
		{"wrong", "return n / 3", []string{"^TestThird$", "^TestHalf$"}, teeth.Caught, ". TestHalf"},
		{"right", "return n >> 1", nil, teeth.Survived, ""},
		{"stuck", `panic("stuck at noon")`, nil, teeth.Stuck, ". TestHalf"},
		{"hang", "for { }", nil, teeth.TimedOut, ". TestHalf"},
		{"no Go", "return n / two", nil, teeth.NotBuilt, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, err := teeth.Trial{
				Root: dir, File: "tiny.go", Changed: []byte("package tiny\n\nfunc half(n int) int { " + c.body + " }\n"),
				Tests: ".", Limit: time.Second, Later: c.later,
			}.Run(context.Background())
			if err != nil || v.Outcome != c.want || v.Test != c.test {
				t.Errorf("%s %q, %v\n%s; want %s %q", v.Outcome, v.Test, err, v.Detail, c.want, c.test)
			}
			if (v.Detail != "") != (c.want == teeth.NotBuilt) {
				t.Errorf("detail %q", v.Detail)
			}
		})
	}
	for name, text := range tiny {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != text {
			t.Errorf("%s was changed, %v", name, err)
		}
	}
}
