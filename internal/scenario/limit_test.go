package scenario

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// TestLimitsOfText holds the limits on the text of a file where they are
// stated: what just fits is accepted by the layout and the tree, one more is
// refused as too large.
func TestLimitsOfText(t *testing.T) {
	deep := func(n int) string { return "a: " + strings.Repeat("[", n-1) + "x" + strings.Repeat("]", n-1) }
	keys := func(n int) string {
		b := new(strings.Builder)
		for i := range n {
			fmt.Fprintf(b, "k%d: x\n", i)
		}
		return b.String()
	}
	flowKeys := func(n int) string { return "a: {" + strings.ReplaceAll(strings.TrimSpace(keys(n)), "\n", ", ") + "}" }
	values := func(n int) string { // the set, its key and the list, and 9 values a row and one for the row
		b := new(strings.Builder)
		b.WriteString("a:\n")
		for range (n - 3) / 10 {
			b.WriteString("- [" + strings.Repeat("x,", 8) + "x]\n")
		}
		return b.String() + strings.Repeat("- x\n", (n-3)%10)
	}
	tests := []struct {
		limit  string
		most   int
		text   func(n int) string
		within int // how far below the limit the last accepted size is tried
	}{
		{"depth", mostDepth - 1, deep, 1},
		{"entries of a set", mostKeys, keys, 1},
		{"entries in braces", mostKeys, flowKeys, 1},
		{"values", mostNodes, values, 1},
		{"characters of a text", longestText, func(n int) string { return "a: " + strings.Repeat("é", n) }, 1},
		{"characters of a name", longestName, func(n int) string { return "name: " + strings.Repeat("é", n) }, 1},
		{"characters of a key", longestName, func(n int) string { return strings.Repeat("é", n) + ": x" }, 1},
	}
	for _, tt := range tests {
		for _, n := range []int{tt.most - 1, tt.most, tt.most + 1} {
			_, faults := parse([]byte(tt.text(n)), &source{path: "s.yaml"})
			if want := map[bool]int{true: OverLimit}[n > tt.most]; ExitCode(faults) != want {
				t.Errorf("%s: %d gives exit %d, want %d: %s", tt.limit, n, ExitCode(faults), want, Faults(faults))
			}
		}
	}
}

// TestLimitsOfValues holds the limits on single values.
func TestLimitsOfValues(t *testing.T) {
	fieldOf := func(owner reflect.Type, key string) field {
		f, ok := fieldNamed(fieldsOf(owner), key)
		if !ok {
			t.Fatalf("%v has no key %s", owner, key)
		}
		return f
	}
	tests := []struct {
		owner           reflect.Type
		key             string
		fits, fits2, no string
		limit           bool // whether the refusal is one of size
	}{
		{reflect.TypeFor[plant.Order](), "quantity", "9999999", "10000000", "10000001", true},
		{reflect.TypeFor[plant.Bench](), "moulds", "999999", "1000000", "1000001", true},
		{reflect.TypeFor[plant.Run](), "replications", "999999", "1000000", "1000001", true},
		{reflect.TypeFor[plant.Refire](), "most", "4", "5", "6", true},
		{reflect.TypeFor[plant.Run](), "length", "18249.999 d", "50 yr", "18250.001 d", true},
		{reflect.TypeFor[plant.Kiln](), "push", "2 s", "0.001 s", "0.0004 s", false},
		{reflect.TypeFor[plant.Kiln](), "push", "2 s", "1 s", "0 s", false},
		{reflect.TypeFor[plant.Bench](), "moulds", "2", "1", "0", false},
		{reflect.TypeFor[plant.Yields](), "white", "0 %", "100 %", "100.000001 %", false},
	}
	for _, tt := range tests {
		f := fieldOf(tt.owner, tt.key)
		for _, s := range []string{tt.fits, tt.fits2} {
			if _, err := scalars[f.typ].parse(&decoder{}, f, s); err != nil {
				t.Errorf("%s: %s: %v", tt.key, s, err)
			}
		}
		_, err := scalars[f.typ].parse(&decoder{}, f, tt.no)
		var fault *quantity.Fault
		if !errors.As(err, &fault) || fault.Limit != tt.limit {
			t.Errorf("%s: %s gives %v", tt.key, tt.no, err)
		}
	}
}

// TestFileSize holds the limit of bytes at its place.
func TestFileSize(t *testing.T) {
	head := "potbank: 1\n#"
	for size, code := range map[int]int{mostBytes - 1: Refused, mostBytes: Refused, mostBytes + 1: OverLimit} {
		path := t.TempDir() + "/s.yaml"
		writeFile(t, path, head+strings.Repeat("x", size-len(head)))
		if _, faults := Read(path); ExitCode(faults) != code {
			t.Errorf("%d bytes give exit %d, want %d", size, ExitCode(faults), code)
		}
	}
}

// TestLimitsOfData holds the limits on files beside a scenario.
func TestLimitsOfData(t *testing.T) {
	for _, n := range []int{mostPieceRows - 1, mostPieceRows, mostPieceRows + 1} {
		_, err := readPieces(strings.NewReader("section,ware\n" + strings.Repeat("dried,pan\n", n)))
		if (err != nil) != (n > mostPieceRows) {
			t.Errorf("%d rows of pieces give %v", n, err)
		}
	}
	dir := t.TempDir()
	for _, n := range []int{mostData - 1, mostData, mostData + 1} {
		writeFile(t, dir+"/data.csv", strings.Repeat("x", n))
		_, err := (&folder{path: dir}).load("data.csv", mostData)
		var fault *quantity.Fault
		if over := errors.As(err, &fault) && fault.Limit; over != (n > mostData) {
			t.Errorf("%d bytes of data give %v", n, err)
		}
	}
}

// TestLimitsOfQuestions holds the limits on options and futures.
func TestLimitsOfQuestions(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../scenarios")); err != nil {
		t.Fatal(err)
	}
	option := func(n int) string {
		b := new(strings.Builder)
		b.WriteString("options:\n")
		for i := range n - 1 { // besides the works as it is
			fmt.Fprintf(b, "  o%d:\n    changes:\n      crews:\n        casters:\n          wage: %d EUR/h\n", i, 20+i)
		}
		return b.String()
	}
	future := func(n int) string {
		b := new(strings.Builder)
		b.WriteString(option(2) + "futures:\n")
		for i := range n {
			fmt.Fprintf(b, "  f%d:\n    weight: 1 %%\n", i)
		}
		return b.String()
	}
	for _, test := range []struct {
		what string
		most int
		text func(n int) string
	}{{"options; the limit is 50", mostChoices, option}, {"futures; the limit is 24", mostFutures, future}} {
		for _, n := range []int{test.most - 1, test.most, test.most + 1} {
			path := dir + "/question.yaml"
			writeFile(t, path, "question: 1\nask: compare\nbase: small-works.yaml\n"+test.text(n))
			_, faults := ReadQuestion(path)
			said := Faults(faults)
			if over := ExitCode(faults) == OverLimit && strings.Contains(said, test.what); over != (n > test.most) || strings.Contains(said, "error:") && !over {
				t.Errorf("%s: %d gives %s", test.what, n, said)
			}
		}
	}
}
