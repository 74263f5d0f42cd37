package teeth_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/teeth"
)

// TestMutantKinds holds the mutants of a small function against a list.
func TestMutantKinds(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	const src = `package p

func (s *S[T]) f(a int) int {
	b := 1
	if a < b && s != nil {
		s.g()
		panic("p: " + "no")
	}
	a += max(a, b)
	a++
	return a
}
`
	write("p.go", src)
	write("p_test.go", src)
	mutants, err := teeth.Mutants(dir, ".", 1)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for i := range mutants {
		m := &mutants[i]
		lines := strings.Split(string(m.Apply([]byte(src))), "\n")
		got[strings.TrimPrefix(m.Name(), "p.go S.f: ")] = strings.TrimSpace(lines[m.Line-1])
	}
	want := map[string]string{
		"b := 1: 1 becomes 2":                          "b := 2",
		"if a < b && s != nil {: condition is negated": "if !(a < b && s != nil) {",
		"if a < b && s != nil {: && becomes ||":        "if a < b || s != nil {",
		"if a < b && s != nil {: < becomes <=":         "if a <= b && s != nil {",
		"if a < b && s != nil {: < becomes >=":         "if a >= b && s != nil {",
		"if a < b && s != nil {: != becomes ==":        "if a < b && s == nil {",
		"s.g(): is deleted: s.g()":                     "",
		"a += max(a, b): += becomes -=":                "a -= max(a, b)",
		"a += max(a, b): is deleted: a += max(a, b)":   "",
		"a += max(a, b): max becomes min":              "a += min(a, b)",
		"a++: ++ becomes --":                           "a--",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("mutants (-want +got):\n%s", diff)
	}
}

// TestMutantOrder: a seed draws the same mutants again, another draws others, and
// a new line above moves none.
func TestMutantOrder(t *testing.T) {
	names := func(seed uint64) []string {
		mutants, err := teeth.Mutants(absolute(t), "internal/des", seed)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for i := range mutants {
			all = append(all, mutants[i].Name())
		}
		return all
	}
	if diff := cmp.Diff(names(1), names(1)); diff != "" {
		t.Errorf("the same seed draws others:\n%s", diff)
	}
	a, b := names(1), names(2)
	same := 0
	for i := range a[:50] {
		for _, name := range b[:50] {
			if name == a[i] {
				same++
			}
		}
	}
	if same > 15 {
		t.Errorf("%d of the first 50 mutants of two seeds are the same", same)
	}
}
