package ledger

import (
	"bytes"
	"compress/flate"
	"errors"
	"testing"
)

// A result unpacks to 64 MiB, and no more.
func TestLimitOfAResult(t *testing.T) {
	for _, n := range []int{mostResult - 1, mostResult, mostResult + 1} {
		var packed bytes.Buffer
		w, err := flate.NewWriter(&packed, flate.BestSpeed)
		if err != nil {
			t.Fatal(err)
		}
		w.Write(make([]byte, n)) // into memory
		w.Close()
		got, err := inflate(packed.Bytes())
		if errors.Is(err, errCut) != (n > mostResult) || err == nil && len(got) != n {
			t.Errorf("%d bytes unpack to %d, %v", n, len(got), err)
		}
	}
}
