package scenario

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

// A file system stands for a folder: what a scenario names lies in it, and
// nothing else can be reached.
func TestReadIn(t *testing.T) {
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	times, err := os.ReadFile("testdata/times.csv")
	if err != nil {
		t.Fatal(err)
	}
	top := fstest.MapFS{
		"sample.yaml":  {Data: sample},
		"times.csv":    {Data: times},
		"change.yaml":  {Data: []byte("base: sample.yaml\nname: Changed\n")},
		"escape.yaml":  {Data: []byte("base: ../sample.yaml\n")},
		"missing.yaml": {Data: []byte("base: nowhere.yaml\n")},
	}
	within, faults := ReadIn(top, "sample.yaml")
	if within == nil {
		t.Fatal(Faults(faults))
	}
	beside, _ := Read("testdata/sample.yaml")
	if within.Hash != beside.Hash {
		t.Error("a file system and a folder give different works")
	}
	if f, faults := ReadIn(top, "change.yaml"); f == nil || f.Works.Name != "Changed" {
		t.Errorf("a change over its base: %s", Faults(faults))
	}
	for name, want := range map[string]string{
		"escape.yaml": "leaves the folder", "missing.yaml": "no file", "none.yaml": "no file", "../sample.yaml": "leaves the folder",
	} {
		if f, faults := ReadIn(top, name); f != nil || !strings.Contains(Faults(faults), want) {
			t.Errorf("%s: %s, want a fault that says %q", name, Faults(faults), want)
		}
	}
}
