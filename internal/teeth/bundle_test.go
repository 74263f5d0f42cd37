package teeth_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"potbank/internal/teeth"
)

// counting is a package with a function of every kind that a bundle knows.
var counting = map[string]string{
	"go.mod": "module counting\n\ngo 1.26\n",
	"counting.go": `package counting

const step = 1

type counter struct{ n int }

func (c *counter) add(times int) {
	c.n += step * times
}

func sum(all ...int) (s int) {
	var c counter
	for _, n := range all {
		c.add(n)
	}
	return c.n
}

func safe(f func()) (ok bool) {
	defer func() { ok = recover() == nil }()
	f()
	return
}

func either[T any](first bool, a, b T) T {
	if first {
		return a
	}
	return b
}

func (*counter) zero(int) int { return 0 }
`,
	"counting_test.go": `package counting

import "testing"

func TestCounting(t *testing.T) {
	if sum(1, 2, 3) != 6 {
		t.Error("sum")
	}
	if !safe(func() {}) || safe(func() { panic(1) }) {
		t.Error("safe")
	}
	if either(true, 1, 2) != 1 {
		t.Error("either")
	}
	if new(counter).zero(5) != 0 {
		t.Error("zero")
	}
}
`,
}

// TestBundle makes changes of functions of every kind from one binary, and of what
// needs a build of its own.
func TestBundle(t *testing.T) {
	dir := t.TempDir()
	for name, text := range counting {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	src := []byte(counting["counting.go"])
	cases := []struct {
		old, text string
		want      teeth.Outcome
	}{
		{"c.n += step * times", "c.n -= step * times", teeth.Caught},
		{"c.n += step * times", "c.n += times * step", teeth.Survived},
		{"c.n += step * times", "c.n += step * time", teeth.NotBuilt},
		{"return c.n", "return c.n + 1", teeth.Caught},
		{"c.add(n)", "", teeth.NotBuilt}, // n is not used
		{"step = 1", "step = 2", teeth.Caught},
		{"recover() == nil", "recover() != nil", teeth.Caught},
		{"return a", "return b", teeth.Caught},
		{"return 0", "return 1", teeth.Caught},
	}
	var changes []teeth.Change
	for _, c := range cases {
		at := bytes.Index(src, []byte(c.old))
		changes = append(changes, teeth.Change{File: "counting.go", From: at, To: at + len(c.old), Text: c.text})
	}
	b, err := teeth.NewBundle(context.Background(), dir, ".", changes)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	for n, c := range cases {
		v, err := b.Run(context.Background(), n)
		if err != nil || v.Outcome != c.want {
			t.Errorf("%s for %s: %s, %v\n%s; want %s", c.text, c.old, v.Outcome, err, v.Detail, c.want)
		}
	}
	if files, _ := filepath.Glob(filepath.Join(dir, "*")); len(files) != len(counting) {
		t.Errorf("files were left: %v", files)
	}
}

// TestBundleOfFailingTests: tests that fail anyway judge nothing.
func TestBundleOfFailingTests(t *testing.T) {
	dir := t.TempDir()
	for name, text := range tiny {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Replace(text, "!= 3", "!= 4", 1)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	b, err := teeth.NewBundle(context.Background(), dir, ".", nil)
	if err == nil || !strings.Contains(err.Error(), "fail with no change on") {
		t.Errorf("%v, %v", b, err)
	}
}
