package scenario

import (
	"bytes"
	"errors"
	"math"
	"os"
	"testing"
	"testing/fstest"
	"time"

	"potbank/internal/quantity"
	"potbank/internal/random"
)

// FuzzChange reads whatever comes as a change of the sample. Nothing may panic or
// take long, every fault points into a file, and a works that comes of it prints
// and reads back as itself, a works of its own.
func FuzzChange(f *testing.F) {
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range []string{"plant-a-46-cars", "plant-a-measured", "plant-a-order-book", "plant-a-wages"} {
		text, err := os.ReadFile("../../scenarios/" + name + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(bytes.ReplaceAll(text, []byte("base: plant-a.yaml"), []byte("base: base.yaml")))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 20_000 {
			return // the limit of size has its own test
		}
		top := fstest.MapFS{"base.yaml": {Data: sample}, "s.yaml": {Data: data}}
		began := time.Now()
		file, faults := ReadIn(top, "s.yaml")
		if took := time.Since(began); took > slowest {
			t.Errorf("took %v", took)
		}
		if (file == nil) != refuses(faults) {
			t.Fatalf("file %v with faults\n%s", file, Faults(faults))
		}
		for _, fault := range faults {
			if fault.What == "" || fault.Line > 0 && fault.Col < 1 {
				t.Errorf("%#v", fault)
			}
		}
		if file == nil {
			return
		}
		if _, more := file.Plant(); refuses(more) {
			for _, fault := range more {
				if fault.What == "" || fault.Line > 0 && fault.Col < 1 {
					t.Errorf("%#v", fault)
				}
			}
		}
		top["printed.yaml"] = &fstest.MapFile{Data: file.Print()}
		again, faults := ReadIn(top, "printed.yaml")
		if again == nil {
			t.Fatalf("what was printed is refused:\n%s\n%s", Faults(faults), file.Print())
		}
		if !bytes.Equal(file.Print(), again.Print()) {
			t.Errorf("printed\n%s\nthen\n%s", file.Print(), again.Print())
		}
	})
}

// FuzzTable reads whatever comes as the table of a law and as that of the pieces
// there at the start. A law has finite values, none below zero; of pieces every
// row has been read.
func FuzzTable(f *testing.F) {
	f.Add([]byte("piece,minutes\n1,8.5\n2,9\n3,11.25\n"), "minutes")
	f.Add([]byte("section,ware,count,filled-at,order\nfinished,pan,40,2027-01-01 06:00,first\ndried,pan,,,\n"), "count")
	f.Fuzz(func(t *testing.T, data []byte, column string) {
		if len(data) > 20_000 {
			return // the limit of size has its own test
		}
		top := fstest.MapFS{"times.csv": {Data: data}}
		d := &decoder{folder: &folder{path: ".", within: top}}
		began := time.Now()
		x, err := parseLaw(d, lawField("time"), "csv(times.csv, column "+column+", min)")
		if took := time.Since(began); took > slowest {
			t.Errorf("took %v", took)
		}
		var fault *quantity.Fault
		if err != nil && !(errors.As(err, &fault) && fault.What != "" && fault.Offset >= 0) {
			t.Errorf("refused as %#v", err)
		}
		if law, ok := x.(random.Law); err == nil && (!ok || law.Min() < 0 || math.IsNaN(law.Mean()) || math.IsInf(law.Mean(), 0) || law.Min() > law.Max()) {
			t.Errorf("a law of mean %v, from %v to %v", law.Mean(), law.Min(), law.Max())
		}
		rows, err := readPieces(bytes.NewReader(data))
		if err == nil && len(rows) > bytes.Count(data, []byte("\n"))+bytes.Count(data, []byte("\r")) {
			t.Errorf("%d rows", len(rows))
		}
	})
}
