package random

import (
	"math"
	"math/bits"
	"testing"
)

func TestObjectMixerKnownAnswers(t *testing.T) {
	// source: S. Vigna, splitmix64.c, seeds 1234567 and 0, as printed by several
	// public implementations. Output n of a seed is one step from the state
	// seed + (n-1) increments.
	const increment = 0x9E3779B97F4A7C15
	tests := []struct {
		seed uint64
		want []uint64
	}{
		{1234567, []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821}},
		{0, []uint64{0xe220a8397b1dcdaf, 0x6e789e6aa1b965f4, 0x06c45d188009454f}},
	}
	for _, test := range tests {
		for n, want := range test.want {
			if got := Object(test.seed + uint64(n)*increment); got != want {
				t.Errorf("seed %d, output %d: got %d, want %d", test.seed, n+1, got, want)
			}
		}
	}
}

func TestNamesHashAsPublished(t *testing.T) {
	// source: L. C. Noll, FNV test vectors, 64-bit FNV-1a (test_fnv.c); also
	// draft-eastlake-fnv, appendix C.
	tests := []struct {
		text string
		want uint64
	}{
		{"", 0xcbf29ce484222325},
		{"a", 0xaf63dc4c8601ec8c},
		{"foobar", 0x85944171f73967e8},
	}
	for _, test := range tests {
		if got := PurposeOf(test.text); got != Purpose(test.want) {
			t.Errorf("PurposeOf(%q) = %#x, want %#x", test.text, got, test.want)
		}
		if got := Name(test.text); got != test.want {
			t.Errorf("Name(%q) = %#x, want %#x", test.text, got, test.want)
		}
	}
}

func TestUniformIsStrictlyInside(t *testing.T) {
	tests := []struct {
		bits uint64
		want float64
	}{
		{0, 0x1p-53},
		{1<<64 - 1, 1 - 0x1p-53},
		{1 << 63, 0.5 + 0x1p-53},
	}
	for _, test := range tests {
		u := unit(test.bits)
		if u != test.want {
			t.Errorf("unit(%#x) = %b, want %b", test.bits, u, test.want)
		}
		if complement := 1 - u; u <= 0 || u >= 1 || 1-complement != u {
			t.Errorf("unit(%#x) = %b: not inside (0, 1), or 1-u is not exact", test.bits, u)
		}
	}
}

// Do not change these numbers to fix a build. They are what every published
// result was drawn from; if they differ, the program no longer reproduces it.
func TestFrozenDraws(t *testing.T) {
	tests := []struct {
		seed        uint64
		replication uint32
		purpose     string
		object      uint64
		ordinal     uint32
		want        uint64
	}{
		{0, 0, "", 0, 0, 0xf1b26f58ad4f768e},
		{1, 0, "white.reject", 1, 0, 0xa4bef1435ad9ed46},
		{1, 1, "white.reject", 1, 0, 0x338b7321b34b29fc},
		{1, 0, "white.reject", 2, 0, 0xfeaa8fdc48496bcb},
		{1, 0, "white.reject", 1, 1, 0x8d46869a2e3b157a},
		{1, 0, "dryer.time", 1, 0, 0xc5e074edec644ed2},
		{2, 0, "white.reject", 1, 0, 0x77f640c1574d0e24},
		{math.MaxUint64, math.MaxUint32, "kiln.stop", math.MaxUint64, math.MaxUint32, 0x41c2c8d2ba8ddc60},
		{20260101, 7, "casting.time", Object(3, 17, 41), 0, 0x06e9dc4a3e58b56f},
		{20260101, 7, "mould.life", Object(Name("bench A"), 17), 2, 0x934be88537613ce6},
	}
	for _, test := range tests {
		got := New(test.seed, test.replication).Bits(PurposeOf(test.purpose), test.object, test.ordinal)
		if got != test.want {
			t.Errorf("seed %d, replication %d, %s, object %#x, ordinal %d: got %#x, want %#x",
				test.seed, test.replication, test.purpose, test.object, test.ordinal, got, test.want)
		}
	}
}

// key is a whole identity, so that tests may vary one part of it at a time.
type key struct {
	seed        uint64
	replication uint32
	purpose     uint64
	object      uint64
	ordinal     uint32
}

func (k key) bits() uint64 {
	return New(k.seed, k.replication).Bits(Purpose(k.purpose), k.object, k.ordinal)
}

// parts names each part of a key, its width, and how to flip its bits.
var parts = []struct {
	name  string
	width int
	flip  func(k key, mask uint64) key
}{
	{"seed", 64, func(k key, mask uint64) key { k.seed ^= mask; return k }},
	{"replication", 32, func(k key, mask uint64) key { k.replication ^= uint32(mask); return k }},
	{"purpose", 64, func(k key, mask uint64) key { k.purpose ^= mask; return k }},
	{"object", 64, func(k key, mask uint64) key { k.object ^= mask; return k }},
	{"ordinal", 32, func(k key, mask uint64) key { k.ordinal ^= uint32(mask); return k }},
}

