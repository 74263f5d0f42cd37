package scenario_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/scenario"
)

// examples are the scenario files that come with the program.
func examples(t testing.TB) []string {
	files, err := filepath.Glob("../../scenarios/*.yaml")
	if err != nil || len(files) < 5 {
		t.Fatalf("found %d examples: %v", len(files), err)
	}
	return files
}

// mustRead reads a scenario that is expected to be in order.
func mustRead(t testing.TB, path string) *scenario.File {
	t.Helper()
	file, faults := scenario.Read(path)
	if file == nil || len(faults) > 0 {
		t.Fatalf("%s is refused:\n%s", path, scenario.Faults(faults))
	}
	return file
}

// write puts a text beside others and returns its path.
func write(t testing.TB, dir, name, text string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestPrintAndReadBack holds that what Print writes is the works it was given:
// reading it and printing again gives the same bytes.
func TestPrintAndReadBack(t *testing.T) {
	for _, path := range append(examples(t), "testdata/sample.yaml", "testdata/laws.yaml") {
		t.Run(filepath.Base(path), func(t *testing.T) {
			file := mustRead(t, path)
			printed := file.Print()
			// Data beside the scenario is found there again.
			dir := t.TempDir()
			for _, pattern := range []string{"*.ics", "*.csv"} {
				data, _ := filepath.Glob(filepath.Join(filepath.Dir(path), pattern))
				for _, name := range data {
					content, err := os.ReadFile(name)
					if err != nil {
						t.Fatal(err)
					}
					write(t, dir, filepath.Base(name), string(content))
				}
			}
			again := mustRead(t, write(t, dir, "printed.yaml", string(printed)))
			if d := cmp.Diff(string(printed), string(again.Print())); d != "" {
				t.Errorf("printed again it differs (-first +second):\n%s", d)
			}
			if again.Hash != file.Hash {
				t.Errorf("hash %s became %s", file.Hash, again.Hash)
			}
			for _, o := range again.Origins() {
				if o.From == "default" {
					t.Errorf("%s is not in the printed file", o.Path)
				}
			}
		})
	}
}

// TestExamplesCanBeBuilt holds that every example passes all checks.
func TestExamplesCanBeBuilt(t *testing.T) {
	for _, path := range examples(t) {
		file := mustRead(t, path)
		ready, faults := file.Plant()
		if ready == nil || scenario.ExitCode(faults) != 0 {
			t.Errorf("%s cannot be built:\n%s", path, scenario.Faults(faults))
		}
	}
}

// TestHashIsOfContent holds that comments, layout and the order of keys do not
// change the hash, and that values and data do.
func TestHashIsOfContent(t *testing.T) {
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	hash := func(old, new string) string {
		if !bytes.Contains(sample, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return mustRead(t, write(t, t.TempDir(), "s.yaml", strings.Replace(string(sample), old, new, 1))).Hash
	}
	first := hash("", "")
	same := []struct{ reason, old, new string }{
		{"a comment is added", "run:\n", "# how long\nrun:\n"},
		{"a default is written out", "  seed: 1759\n", "  seed: 1759\n  precision: 1 %\n"},
		{"keys change places", "{crew: hands, time: 8 min, most: 1}", "{most: 1, time: 8 min, crew: hands}"},
		{"another unit", "cycle: 36 h", "cycle: 1.5 d"},
		{"another layout", "casters: {roster: {day: 2}}", "casters:\n    roster:\n      day: 2"},
	}
	for _, tt := range same {
		if hash(tt.old, tt.new) != first {
			t.Errorf("%s, and the hash changes", tt.reason)
		}
	}
	if hash("cycle: 36 h", "cycle: 37 h") == first {
		t.Error("a value changes, and the hash does not")
	}
}

// TestStandardInput reads a scenario from standard input.
func TestStandardInput(t *testing.T) {
	in, err := os.Open("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	before := os.Stdin
	os.Stdin = in
	defer func() { os.Stdin = before }()
	if file := mustRead(t, "-"); file.Works.Name != "Line A, close-coupled pan" {
		t.Errorf("read %q", file.Works.Name)
	}
}
