package randomworks_test

import (
	"encoding/binary"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/plant/randomworks"
)

// FuzzRun lets the fuzzer choose the works: the bytes are what the generator
// draws from. Every works that can be drawn must run under all laws.
func FuzzRun(f *testing.F) {
	for seed := range uint64(4) {
		f.Add(seedBytes(seed, 1<<14))
	}
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) {
		checkLaws(t, randomworks.Works().Draw(t, "works"))
	}))
}

// seedBytes is so many bytes from a multiplicative generator, to begin with
// works of middling size. Source of the multiplier: D. E. Knuth's MMIX.
func seedBytes(seed uint64, n int) []byte {
	x := 2*seed + 1
	var b []byte
	for len(b) < n {
		x = x*6364136223846793005 + 1442695040888963407
		b = binary.LittleEndian.AppendUint64(b, x>>11)
	}
	return b
}
