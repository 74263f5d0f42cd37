package eventlog

// seen remembers which numbered things have been named: one bit each, since a
// long log names hundreds of thousands.
type seen map[string][]uint64

// first tells whether number n of a kind has not been named yet, and names it.
func (s *seen) first(kind string, n uint64) bool {
	if *s == nil {
		*s = seen{}
	}
	bits, word := (*s)[kind], int(n/64)
	for len(bits) <= word {
		bits = append(bits, 0)
	}
	mask := uint64(1) << (n % 64)
	is := bits[word]&mask == 0
	bits[word] |= mask
	(*s)[kind] = bits
	return is
}
