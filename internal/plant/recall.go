package plant

import (
	"encoding/binary"
	"errors"
)

// ResultsVersion is raised with every change of the engine after which the same
// works on the same luck gives another Result. What was stored under another
// version is never taken for one of this.
const ResultsVersion = 5

// A Recaller may know the result of a replication already, or have it found
// elsewhere; simulate runs it here. It must be safe for several goroutines at
// once.
type Recaller interface {
	Recall(o Options, simulate func(Options) (*Result, error)) (*Result, error)
}

// Recalling returns the same plant with its replications asked for by way of a
// recaller; nil: they are run.
func (p *Plant) Recalling(r Recaller) *Plant {
	same := *p
	same.recall = r
	return &same
}

var errCutLeads = errors.New("plant: lead times are cut short")

// MarshalBinary writes the histogram: its first class, and the counts.
func (l *LeadTimes) MarshalBinary() ([]byte, error) {
	b := binary.AppendVarint(nil, int64(l.first))
	for _, c := range l.count {
		b = binary.AppendUvarint(b, uint64(c))
	}
	return b, nil
}

// UnmarshalBinary reads what MarshalBinary wrote.
func (l *LeadTimes) UnmarshalBinary(b []byte) error {
	first, n := binary.Varint(b)
	if n <= 0 {
		return errCutLeads
	}
	*l = LeadTimes{first: int(first)}
	for b = b[n:]; len(b) > 0; b = b[n:] {
		var c uint64
		if c, n = binary.Uvarint(b); n <= 0 || c > 1<<32-1 {
			return errCutLeads
		}
		l.count = append(l.count, uint32(c))
		l.n += int64(c)
	}
	return nil
}
