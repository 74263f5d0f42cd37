package scenario

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"
)

// FuzzQuestion reads whatever comes as a question about the sample. Nothing may
// panic or take long, and every fault points into a file.
func FuzzQuestion(f *testing.F) {
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		f.Fatal(err)
	}
	questions, err := filepath.Glob("../../scenarios/questions/*.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range questions {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(bytes.ReplaceAll(text, []byte("plant-a.yaml"), []byte("base.yaml")))
	}
	f.Add([]byte("question: 1\nask: compare\nbase: ../base.yaml\noptions:\n  a: {changes: {kilns: {tunnel: {push: 80 min}}}}\nfutures:\n  b: {weight: 50 %, changes: {fuel: left out}}\ngrid:\n  c: {choices: {d: {changes: {kilns: {tunnel: left out}}}}}\ninputs:\n  - {key: kilns.tunnel.push, low: 70 min, high: 90 min}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 20_000 {
			return // the limit of size has its own test
		}
		top := fstest.MapFS{"base.yaml": {Data: sample}, "questions/q.yaml": {Data: data}}
		began := time.Now()
		asked, faults := ReadQuestionIn(top, "questions/q.yaml")
		if took := time.Since(began); took > 2*slowest {
			t.Errorf("took %v", took)
		}
		if (asked == nil) != refuses(faults) {
			t.Fatalf("question %v with faults\n%s", asked, Faults(faults))
		}
		for _, fault := range faults {
			if fault.What == "" || fault.Line > 0 && fault.Col < 1 {
				t.Errorf("%#v", fault)
			}
		}
		if asked == nil {
			return
		}
		for option := range asked.Options {
			for future := range asked.Futures {
				if asked.Works(option, future) == nil {
					t.Fatalf("option %d has no works in future %d", option, future)
				}
			}
		}
	})
}
