package random

// Purpose says what a draw decides, such as whether a white piece is rejected.
// Draws for different purposes are independent even for one object.
type Purpose uint64

// PurposeOf gives the purpose named by a dotted text such as "white.reject". It
// is the FNV-1a hash of the text, so it survives reordering of the program's
// declarations. Compute it once, at set-up.
func PurposeOf(name string) Purpose { return Purpose(fnv1a(name)) }

// Source is the chance of one replication. It is a value without state: copying
// it, or sharing it between goroutines, changes no draw.
type Source struct {
	seed        uint64
	replication uint32
}

// New returns the source of one replication of an experiment. Replications
// under one seed are independent of each other, and so are seeds.
func New(seed uint64, replication uint32) Source {
	return Source{seed: seed, replication: replication}
}

// Seed returns the seed, and Replication which of its replications this is.
func (s Source) Seed() uint64        { return s.seed }
func (s Source) Replication() uint32 { return s.replication }

// Bits returns 64 random bits, a function of the key alone: the source, the
// purpose, the object drawn for, and the ordinal of the draw among those of the
// same purpose and object (a piece's second firing, a mould's 40th cast).
func (s Source) Bits(p Purpose, object uint64, ordinal uint32) uint64 {
	r, _, _, _ := philox4x64(object, uint64(p), uint64(ordinal), 0, s.seed, uint64(s.replication))
	return r
}

// Uniform returns a number strictly inside (0, 1): an odd multiple of 2^-53, so
// that neither u nor 1-u is ever zero and both are exact. Quantiles of unbounded
// laws stay finite.
func (s Source) Uniform(p Purpose, object uint64, ordinal uint32) float64 {
	return unit(s.Bits(p, object, ordinal))
}

// unit maps 64 bits to the middle of one of 2^52 equal cells of (0, 1).
func unit(x uint64) float64 { return (float64(x>>12) + 0.5) * 0x1p-52 }

// Object joins the parts of an identity (bench, position, cast number) into one
// object key. The order of the parts matters. Distinct identities share a key
// with the chance of a 64-bit hash: for a million objects, below 3 in 10^8.
//
// Each part goes through the SplitMix64 step, so that Object(x) is the first
// output of that generator seeded with x.
//
// Source of the mixer: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
// pseudorandom number generators", OOPSLA 2014, with the constants of S. Vigna's
// splitmix64.c.
func Object(parts ...uint64) uint64 {
	var key uint64
	for _, part := range parts {
		key = splitMix64(key ^ part)
	}
	return key
}

// Name gives the identity of a named thing, for use as an object key or as a
// part of one. It is the FNV-1a hash of the text: renaming a thing re-deals its
// luck, listing things in another order does not.
func Name(text string) uint64 { return fnv1a(text) }

// splitMix64 is one step of SplitMix64 from the given state.
func splitMix64(state uint64) uint64 {
	z := state + 0x9E3779B97F4A7C15
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// fnv1a is the 64-bit FNV-1a hash of G. Fowler, L. C. Noll and K.-P. Vo, written
// out because hash/fnv would convert and allocate.
func fnv1a(text string) uint64 {
	h := uint64(0xCBF29CE484222325)
	for i := range len(text) {
		h = (h ^ uint64(text[i])) * 0x100000001B3
	}
	return h
}
