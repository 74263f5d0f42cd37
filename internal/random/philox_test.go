package random

import "testing"

// The published known answers of the generator. A failure here means the
// generator is another one, and every result of every plant changes.
func TestPhiloxKnownAnswers(t *testing.T) {
	// source: Random123 library, tests/kat_vectors, lines "philox4x64 10":
	// zeros, ones, and the digits of pi.
	const ones = 1<<64 - 1
	tests := []struct {
		counter [4]uint64
		key     [2]uint64
		want    [4]uint64
	}{
		{
			want: [4]uint64{0x16554d9eca36314c, 0xdb20fe9d672d0fdc, 0xd7e772cee186176b, 0x7e68b68aec7ba23b},
		},
		{
			counter: [4]uint64{ones, ones, ones, ones},
			key:     [2]uint64{ones, ones},
			want:    [4]uint64{0x87b092c3013fe90b, 0x438c3c67be8d0224, 0x9cc7d7c69cd777b6, 0xa09caebf594f0ba0},
		},
		{
			counter: [4]uint64{0x243f6a8885a308d3, 0x13198a2e03707344, 0xa4093822299f31d0, 0x082efa98ec4e6c89},
			key:     [2]uint64{0x452821e638d01377, 0xbe5466cf34e90c6c},
			want:    [4]uint64{0xa528f45403e61d95, 0x38c72dbd566e9788, 0xa5a1610e72fd18b5, 0x57bd43b5e52b7fe6},
		},
	}
	for _, test := range tests {
		c, k := test.counter, test.key
		r0, r1, r2, r3 := philox4x64(c[0], c[1], c[2], c[3], k[0], k[1])
		if got := [4]uint64{r0, r1, r2, r3}; got != test.want {
			t.Errorf("philox4x64(%x, %x) = %x, want %x", c, k, got, test.want)
		}
	}
}
