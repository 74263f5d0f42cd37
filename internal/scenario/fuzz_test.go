package scenario

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// slowest is how long reading 100 kB may take; a machine under load gets more
// than the 100 ms it should need.
const slowest = 2 * time.Second

// FuzzRead reads whatever comes. Nothing may panic or take long; every fault
// points into the file; and what is accepted prints and reads back as itself.
// It starts from the examples and from every bad input.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"testdata/*.yaml", "../../testdata/bad/*.yaml", "../../scenarios/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatalf("no seeds at %s: %v", pattern, err)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 100_000 {
			return // the limit of size has its own test
		}
		began := time.Now()
		file, faults := read(data, "s.yaml", "testdata")
		if took := time.Since(began); took > slowest {
			t.Errorf("took %v", took)
		}
		if (file == nil) != refuses(faults) {
			t.Fatalf("file %v with faults\n%s", file, Faults(faults))
		}
		lines := bytes.Count(data, []byte("\n")) + 1
		for _, fault := range faults {
			inBase := fault.File != "s.yaml"
			if fault.What == "" || fault.Line > 0 && fault.Col < 1 || fault.Line > lines && !inBase {
				t.Errorf("of %d lines: %#v", lines, fault)
			}
		}
		if file == nil {
			return
		}
		printed := file.Print()
		again, faults := read(printed, "printed.yaml", "testdata")
		if again == nil {
			t.Fatalf("what was printed is refused:\n%s\n%s", Faults(faults), printed)
		}
		if second := again.Print(); !bytes.Equal(printed, second) {
			t.Errorf("printed\n%s\nthen\n%s", printed, second)
		}
	})
}
