package plant

import "potbank/internal/des"

// leadBin is the width of a class of lead times. Quantiles are interpolated
// within a class, so their error is a small part of it.
const leadBin = 15 * des.Minute

// LeadTimes is a histogram of lead times, of a size set by the longest of them
// and not by their number, so that memory stays flat in the length of a run.
type LeadTimes struct {
	first int // class of counts[0]
	count []uint32
	n     int64
}

// Add counts one lead time.
func (l *LeadTimes) Add(t des.Time) {
	k := int(t / leadBin)
	if l.n == 0 {
		l.first, l.count = k, append(l.count[:0], 0)
	}
	for k < l.first {
		grown := make([]uint32, len(l.count)+max(16, l.first-k))
		shift := len(grown) - len(l.count)
		copy(grown[shift:], l.count)
		l.count = grown
		l.first -= shift
	}
	for k >= l.first+len(l.count) {
		l.count = append(l.count, 0)
	}
	l.count[k-l.first]++
	l.n++
}

// N is the number of lead times.
func (l *LeadTimes) N() int64 { return l.n }

// mergeLeads adds the histograms of several weeks.
func mergeLeads(weeks []*LeadTimes) *LeadTimes {
	sum := &LeadTimes{}
	for _, w := range weeks {
		if w.n == 0 {
			continue
		}
		if sum.n == 0 {
			sum.first = w.first
		}
		low, high := min(sum.first, w.first), max(sum.first+len(sum.count), w.first+len(w.count))
		grown := make([]uint32, high-low)
		copy(grown[sum.first-low:], sum.count)
		for k, c := range w.count {
			grown[w.first-low+k] += c
		}
		sum.first, sum.count, sum.n = low, grown, sum.n+w.n
	}
	return sum
}

// Quantile returns the p-quantile in ms, by linear interpolation within its
// class; false when there are no lead times.
func (l *LeadTimes) Quantile(p float64) (ms float64, ok bool) {
	if l.n == 0 {
		return 0, false
	}
	target := float64(p * float64(l.n))
	below := 0.0
	for k, c := range l.count {
		if c > 0 && below+float64(c) >= target {
			within := (target - below) / float64(c)
			return float64((float64(l.first+k) + within) * float64(leadBin)), true
		}
		below += float64(c)
	}
	return float64(l.first+len(l.count)) * float64(leadBin), true
}

// Merge adds the counts of other histograms.
func (l *LeadTimes) Merge(others []*LeadTimes) {
	*l = *mergeLeads(append([]*LeadTimes{l}, others...))
}

// Classes counts the lead times in classes of a width, which is rounded up to
// whole quarters of an hour. The first class begins at from, a multiple of the
// width; the last is the last with anything in it.
func (l *LeadTimes) Classes(width des.Time) (from, each des.Time, counts []int64) {
	per := max(1, int((width+leadBin-1)/leadBin))
	each = des.Time(per) * leadBin
	if l.n == 0 {
		return 0, each, nil
	}
	first := l.first / per
	for k, c := range l.count {
		at := (l.first+k)/per - first
		for c > 0 && at >= len(counts) {
			counts = append(counts, 0)
		}
		if c > 0 {
			counts[at] += int64(c)
		}
	}
	return des.Time(first) * each, each, counts
}