// plantKey is the i-th of a run of keys as plants make them: small numbers.
func plantKey(i int) key {
	return key{seed: 1, replication: uint32(i % 20), purpose: uint64(PurposeOf("white.reject")), object: uint64(i), ordinal: uint32(i % 3)}
}

func TestNeighbouringKeysAreIndependent(t *testing.T) {
	const pairs = 10_000
	for _, part := range parts {
		var xy float64
		var cells [16][16]int
		for i := range pairs {
			k := plantKey(i)
			x, y := unit(k.bits()), unit(part.flip(k, 1).bits())
			xy += float64((x - 0.5) * (y - 0.5))
			cells[int(16*x)][int(16*y)]++
		}
		// Under independence xy/pairs has mean 0 and sd 1/(12 sqrt(pairs)).
		if r := 12 * xy / pairs; math.Abs(r) > 4/math.Sqrt(pairs) {
			t.Errorf("%s: correlation %.4f between neighbouring keys", part.name, r)
		}
		if x2 := chiSquare(cells[:], pairs); x2 > 350 {
			t.Errorf("%s: chi-square %.1f over 16 x 16 cells of neighbouring pairs", part.name, x2)
		}
	}
}

// chiSquare returns the statistic of 256 equally likely cells. With 255 degrees
// of freedom it exceeds 350 once in 16,000 (Wilson-Hilferty).
func chiSquare(cells [][16]int, total int) float64 {
	x2, expected := 0.0, float64(total)/256
	for _, row := range cells {
		for _, count := range row {
			d := float64(count) - expected
			x2 += float64(d * d / expected)
		}
	}
	return x2
}

func TestEveryKeyBitStirsHalfTheDraw(t *testing.T) {
	const samples = 400
	for _, part := range parts {
		for bit := range part.width {
			flipped := 0
			for i := range samples {
				k := plantKey(i)
				flipped += bits.OnesCount64(k.bits() ^ part.flip(k, 1<<bit).bits())
			}
			// 64 fair bits a sample: mean 32, sd 4. Five standard errors, for
			// the 256 key bits tried.
			if mean := float64(flipped) / samples; math.Abs(mean-32) > 5*4/math.Sqrt(samples) {
				t.Errorf("%s bit %d flips %.2f bits of 64 on average", part.name, bit, mean)
			}
		}
	}
}

func TestDrawsAreUniform(t *testing.T) {
	for _, p := range []string{"white.reject", "dryer.time"} {
		var cells [16][16]int
		source, purpose, n := New(5, 3), PurposeOf(p), 200_000
		for i := range n {
			cell := int(256 * source.Uniform(purpose, uint64(i), 0))
			cells[cell/16][cell%16]++
		}
		if x2 := chiSquare(cells[:], n); x2 > 350 {
			t.Errorf("%s: chi-square %.1f over 256 cells", p, x2)
		}
	}
}

func TestEachBitOfDrawsIsFair(t *testing.T) {
	const n = 40_000
	var ones [64]int
	for i := range n {
		for x := plantKey(i).bits(); x != 0; x &= x - 1 {
			ones[bits.TrailingZeros64(x)]++
		}
	}
	for bit, count := range ones {
		if math.Abs(float64(count)-n/2) > 4.5*math.Sqrt(n)/2 {
			t.Errorf("bit %d is set in %d of %d draws", bit, count, n)
		}
	}
}

func TestDrawsDependOnTheKeyAlone(t *testing.T) {
	const n = 1000
	source, purpose := New(9, 2), PurposeOf("glaze.weight")
	var forward [n]uint64
	for i := range forward {
		forward[i] = source.Bits(purpose, uint64(i), 0)
	}
	for i := n - 1; i >= 0; i-- {
		_ = source.Bits(PurposeOf("another department"), uint64(i), 0)
		if got := New(9, 2).Bits(purpose, uint64(i), 0); got != forward[i] {
			t.Fatalf("object %d: %#x drawn backwards, %#x forwards", i, got, forward[i])
		}
	}
}

func TestObjectKeysDiffer(t *testing.T) {
	seen := make(map[uint64][3]uint64)
	for a := range uint64(40) {
		for b := range uint64(40) {
			for c := range uint64(40) {
				k := Object(a, b, c)
				if other, taken := seen[k]; taken {
					t.Fatalf("Object(%d, %d, %d) equals Object%v", a, b, c, other)
				}
				seen[k] = [3]uint64{a, b, c}
			}
		}
	}
	if Object(1, 2) == Object(2, 1) {
		t.Error("the order of the parts of an identity is lost")
	}
}

func TestDrawingAllocatesNothing(t *testing.T) {
	gate := NewDealer(New(1, 1), false).Gate("casting.time")
	law := must(Gamma(20, 10))
	allocs := testing.AllocsPerRun(100, func() {
		gate.Time(law, Object(1, 2, 3), 4)
		gate.Trial(0.03, Object(4, 5), 0)
	})
	if allocs != 0 {
		t.Errorf("%v allocations a draw", allocs)
	}
}
